package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

// Two farms: on each the wet spot is the lower one, but the second lies so
// high that its wet spot is above the dry one of the first. By hand: of four
// pairs three are right, of the two pairs within a farm both.
func TestNeighboursAreComparedWithNeighbours(t *testing.T) {
	spots := []Spot{
		{orb.Point{0, 0}, 10, true}, {orb.Point{40, 0}, 11, false},
		{orb.Point{5000, 0}, 20, true}, {orb.Point{5040, 0}, 21, false},
	}
	score := Lowness(spots)
	assert.Equal(t, 0.75, AUCNear(spots, score, Anywhere, 100).Value)
	assert.Equal(t, 1.0, AUCNear(spots, score, 100, 100).Value)
	assert.Equal(t, 0.0, AUCNear(spots, score, 100, 100).Error, "whichever farms are drawn, all pairs are right")
	assert.True(t, math.IsNaN(AUCNear(spots, score, 1, 100).Value), "nobody lives that near")
	overOwnFarm := []float64{0, -1, 0, -1}
	assert.Equal(t, 0.25, GainNear(spots, overOwnFarm, score, Anywhere, 100).Value)
	assert.Zero(t, GainNear(spots, overOwnFarm, score, 100, 100))
}

// With every spot in a square of its own and nobody out of reach, it is AUC
// with an error by another road: they agree to the few per cent that 400
// draws can tell.
func TestNearWithoutBoundsIsAUC(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	spots := make([]Spot, 120)
	for i := range spots {
		spots[i] = Spot{orb.Point{float64(10 * i), 5}, r.NormFloat64(), i%3 == 0}
		if spots[i].Wet {
			spots[i].Z--
		}
	}
	near, far := AUCNear(spots, Lowness(spots), Anywhere, 10), AUC(Lowness(spots), seen(spots))
	assert.InDelta(t, far.Value, near.Value, 1e-12)
	assert.InEpsilon(t, far.Error, near.Error, 0.12)
	assert.Equal(t, near, AUCNear(spots, Lowness(spots), Anywhere, 10), "the second time as the first")
}
