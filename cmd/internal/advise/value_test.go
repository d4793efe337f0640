package advise

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// One decision with a normal loss of mean m and standard deviation s, read with
// an error: the preposterior mean is normal with variance s²·s²/(s²+e²), and
// the worth is price-side unit normal loss. Raiffa, H., Schlaifer, R. (1961),
// Applied Statistical Decision Theory, chapter 5 (from memory); the integral is
// done here by the closed form σ(φ(z) − z Φ(−z)).
func TestWorthOfAReadingIsThatOfANormalDecision(t *testing.T) {
	const n, m, s, e, price = 20000, 0.5, 0.08, 0.05, 0.45
	rng := rand.New(rand.NewPCG(7, 7))
	loss, reading := make([]float64, n), make([]float64, n)
	for i := range n {
		loss[i] = m + s*rng.NormFloat64()
		reading[i] = 100 - 3*(loss[i]+e*rng.NormFloat64())
	}
	sigma := s * s / math.Hypot(s, e)
	z := math.Abs(m-price) / sigma
	want := sigma * (math.Exp(-z*z/2)/math.Sqrt(2*math.Pi) - z*math.Erfc(z/math.Sqrt2)/2)
	got := newWorth([][]float64{loss}, price).of(reading)
	assert.InDelta(t, want, got, 0.03*want)
}

func TestWorthOfReadingsOfNothingIsNextToNothing(t *testing.T) {
	const n = 200
	rng := rand.New(rand.NewPCG(3, 1))
	draw := func() []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = rng.Float64()
		}
		return v
	}
	var losses, readings [][]float64
	for range 40 {
		losses = append(losses, draw())
	}
	for range 5 {
		readings = append(readings, draw())
	}
	w := newWorth(losses, 0.5)
	known := newWorth(losses, 0.5).of(losses[:40]...)
	assert.Less(t, w.of(readings...), 0.2*known)
	assert.Zero(t, w.of(make([]float64, n)), "a reading that is always the same")
}

func TestBestTakesTheTellingReadingFirstAndNoCopyOfIt(t *testing.T) {
	const n = 500
	rng := rand.New(rand.NewPCG(5, 1))
	loss := [][]float64{make([]float64, n), make([]float64, n)}
	a, b := make([]float64, n), make([]float64, n)
	for i := range n {
		a[i], b[i] = rng.NormFloat64(), rng.NormFloat64()
		loss[0][i] = min(max(0.3+0.2*a[i], 0), 1)
		loss[1][i] = min(max(0.3+0.05*b[i], 0), 1)
	}
	picked, value := newWorth(loss, 0.3).best([][]float64{b, a, a}, 3)
	assert.Equal(t, []int{1, 0}, picked)
	assert.Greater(t, value[1], value[0])
}
