package mapsheet

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/cmd/internal/assess"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Against looking at every pair.
func TestNearestAgreesWithLookingAtAll(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	trees := make([]assess.Tree, 200)
	for i := range trees {
		trees[i].Point = orb.Point{float64(random.IntN(40)), 100 * random.Float64()}
	}
	got := Nearest(trees)
	for i := range trees {
		want := math.Inf(1)
		for j := range trees {
			if i != j {
				want = min(want, math.Hypot(trees[i].Point[0]-trees[j].Point[0], trees[i].Point[1]-trees[j].Point[1]))
			}
		}
		require.Equal(t, want, got[i])
	}
	assert.True(t, math.IsInf(Nearest(trees[:1])[0], 1))
}

func TestStretchStaysOnTheGround(t *testing.T) {
	limit := orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{100, 100}}
	for _, tt := range []struct {
		name     string
		lo, hi   float64
		length   float64
		from, to float64
	}{
		{"room on both sides", 40, 60, 40, 30, 70},
		{"room on one side", 5, 25, 60, 0, 60},
		{"no room", 0, 100, 300, 0, 100},
		{"already longer", 10, 90, 50, 10, 90},
		{"beyond the ground on one side", -10, 20, 50, -10, 40},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := stretch(orb.Bound{Min: orb.Point{tt.lo, 0}, Max: orb.Point{tt.hi, 0}}, limit, 0, tt.length)
			assert.InDelta(t, tt.from, b.Min[0], 1e-9)
			assert.InDelta(t, tt.to, b.Max[0], 1e-9)
		})
	}
}
