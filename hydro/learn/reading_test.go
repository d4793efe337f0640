package learn

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// known is what scipy says; testdata/make.py made it.
type known struct {
	LogCDF     [][2]float64 `json:"log_cdf"`
	LogBetween [][3]any     `json:"log_between"`
	Censored   []struct {
		Low, High, Error, Evidence, Mean, SD float64
	}
	Truncated []struct{ Low, High, Mean, SD float64 }
	Linear    struct {
		A        [][]float64
		Error, Y []float64
		Mean, SD []float64
	}
	Hazen struct{ V, P, Q []float64 }
}

func fixtures(t testing.TB) (k known) {
	data, err := os.ReadFile("testdata/known.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &k))
	return k
}

// scipy.special.log_ndtr, from the far tail to the other side.
func TestLogOfTheNormalDistributionAgainstScipy(t *testing.T) {
	k := fixtures(t)
	require.NotEmpty(t, k.LogCDF)
	for _, c := range k.LogCDF {
		assert.InEpsilon(t, c[1], logCDF(c[0]), 1e-11, "%v", c[0])
	}
	for _, c := range k.LogBetween {
		a, err := strconv.ParseFloat(c[0].(string), 64)
		require.NoError(t, err)
		b, err := strconv.ParseFloat(c[1].(string), 64)
		require.NoError(t, err)
		assert.InEpsilon(t, c[2].(float64), logBetween(a, b), 1e-10, "%v", c)
	}
	assert.Equal(t, math.Inf(-1), logCDF(math.Inf(-1)))
}

func TestReadings(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	assert.InDelta(t, -0.5, Measured{0.12, 0.02}.LogLikelihood(0.14), 1e-12)
	assert.Equal(t, math.Inf(-1), Measured{0.12, 0.02}.LogLikelihood(nan))
	assert.Equal(t, math.Inf(-1), Measured{0.12, 0.02}.LogLikelihood(inf))

	dry := Standing{0, 0.02}
	assert.InDelta(t, math.Log(0.5), dry.LogLikelihood(0), 1e-12, "a level at the ground")
	assert.InDelta(t, math.Log(0.158655253931457), dry.LogLikelihood(0.02), 1e-12, "one error above it: Φ(-1)")
	assert.InDelta(t, -2, Standing{0.04, 0.02}.LogLikelihood(0), 1e-12)
	assert.Equal(t, 0.0, Standing{0.04, 0.02}.Best())
	assert.Equal(t, dry.LogLikelihood(0), dry.Best())

	pool := Between{48, 72, 0}
	assert.Equal(t, 0.0, pool.LogLikelihood(60))
	assert.Equal(t, math.Inf(-1), pool.LogLikelihood(73))
	assert.Equal(t, math.Inf(-1), pool.LogLikelihood(nan))
	still := Between{48, inf, 6}
	assert.Equal(t, 0.0, still.LogLikelihood(inf), "never dry, and still wet")
	assert.InDelta(t, math.Log(0.5), still.LogLikelihood(48), 1e-12)
	assert.Equal(t, math.Inf(-1), Between{48, 72, 6}.LogLikelihood(inf))
	for _, r := range []Reading{Measured{1, 2}, dry, Standing{0.1, 0.02}, Between{1, 2, 0.3}, still} {
		for x := 0.0; x < 100; x += 0.25 {
			assert.LessOrEqual(t, r.LogLikelihood(x), r.Best()+1e-12, "%v at %v", r, x)
		}
	}
}

// numpy.quantile(method="hazen").
func TestQuantilesOfEqualWeightsAgainstNumpy(t *testing.T) {
	h := fixtures(t).Hazen
	w := make([]float64, len(h.V))
	for i := range w {
		w[i] = 0.3
	}
	got := Quantiles(h.V, w, h.P...)
	for k := range h.P {
		assert.InDelta(t, h.Q[k], got[k], 1e-12, "%v", h.P[k])
	}
}

func TestQuantilesOfUnequalWeights(t *testing.T) {
	inf := math.Inf(1)
	// Middles of the weights at 0.1, 0.5 and 0.9.
	assert.Equal(t, []float64{1, 1, 1.5, 2, 4, 4}, Quantiles([]float64{4, 1, 2}, []float64{1, 1, 3}, 0, 0.1, 0.3, 0.5, 0.9, 1))
	assert.Equal(t, []float64{7}, Quantiles([]float64{7, 9}, []float64{1, 0}, 0.5), "no weight, no value")
	assert.Equal(t, []float64{5}, Quantiles([]float64{math.NaN(), 5}, []float64{1, 1}, 0.5))
	assert.Equal(t, []float64{1, inf, inf}, Quantiles([]float64{1, inf, inf}, []float64{1, 1, 1}, 0.1, 0.5, 0.9))
	assert.True(t, math.IsNaN(Quantiles(nil, nil, 0.5)[0]))
}
