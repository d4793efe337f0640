package trial

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

// A plane far from the origin leaves nothing; one spot moved leaves what least
// squares leaves, by hand.
func TestBelowPlaneTakesOutTheFall(t *testing.T) {
	const e, n = 180000, 330000
	var spots []Spot
	for i := range 5 {
		for j := range 5 {
			x, y := float64(i*100), float64(j*100)
			spots = append(spots, Spot{Point: orb.Point{e + x, n + y}, Z: 3 + x/100 - y/50})
		}
	}
	for i, below := range BelowPlane(spots) {
		assert.InDelta(t, 0, below, 1e-9, "spot %d on the plane", i)
	}
	// The middle lowered by a metre: the mean takes up 1/25 of it, the lean
	// none, since the middle has no lever.
	spots[12].Z--
	for i, below := range BelowPlane(spots) {
		want := -1.0 / 25
		if i == 12 {
			want = 24.0 / 25
		}
		assert.InDelta(t, want, below, 1e-9, "spot %d", i)
	}
	assert.Panics(t, func() { BelowPlane(spots[:5]) }, "five spots in a line span no plane")
}

// Five spots in a line, 10 m apart, counted by eye.
func TestNeighboursCountedByEye(t *testing.T) {
	var spots []Spot
	for i, z := range []float64{5, 3, 4, 4, 9} {
		spots = append(spots, Spot{Point: orb.Point{float64(10 * i), 0}, Z: z})
	}
	assert.Equal(t, []float64{-5, -3, -4, -4, -9}, Lowness(spots))
	assert.Equal(t, []float64{0.25, 2.5 / 3, 1.0 / 3, 2.0 / 3, 0.25}, LowerThanNeighbours(spots, 10))
	assert.Equal(t, []float64{-2, 0, -1, 0, -5}, AboveLowest(spots, 10))
	assert.Equal(t, []float64{-2, 0, -1, -1, -6}, AboveLowest(spots, 1000))
}
