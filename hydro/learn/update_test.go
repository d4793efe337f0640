package learn

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// of makes a model of one outcome from a function of the parameters.
func of(f func(p []float64) []float64) Model {
	return func(_ context.Context, _ int, params [][]float64) ([][]float64, error) {
		var out [][]float64
		for _, p := range params {
			out = append(out, f(p))
		}
		return out, nil
	}
}

// The mean and the spread of many runs, and how sure they are: three standard
// errors.
func replicate(t *testing.T, runs int, once func(seed uint64) (mean, sd float64)) (mean, sd, sureOfMean, sureOfSD float64) {
	var m, s, mm, ss float64
	for seed := range uint64(runs) {
		a, b := once(seed)
		m, s, mm, ss = m+a, s+b, mm+a*a, ss+b*b
	}
	n := float64(runs)
	m, s = m/n, s/n
	return m, s, 3 * math.Sqrt(max(0, mm/n-m*m)/n), 3 * math.Sqrt(max(0, ss/n-s*s)/n)
}

// Conjugate, known variance: a prior N(0, 1) and one reading y of 1 + 2t with
// error e give a posterior of precision 1 + 4/e² about 2(y-1)/e² over it. Both
// where one round does and where the reading lies far out and few draws come
// near it.
func TestUpdateIsUnbiasedAgainstTheConjugateNormal(t *testing.T) {
	for _, tt := range []struct{ y, e float64 }{{2, 1}, {3, 0.2}, {8, 0.1}} {
		precision := 1 + 4/(tt.e*tt.e)
		wantMean, wantSD := 2*(tt.y-1)/(tt.e*tt.e)/precision, math.Sqrt(1/precision)
		mean, sd, sure, sureSD := replicate(t, 200, func(seed uint64) (float64, float64) {
			p, err := Update(t.Context(), 1, []Reading{Measured{tt.y, tt.e}}, of(func(p []float64) []float64 { return []float64{1 + 2*p[0]} }), Options{Seed: seed})
			require.NoError(t, err)
			assert.Greater(t, p.Effective, 200.0/3)
			return p.Mean(0)
		})
		// A sample of 70 draws by itself is out by 1/140 of a spread; the bound
		// is what 200 runs can tell, and half a percent of the spread.
		assert.InDelta(t, wantMean, mean, sure+0.005*wantSD, "%+v", tt)
		assert.InDelta(t, wantSD, sd, sureSD+0.01*wantSD, "%+v", tt)
	}
}

// numpy: three parameters, five linear readings.
func TestUpdateAgainstTheConjugateNormalInThreeDimensions(t *testing.T) {
	k := fixtures(t).Linear
	var readings []Reading
	for i := range k.Y {
		readings = append(readings, Measured{k.Y[i], k.Error[i]})
	}
	model := of(func(p []float64) []float64 {
		out := make([]float64, len(k.A))
		for i, row := range k.A {
			for j := range row {
				out[i] += row[j] * p[j]
			}
		}
		return out
	})
	for j := range 3 {
		mean, sd, sure, sureSD := replicate(t, 60, func(seed uint64) (float64, float64) {
			p, err := Update(t.Context(), 3, readings, model, Options{Seed: seed})
			require.NoError(t, err)
			require.Greater(t, p.Effective, 60.0)
			return p.Mean(j)
		})
		assert.InDelta(t, k.Mean[j], mean, sure+0.01*k.SD[j], "parameter %d", j)
		assert.InDelta(t, k.SD[j], sd, sureSD+0.02*k.SD[j], "parameter %d", j)
	}
}

// scipy.integrate.quad: a dry-out time between two visits.
func TestUpdateByADryOutTimeAgainstQuadrature(t *testing.T) {
	for _, k := range fixtures(t).Censored {
		high := k.High
		if high == 1e6 {
			high = math.Inf(1)
		}
		mean, sd, sure, sureSD := replicate(t, 100, func(seed uint64) (float64, float64) {
			p, err := Update(t.Context(), 1, []Reading{Between{k.Low, high, k.Error}}, of(func(p []float64) []float64 { return []float64{40 * math.Exp(0.8*p[0])} }), Options{Seed: seed, Draws: 400})
			require.NoError(t, err)
			return p.Mean(0)
		})
		// Where the edge is steep, a sample of a few hundred is out by a little
		// more, in inverse proportion to its size.
		assert.InDelta(t, k.Mean, mean, sure+0.01*k.SD, "%+v", k)
		assert.InDelta(t, k.SD, sd, sureSD+0.02*k.SD, "%+v", k)
	}
}

// scipy.stats.truncnorm: an interval without any error cuts the prior off.
func TestUpdateByASharpIntervalAgainstTheTruncatedNormal(t *testing.T) {
	for _, k := range fixtures(t).Truncated {
		mean, sd, sure, sureSD := replicate(t, 100, func(seed uint64) (float64, float64) {
			p, err := Update(t.Context(), 1, []Reading{Between{k.Low, k.High, 0}}, of(func(p []float64) []float64 { return p }), Options{Seed: seed, Draws: 400})
			require.NoError(t, err)
			return p.Mean(0)
		})
		// Where the edge is steep, a sample of a few hundred is out by a little
		// more, in inverse proportion to its size.
		assert.InDelta(t, k.Mean, mean, sure+0.01*k.SD, "%+v", k)
		assert.InDelta(t, k.SD, sd, sureSD+0.02*k.SD, "%+v", k)
	}
}

