package calibration

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wetfeet/hydro/odds"

	"github.com/stretchr/testify/assert"
)

// Draws that lie but half as far above their middle as truths do, and half
// again as far below.
func misjudged(r *rand.Rand, hollows int) *Answer {
	a := &Answer{}
	for range hollows {
		size := 2 + 2*r.Float64()
		drawn := func(below, above float64) float64 {
			z := 0.2 * r.NormFloat64()
			if z < 0 {
				return math.Pow(size*(1+below*z), 3)
			}
			return math.Pow(size*(1+above*z), 3)
		}
		v := Volume{Truth: drawn(1, 1)}
		for range 99 {
			v.Draws = append(v.Draws, float32(drawn(1.5, 0.5)))
		}
		slices.Sort(v.Draws)
		a.Hollows = append(a.Hollows, v)
	}
	return a
}

// What draws misjudge is found again, and put right: nine in ten are held, a
// hair less holds fewer, and what is expected adds up.
func TestAllowancePutsIntervalsAndMeansRight(t *testing.T) {
	a := misjudged(rand.New(rand.NewPCG(3, 1)), 2999)
	by := Allowance([]*Answer{a})
	t.Logf("%.3f", by)
	assert.InDelta(t, 2.0/3, by.Below, 0.1)
	assert.InDelta(t, 2, by.Above, 0.1)
	of := func(by odds.Allowance) *volumes {
		var v volumes
		for i := range a.Hollows {
			v.add(&a.Hollows[i], by, i)
		}
		return &v
	}
	assert.InDelta(t, 0, of(by).bias().Value, 1e-3)
	by.Below += 1e-9
	assert.InDelta(t, 2700.0/2999, of(by).held().Value, 1e-12)
	by.Below -= 1e-3
	assert.Less(t, of(by).held().Value, 2700.0/2999)
	assert.Less(t, of(odds.ByDraws).held().Value, 0.85)
	assert.Less(t, of(odds.ByDraws).bias().Value, -0.05)
}

func TestNeedsOfAHollow(t *testing.T) {
	needs := func(v Volume) [2]float64 {
		below, above := v.needs()
		return [2]float64{math.Round(below*1e9) / 1e9, math.Round(above*1e9) / 1e9}
	}
	draws := []float32{1, 8, 27} // cube roots 1, 2, 3
	assert.Equal(t, [2]float64{0, 0}, needs(Volume{Draws: draws, Truth: 8}))
	assert.Equal(t, [2]float64{2, 0}, needs(Volume{Draws: draws, Truth: 0}))
	assert.Equal(t, [2]float64{0, 3}, needs(Volume{Draws: draws, Truth: 125}))
	assert.Equal(t, [2]float64{0, math.Inf(1)}, needs(Volume{Draws: []float32{0, 0, 0}, Truth: 2}), "no draw has it")
	assert.Equal(t, math.Inf(1), Allowance([]*Answer{misjudged(rand.New(rand.NewPCG(3, 1)), 5)}).Below, "too few to tell")
}
