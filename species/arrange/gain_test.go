package arrange

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Percentiles by numpy 1.24.2: quantile(before.sum(1) − after.sum(1), [.1, .9])
// for the same draws gives 0.65 and 2.1.
func TestGainIsPairedByDraw(t *testing.T) {
	before := [][]float32{{1, 2}, {0.5, 0.25}, {3, 1}, {2, 2}, {0, 1.5}}
	after := [][]float32{{0.5, 1}, {0, 0.25}, {1, 0.5}, {1.5, 1.625}, {0, 0.5}}
	mean, low, high, err := Gain(before, after, 0.8)
	require.NoError(t, err)
	assert.InDelta(t, 1.275, mean, 1e-12)
	assert.InDelta(t, 0.65, low, 1e-12)
	assert.InDelta(t, 2.1, high, 1e-12)
}

func TestGainRefusesWhatIsNoPair(t *testing.T) {
	one := [][]float32{{1}}
	for _, bad := range []func() (float64, float64, float64, error){
		func() (float64, float64, float64, error) { return Gain(one, nil, 0.8) },
		func() (float64, float64, float64, error) { return Gain(nil, nil, 0.8) },
		func() (float64, float64, float64, error) { return Gain(one, one, 1) },
	} {
		_, _, _, err := bad()
		assert.ErrorIs(t, err, ErrInput)
	}
}
