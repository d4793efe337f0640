package odds

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Type 6 of Hyndman and Fan (1996) by their definition, by hand: of n values
// in order, x at (n + 1)p, in a line between two of them.
func TestForetoldIsByPlottingPositions(t *testing.T) {
	sorted := []float32{0, 0.125, 0.25, 0.5, 1.75, 2, 3.5, 4.125, 7.25, 9}
	for p, want := range map[float64]float64{
		0: 0, 0.05: 0, 1.0 / 11: 0, 0.25: 0.125 + 0.75*0.125, 0.5: 1.875, 0.9: 7.25 + 0.9*1.75, 10.0 / 11: 9, 0.95: 9, 1: 9,
	} {
		assert.InDelta(t, want, Foretold(sorted, p), 1e-12, "at %g", p)
	}
	assert.True(t, math.IsNaN(Foretold(nil, 0.5)))
	assert.Equal(t, 2.5, Foretold([]float32{2.5}, 0.05))
	assert.Panics(t, func() { Foretold(sorted, -0.1) })
}

// Of 19 values and one more of their kind, the other lies above the first and
// below the last with probability 18/20, whatever they are: a tenth of them
// outside, where the quantiles of the 19 leave out more.
func TestForetoldHoldsOneMoreAsOftenAsItSays(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const times = 20000
	held, described := 0, 0
	for range times {
		v := make([]float32, 19)
		for i := range v {
			v[i] = float32(r.ExpFloat64())
		}
		slices.Sort(v)
		next := float64(float32(r.ExpFloat64()))
		if Foretold(v, 0.05) <= next && next <= Foretold(v, 0.95) {
			held++
		}
		if Quantile(v, 0.05) <= next && next <= Quantile(v, 0.95) {
			described++
		}
	}
	assert.InDelta(t, 0.9, float64(held)/times, 0.006)
	assert.Less(t, float64(described)/times, 0.87)
}

func TestIntervalsAreDrawnAwayFromTheMiddleInCubeRoots(t *testing.T) {
	v := make([]float32, 99) // the cubes of 1.01 to 1.99
	for i := range v {
		v[i] = float32(math.Pow(1+float64(i+1)/100, 3))
	}
	low, middle, high := ByDraws.Spread(v, 0.9)
	assert.InDelta(t, math.Pow(1.05, 3), low, 1e-6)
	assert.InDelta(t, math.Pow(1.5, 3), middle, 1e-6)
	assert.InDelta(t, math.Pow(1.95, 3), high, 1e-6)
	low, middle, high = Allowance{2, 1.5}.Spread(v, 0.9)
	assert.InDelta(t, math.Pow(0.6, 3), low, 1e-6)
	assert.InDelta(t, math.Pow(1.5, 3), middle, 1e-6)
	assert.InDelta(t, math.Pow(2.175, 3), high, 1e-6)
	low, _, _ = Allowance{5, 1}.Spread(v, 0.9)
	assert.Zero(t, low, "no less than nothing")
}

// The mean of the cube of a normal of mean m and deviation s is m³ + 3ms²; what
// one half drawn out adds follows from the moments of that half.
func TestExpectedIsTheMeanOfWhatIsDrawnOut(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	const m, sd, n = 3.0, 0.3, 200_000
	v := make([]float32, n)
	for i := range v {
		v[i] = float32(math.Pow(m+sd*r.NormFloat64(), 3))
	}
	slices.Sort(v)
	assert.InDelta(t, m*m*m+3*m*sd*sd, ByDraws.Expected(v), 0.05)
	const both = 2.0
	assert.InDelta(t, m*m*m+3*m*both*both*sd*sd, Allowance{both, both}.Expected(v), 0.1)
	// The upper half alone: E[max(z,0)] = 1/√(2π), E[max(z,0)²] = 1/2,
	// E[max(z,0)³] = √(2/π).
	u := both*sd - sd
	more := 3*m*m*u/math.Sqrt(2*math.Pi) + 3*m*sd*sd*(both*both-1)/2 + sd*sd*sd*(both*both*both-1)*math.Sqrt(2/math.Pi)
	assert.InDelta(t, m*m*m+3*m*sd*sd+more, Allowance{1, both}.Expected(v), 0.1)
	assert.True(t, math.IsNaN(ByDraws.Expected(nil)))
}

func TestOutlookOfAHollow(t *testing.T) {
	h := Hollow{Volume: []float32{0, 0, 0, 0}}
	expected, low, middle, high := h.Outlook(0.8, ByRaster)
	assert.Equal(t, [4]float64{}, [4]float64{expected, low, middle, high}, "no hollow on any draw")
	h.Volume = []float32{3, 1, 2}
	expected, low, middle, high = h.Outlook(0.8, ByDraws)
	assert.Equal(t, [4]float64{2, 1, 2, 3}, [4]float64{round(expected), round(low), middle, round(high)})
	assert.Equal(t, []float32{3, 1, 2}, h.Volume, "the draws keep their order")
}

func round(v float64) float64 { return math.Round(1e9*v) / 1e9 }
