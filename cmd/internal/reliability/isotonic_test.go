package reliability

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// The example of isoreg in R 4.2.2, as R prints it.
func TestIsotonicOfTheExampleOfR(t *testing.T) {
	assert.Equal(t, []float64{0.5, 0.5, 3, 3, 3, 3, 3, 3, 3}, Isotonic([]float64{1, 0, 4, 3, 3, 5, 4, 2, 0}, ones(9)))
}

// Robertson, Wright and Dykstra (1988), Order restricted statistical inference,
// example 1.1.1: the pituitary fissure of girls of 8, 10, 12 and 14 years, in
// millimetres. From memory: the data are those of Potthoff and Roy (1964), and
// the answer of 22.22 for the first three ages is the mean of their nine.
func TestIsotonicOfThePituitaryFissure(t *testing.T) {
	girls := [][]float64{{21, 23.5, 23}, {24, 21, 25}, {21.5, 22, 19}, {23.5, 25}}
	var y, w []float64
	for _, g := range girls {
		sum := 0.0
		for _, v := range g {
			sum += v
		}
		y, w = append(y, sum/float64(len(g))), append(w, float64(len(g)))
	}
	assert.InDeltaSlice(t, []float64{22.22, 22.22, 22.22, 24.25}, Isotonic(y, w), 0.005)
}

// Brunk's formula says what the fit is, slowly: the greatest over all starts up
// to a place of the least over all ends from it of the mean between them.
func minMax(y, w []float64) []float64 {
	fit := make([]float64, len(y))
	for i := range y {
		for from := range i + 1 {
			least, sum, weight := 0.0, 0.0, 0.0
			for to := from; to < len(y); to++ {
				sum, weight = sum+y[to]*w[to], weight+w[to]
				if to >= i && (to == i || sum/weight < least) {
					least = sum / weight
				}
			}
			if from == 0 || least > fit[i] {
				fit[i] = least
			}
		}
	}
	return fit
}

func TestIsotonicAgreesWithItsFormula(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for range 300 {
		n := r.IntN(30)
		y, w := make([]float64, n), make([]float64, n)
		for i := range y {
			y[i], w[i] = float64(r.IntN(12))-5, 1+float64(r.IntN(4))
		}
		fit := Isotonic(y, w)
		assert.InDeltaSlice(t, minMax(y, w), fit, 1e-12)
		assert.True(t, slices.IsSorted(fit), "never falls")
		assert.InDeltaSlice(t, fit, Isotonic(fit, ones(n)), 1e-12, "a second time changes nothing, whatever the weights")
		wanted, got := 0.0, 0.0
		for i := range y {
			wanted, got = wanted+y[i]*w[i], got+fit[i]*w[i]
		}
		assert.InDelta(t, wanted, got, 1e-10, "the mean is kept")
	}
}
