package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTidyStepsAreOneTwoOrFive(t *testing.T) {
	for _, tt := range []struct {
		least float64
		units Units
		want  float64
	}{
		{0.13, Metric, 0.2},
		{0.2, Metric, 0.2},
		{0.21, Metric, 0.5},
		{0.051, Metric, 0.1},
		{7, Metric, 10},
		{10, Metric, 10},
		{11, Metric, 20},
		{0.3048, Feet, 0.3048},
		{0.31, Feet, 0.6096},
		{22, Feet, 30.48},
	} {
		assert.InDelta(t, tt.want, TidyStep(tt.least, tt.units), 1e-12, "%g m in %v", tt.least, tt.units)
	}
	for _, least := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		assert.Panics(t, func() { TidyStep(least, Metric) })
	}
	for i := range 2000 {
		least := 1e-5 * math.Pow(1.01, float64(i))
		for _, u := range []Units{Metric, Feet} {
			step := TidyStep(least, u)
			assert.GreaterOrEqual(t, step*(1+1e-11), least)
			assert.Less(t, step, 2.5001*least)
		}
	}
}

func TestLevelsTellStepsApart(t *testing.T) {
	assert.Equal(t, "186.5 m", FormatLevel(186.5, 0.5, Metric))
	assert.Equal(t, "186.50 m", FormatLevel(186.5, 0.05, Metric))
	assert.Equal(t, "186.50 m", FormatLevel(186.5, 0.01, Metric))
	assert.Equal(t, "187 m", FormatLevel(186.51, 2, Metric))
	assert.Equal(t, "611.88 ft", FormatLevel(186.5, 0.01, Feet))
	assert.Equal(t, "612 ft", FormatLevel(186.5, 0.6096, Feet))
	assert.Equal(t, "unknown", FormatLevel(math.NaN(), 1, Metric))
}