// What the model draws by itself is lived with: a reading y of t + u, u being
// N(0, 1) by the number of the draw, leaves t as N(y/(2+e²), 1 - 1/(2+e²)).
func TestUpdateWithAModelThatDrawsByItself(t *testing.T) {
	const y, e = 1.5, 0.3
	model := func(_ context.Context, first int, params [][]float64) ([][]float64, error) {
		var out [][]float64
		for i, p := range params {
			u := rand.New(rand.NewPCG(99, uint64(first+i))).NormFloat64()
			out = append(out, []float64{p[0] + u})
		}
		return out, nil
	}
	// One set of u for all seeds: enough draws that they do not show.
	mean, sd, _, _ := replicate(t, 5, func(seed uint64) (float64, float64) {
		p, err := Update(t.Context(), 1, []Reading{Measured{y, e}}, model, Options{Seed: seed, Draws: 20_000})
		require.NoError(t, err)
		return p.Mean(0)
	})
	assert.InDelta(t, y/(2+e*e), mean, 0.02)
	assert.InDelta(t, math.Sqrt(1-1/(2+e*e)), sd, 0.02)
}

// No draw weighs more than the prior in the mixture allows: one over its share,
// times the likelihood (Owen and Zhou 2000).
func TestWeightsAreBoundedByThePrior(t *testing.T) {
	p, err := Update(t.Context(), 2, []Reading{Measured{4, 0.05}}, of(func(p []float64) []float64 { return []float64{p[0] + p[1]} }), Options{})
	require.NoError(t, err)
	require.Greater(t, p.Rounds, 1)
	require.Len(t, p.Weights, 200*p.Rounds)
	sum := 0.0
	for _, w := range p.Weights {
		sum += w
	}
	assert.InDelta(t, 1, sum, 1e-12)
	near := math.Inf(1)
	for _, row := range p.Outcomes[:p.Prior] {
		near = min(near, math.Abs(4-row[0])/0.05)
	}
	assert.InDelta(t, near, p.Misfit[0], 1e-9)
	before, after := p.Param(0)
	assert.InDelta(t, 0, before.Middle, 0.3)
	assert.InDelta(t, 2, after.Middle, 0.3)
	_, sum2 := p.Outcome(0)
	assert.InDelta(t, 4, sum2.Middle, 0.05)
	assert.InDelta(t, 2*1.2816*0.05, sum2.Width(), 0.03)
}

func TestTheSameSeedGivesTheSameDraws(t *testing.T) {
	run := func(seed uint64) *Posterior {
		p, err := Update(t.Context(), 2, []Reading{Measured{4, 0.05}}, of(func(p []float64) []float64 { return []float64{p[0] + p[1]} }), Options{Seed: seed})
		require.NoError(t, err)
		return p
	}
	assert.Equal(t, run(3), run(3))
	assert.NotEqual(t, run(3).Params, run(4).Params)
}

func TestWithoutReadingsThePriorStays(t *testing.T) {
	p, err := Update(t.Context(), 2, nil, of(func(p []float64) []float64 { return p }), Options{Draws: 50})
	require.NoError(t, err)
	assert.Equal(t, 1, p.Rounds)
	assert.InDelta(t, 50, p.Effective, 1e-9)
	before, after := p.Param(0)
	assert.InDelta(t, before.Middle, after.Middle, 1e-12)
}

func TestWhatNoDrawCanHaveLedTo(t *testing.T) {
	model := of(func(p []float64) []float64 { return []float64{p[0], math.Inf(1)} })
	_, err := Update(t.Context(), 1, []Reading{Measured{0, 1}, Between{48, 72, 6}}, model, Options{})
	wrong, ok := errors.AsType[*ContradictionError](err)
	require.True(t, ok, "%v", err)
	assert.Equal(t, []int{1}, wrong.Readings)

	_, err = Update(t.Context(), 1, []Reading{Between{0, 1, 0}, Between{-1, 0, 0}}, of(func(p []float64) []float64 { return []float64{p[0], p[0]} }), Options{})
	wrong, ok = errors.AsType[*ContradictionError](err)
	require.True(t, ok, "%v", err)
	assert.Empty(t, wrong.Readings, "each by itself is possible")
}

func TestAnInterruptionAndAnErrorOfTheModel(t *testing.T) {
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err := Update(stopped, 1, nil, of(func(p []float64) []float64 { return p }), Options{})
	assert.ErrorIs(t, err, context.Canceled)
	sunk := errors.New("sunk")
	_, err = Update(t.Context(), 1, nil, func(context.Context, int, [][]float64) ([][]float64, error) { return nil, sunk }, Options{})
	assert.ErrorIs(t, err, sunk)
	assert.Panics(t, func() {
		Update(t.Context(), 1, []Reading{Measured{1, 1}}, of(func([]float64) []float64 { return nil }), Options{})
	})
}
