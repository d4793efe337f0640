package learn

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gaussian is a posterior without readings over two outcomes: t itself, and
// three things that could be read.
func gaussian(t *testing.T, draws int) *Posterior {
	p, err := Update(t.Context(), 2, nil, of(func(p []float64) []float64 {
		return []float64{p[0], p[0], 0.6*p[0] + 0.8*p[1], p[1], 5}
	}), Options{Draws: draws})
	require.NoError(t, err)
	return p
}

// Closed form: reading c = ρt + √(1-ρ²)u with error s leaves of the variance of
// t a share of 1 - ρ²/(1+s²).
func TestNextAgainstTheClosedFormOfTheNormal(t *testing.T) {
	for _, tt := range []struct{ draws, within int }{{200, 12}, {1000, 6}, {5000, 3}} {
		p := gaussian(t, tt.draws)
		worth := p.Next([]Candidate{
			{"something else", 3, 0.1},
			{"half of it", 2, 0.3},
			{"itself, roughly", 1, 1},
			{"itself", 1, 0.2},
			{"what is known already", 4, 0.1},
		}, p.Spread(0))
		var names []string
		for _, w := range worth {
			names = append(names, w.Name)
			rho := map[int]float64{1: 1, 2: 0.6}[w.Outcome]
			want := 1 - rho*rho/(1+w.Error*w.Error)
			assert.InDelta(t, want, w.After, float64(tt.within)/100, "%s of %d draws", w.Name, tt.draws)
			assert.InDelta(t, 1, w.Before, 1e-9)
		}
		assert.Equal(t, []string{"itself", "itself, roughly", "half of it"}, names[:3])
	}
}

// Two decisions, to act at a cost of 0.4 or to lose t if it is above 0. A
// perfect reading saves E[min(0.4, t⁺)] against min(0.4, E[t⁺]), by the normal
// loss function: E[t⁺] = φ(0) = 0.3989, E[min(0.4, t⁺)] = φ(0) - φ(c) + c(1 -
// Φ(c)) with c = 0.4.
func TestNextForADecision(t *testing.T) {
	p := gaussian(t, 5000)
	var losses [][]float64
	for _, row := range p.Outcomes {
		losses = append(losses, []float64{0.4, max(0, row[0])})
	}
	phi := func(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
	perfect := phi(0) - phi(0.4) + 0.4*math.Erfc(0.4/math.Sqrt2)/2
	worth := p.Next([]Candidate{{"nothing to do with it", 3, 0.1}, {"itself", 0, 0}}, Decision(losses))
	assert.Equal(t, "itself", worth[0].Name)
	assert.InDelta(t, perfect, worth[0].After, 0.02)
	assert.InDelta(t, phi(0), worth[0].Before, 0.02)
	assert.InDelta(t, worth[1].Before, worth[1].After, 0.03)
}

func TestNextOfWhatCannotBeRead(t *testing.T) {
	p, err := Update(t.Context(), 1, nil, of(func(p []float64) []float64 { return []float64{p[0], math.Inf(1), math.NaN()} }), Options{Draws: 50})
	require.NoError(t, err)
	for _, w := range p.Next([]Candidate{{"never dry", 1, 1}, {"nothing", 2, 1}}, p.Spread(0)) {
		assert.InDelta(t, 1, w.After, 1e-9, w.Name)
	}
	assert.Zero(t, p.Spread(1)(p.Weights))
}
