package terrain

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By the definition: no point lies to the right of any side, every corner is
// one of the points, and no corner could be left out. Small whole coordinates
// make many points that coincide or lie in a line, and every product exact.
func TestConvexHullAgreesWithItsDefinition(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	for range 300 {
		points := make([]orb.Point, 1+random.IntN(40))
		for i := range points {
			points[i] = orb.Point{float64(random.IntN(12)), float64(random.IntN(12))}
		}
		before := slices.Clone(points)
		hull := ConvexHull(points)
		require.Equal(t, before, points, "the points stay in their order")
		for i, a := range hull {
			require.Contains(t, points, a)
			b := hull[(i+1)%len(hull)]
			for _, q := range points {
				require.GreaterOrEqual(t, LeftOf(a, b, q), 0.0, "%v and %v of %v", a, b, points)
			}
			if len(hull) > 2 {
				require.Positive(t, LeftOf(a, b, hull[(i+2)%len(hull)]), "%v is along a side of %v", b, hull)
			}
		}
	}
}

func TestConvexHullOfLittle(t *testing.T) {
	assert.Empty(t, ConvexHull(nil))
	assert.Equal(t, orb.Ring{{1, 2}}, ConvexHull([]orb.Point{{1, 2}, {1, 2}}))
	assert.Equal(t, orb.Ring{{0, 0}, {3, 3}}, ConvexHull([]orb.Point{{1, 1}, {3, 3}, {0, 0}, {2, 2}}))
	assert.Equal(t, orb.Ring{{0, 0}, {2, 0}, {2, 2}, {0, 2}}, ConvexHull([]orb.Point{{2, 2}, {1, 0}, {0, 2}, {1, 1}, {0, 0}, {2, 0}}))
}
