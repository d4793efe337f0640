package watertable

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Beven and Kirkby (1979), six classes of the index by hand; the sum of the
// deficits by their areas is the mean deficit.
func TestTopmodelOfSixClasses(t *testing.T) {
	index := []float64{5, 6, 7, 8, 9, 11}
	area := []float64{0.25, 0.3, 0.2, 0.15, 0.07, 0.03}
	m := Topmodel{Mean: 0.06, M: 0.03}
	for k, i := range index {
		m.Lambda += area[k] * i
	}
	assert.InDelta(t, 6.61, m.Lambda, 1e-9)
	mean, saturated := 0.0, 0.0
	for k, want := range []float64{0.1083, 0.0783, 0.0483, 0.0183, -0.0117, -0.0717} {
		d := m.Deficit(index[k])
		assert.InDelta(t, want, d, 1e-9)
		if mean += area[k] * d; d <= 0 {
			saturated += area[k]
		}
		assert.Equal(t, d <= 0, index[k] >= m.Saturated())
	}
	assert.InDelta(t, m.Mean, mean, 1e-9)
	assert.InDelta(t, 8.61, m.Saturated(), 1e-9)
	assert.InDelta(t, 0.1, saturated, 1e-9)
	for k, want := range map[int]float64{0: 1.083, 3: 0.183, 5: 0} {
		assert.InDelta(t, want, m.Depth(index[k], 0.1), 1e-9)
	}
}

// Q = Q₀ exp(−D̄/m) the other way round, in millimetres: 2 exp(−41.589/30) = 0.5.
func TestMeanDeficitFromBaseflow(t *testing.T) {
	assert.InDelta(t, 41.58883, MeanDeficit(2, 0.5, 30), 5e-6)
	assert.InDelta(t, 0.5, Slope{M: 30, Full: 2}.Outflow(MeanDeficit(2, 0.5, 30)), 1e-12)
}
