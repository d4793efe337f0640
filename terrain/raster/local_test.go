package raster

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A degree is as long as the radii of curvature of the WGS 84 ellipsoid make
// it (a = 6378137 m, 1/f = 298.257223563): check values for 45 degrees are
// 111131.8 m north and 78846.84 m east.
func TestLocalCRSIsMetresFromThePeg(t *testing.T) {
	from, err := FromLonLat(LocalCRS(-99.25, 45))
	require.NoError(t, err)
	peg, err := from(orb.Point{-99.25, 45})
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{0, 0}, peg[:], 1e-6)

	const step = 1e-4 // degrees, about 10 m
	east, err := from(orb.Point{-99.25 + step, 45})
	require.NoError(t, err)
	north, err := from(orb.Point{-99.25, 45 + step})
	require.NoError(t, err)
	assert.InDelta(t, 78846.84*step, east[0], 1e-4)
	assert.InDelta(t, 111131.8*step, north[1], 1e-4)
	assert.Less(t, math.Abs(east[1])+math.Abs(north[0]), 1e-3)

	back, err := LonLat(LocalCRS(-99.25, 45))
	require.NoError(t, err)
	p, err := back(orb.Point{60, 40})
	require.NoError(t, err)
	q, err := from(p)
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{60, 40}, q[:], 1e-6)
}
