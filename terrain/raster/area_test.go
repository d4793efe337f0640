package raster

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The EPSG register, of EPSG:32614: between 102 and 96 degrees west, northern
// hemisphere between the equator and 84 degrees north.
func TestAreaOfUseIsThatOfTheRegister(t *testing.T) {
	area, name, ok := AreaOfUse("EPSG:32614")
	require.True(t, ok)
	assert.Equal(t, [4]float64{-102, 0, -96, 84}, [4]float64{area.Min[0], area.Min[1], area.Max[0], area.Max[1]})
	assert.Contains(t, name, "102")
	_, _, ok = AreaOfUse(LocalCRS(-99, 29))
	assert.False(t, ok)
	_, _, ok = AreaOfUse("nothing")
	assert.False(t, ok)
}
