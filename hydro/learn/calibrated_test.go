package learn

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pool is a hollow in a few lines: parameter 0 is how fast it soaks, 1 how deep
// it was; the ground at the tree is the draw's own. Outcomes are the depth a day
// after the rain and the hours until dry, in centimetres and hours.
func pool(seed uint64) Model {
	return func(_ context.Context, first int, params [][]float64) ([][]float64, error) {
		var out [][]float64
		for i, p := range params {
			ground := 3 * rand.New(rand.NewPCG(seed, uint64(first+i))).NormFloat64()
			rate := 0.12 * math.Exp(1.2*p[0]) // cm/h
			full := max(18+4*p[1]-ground, 0)
			out = append(out, []float64{full - 24*rate, full / rate})
		}
		return out, nil
	}
}

// Sites are made as the prior has them, looked at with the errors that are
// stated, and learned from: what was true then lies anywhere in what is thought
// after, a tenth of the time in each tenth of it (Talts, S. et al. 2018,
// Validating Bayesian inference algorithms with simulation-based calibration,
// arXiv:1804.06788; from memory). Pearson's sum over ten tenths is above 27.9
// once in a thousand times.
func TestWhatWasTrueLiesAnywhereInWhatIsLearned(t *testing.T) {
	const sites, tenths = 300, 10
	for _, k := range []int{0, 1} {
		var counts [tenths]int
		inside := 0
		for site := range uint64(sites) {
			rng := rand.New(rand.NewPCG(site, 7))
			truth := []float64{rng.NormFloat64(), rng.NormFloat64()}
			seen, err := pool(1000+site)(t.Context(), 0, [][]float64{truth})
			require.NoError(t, err)
			depth := max(0, seen[0][0]+2*rng.NormFloat64())
			dry := seen[0][1] + 6*rng.NormFloat64()
			low := 24 * math.Floor(dry/24)
			post, err := Update(t.Context(), 2, []Reading{Standing{depth, 2}, Between{low, low + 24, 6}}, pool(site), Options{Seed: site})
			require.NoError(t, err)
			below := 0.0
			for i, p := range post.Params {
				if p[k] < truth[k] {
					below += post.Weights[i]
				}
			}
			counts[min(int(below*tenths), tenths-1)]++
			if below > 0.1 && below < 0.9 {
				inside++
			}
		}
		sum := 0.0
		for _, n := range counts {
			d := float64(n) - sites/tenths
			sum += d * d / (sites / tenths)
		}
		t.Logf("parameter %d: by tenths %v, Pearson's sum %.1f, inside the 80 %%: %.1f %%", k, counts, sum, 100*float64(inside)/sites)
		assert.Less(t, sum, 27.9, "parameter %d: %v", k, counts)
		assert.InDelta(t, 0.8, float64(inside)/sites, 0.06, "parameter %d: the 80 %% hold 80 %%", k)
	}
}
