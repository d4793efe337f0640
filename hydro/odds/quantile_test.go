package odds

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// R 4.2.2 prints these to 15 digits for quantile(x, p, type = 7, names =
// FALSE), its default type and that of numpy.
func TestQuantileIsThatOfR(t *testing.T) {
	for _, tt := range []struct{ x, p, want []float64 }{
		{
			[]float64{0.125, 3.5, 0, 7.25, 1.75, 0.5, 2, 9, 4.125, 0.25},
			[]float64{0, 0.05, 0.1, 0.25, 0.5, 0.9, 0.95, 1},
			[]float64{0, 0.05625, 0.1125, 0.3125, 1.875, 7.425, 8.2125, 9},
		},
		{
			[]float64{3, 1, 4, 1.5, 9},
			[]float64{0.1, 0.333, 0.5, 0.9},
			[]float64{1.2, 1.998, 3, 7},
		},
		{[]float64{2.5}, []float64{0, 0.5, 1}, []float64{2.5, 2.5, 2.5}},
	} {
		var sorted []float32
		for _, v := range tt.x {
			sorted = append(sorted, float32(v))
		}
		slices.Sort(sorted)
		for i, p := range tt.p {
			assert.InDelta(t, tt.want[i], Quantile(sorted, p), 1e-14, "%v at %g", tt.x, p)
		}
	}
	assert.True(t, math.IsNaN(Quantile(nil, 0.5)))
	assert.Panics(t, func() { Quantile([]float32{1}, 1.5) })
}

func TestShareCountsWhatIsMore(t *testing.T) {
	assert.Equal(t, 0.25, Share([]float32{0, 1, 1, 2}, 1))
	assert.Equal(t, 0.5, Share([]float32{float32(math.NaN()), 1}, 0))
	assert.True(t, math.IsNaN(Share(nil, 0)))
}
