package assess

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A straight slope has no noise to take away, at its ends and beside a gap no
// more than in the middle.
func TestSmoothedKeepsASlope(t *testing.T) {
	along, z := make([]float64, 60), make([]float64, 60)
	for i := range z {
		along[i] = float64(i) / 2
		z[i] = 96 - 0.02*along[i]
	}
	z[20], z[21] = math.NaN(), math.NaN()
	got := smoothed(along, z, 1.5)
	for i := range z {
		if math.IsNaN(z[i]) {
			assert.True(t, math.IsNaN(got[i]))
		} else {
			assert.InDelta(t, z[i], got[i], 1e-9, "sample %d", i)
		}
	}
	assert.Equal(t, along, smoothed(along, along, 0))
}

// White noise of standard deviation s, averaged under a Gaussian of length L
// on samples d apart, is left with s·√(d / (2√π L)).
func TestSmoothedTakesNoiseAway(t *testing.T) {
	const step, length, sd = 0.5, 2.0, 0.03
	r := rand.New(rand.NewPCG(1, 2))
	along, z := make([]float64, 20000), make([]float64, 20000)
	for i := range z {
		along[i], z[i] = float64(i)*step, sd*r.NormFloat64()
	}
	var sum float64
	for _, v := range smoothed(along, z, length) {
		sum += v * v
	}
	want := sd * math.Sqrt(step/(2*math.Sqrt(math.Pi)*length))
	assert.InEpsilon(t, want, math.Sqrt(sum/float64(len(z))), 0.03)
}
