package reliability

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// For one odds the curve is the share that happened, so the band is that of the
// binomial distribution: 5 % and 95 % of Bin(100, 0.3) are 23 and 38 (R 4.2.2,
// qbinom).
func TestBandOfOneOddsIsBinomial(t *testing.T) {
	odds := make([]float64, 100)
	for i := range odds {
		odds[i] = 0.3
	}
	b := Consistency(odds, 0.9, 20000, 1, Independent(odds))
	assert.InDelta(t, 0.23, b.Lo[0], 1e-12)
	assert.InDelta(t, 0.38, b.Hi[0], 1e-12)
	// (share − odds)² has the mean of the variance of a share.
	sum := 0.0
	for _, m := range b.Miscalibration {
		sum += m
	}
	assert.InEpsilon(t, 0.3*0.7/100, sum/20000, 0.03)
}

// A new trial of odds that are right lies in the band as often as it says, and
// odds that are too sure do not.
func TestBandHoldsWhatItShould(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	odds := make([]float64, 600)
	for i := range odds {
		odds[i] = float64(r.IntN(21)) / 20
	}
	b := Consistency(odds, 0.9, 2000, 2, Independent(odds))
	inside, all := 0, 0
	seen, bold := make([]bool, len(odds)), make([]float64, len(odds))
	above := 0
	for range 200 {
		Independent(odds)(r, seen)
		for k, p := range Corp(odds, seen).Points {
			if all++; b.Lo[k] <= p.Share && p.Share <= b.Hi[k] {
				inside++
			}
		}
		for i, p := range odds {
			bold[i] = min(max(2*p-0.5, 0), 1)
		}
		if Corp(bold, seen).Miscalibration > b.Miscalibration[len(b.Miscalibration)*95/100] {
			above++
		}
	}
	assert.InDelta(t, 0.915, float64(inside)/float64(all), 0.025, "shares are steps, so a little over 0.9")
	assert.Greater(t, above, 190, "of 200 trials of odds that are too sure")
	for k := range b.Lo {
		assert.LessOrEqual(t, b.Lo[k], b.Hi[k])
	}
}

func TestBandDependsOnItsSeedAlone(t *testing.T) {
	odds := []float64{0.1, 0.5, 0.5, 0.9, 0.3, 0.7}
	a := Consistency(odds, 0.8, 100, 3, Independent(odds))
	assert.Equal(t, a, Consistency(odds, 0.8, 100, 3, Independent(odds)))
	assert.NotEqual(t, a, Consistency(odds, 0.8, 100, 4, Independent(odds)))
}

// Trees that get wet together make the band wider: with twenty sites of
// thirty trees each, all of a site or none, it is that of twenty events.
func TestBandOfTreesThatGetWetTogether(t *testing.T) {
	const sites, trees = 20, 30
	odds := make([]float64, sites*trees)
	for i := range odds {
		odds[i] = 0.5
	}
	together := func(r *rand.Rand, seen []bool) {
		for s := range sites {
			wet := r.Float64() < 0.5
			for i := range trees {
				seen[s*trees+i] = wet
			}
		}
	}
	one := Consistency(odds, 0.9, 4000, 5, Independent(odds))
	all := Consistency(odds, 0.9, 4000, 5, together)
	assert.InEpsilon(t, math.Sqrt(trees), (all.Hi[0]-all.Lo[0])/(one.Hi[0]-one.Lo[0]), 0.1)
}
