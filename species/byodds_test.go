package species

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestVerdictsByOdds(t *testing.T) {
	d := die{rand.New(rand.NewPCG(21, 22))}
	advice, swapped := map[string]int{}, 0
	all := BuiltIn().All()
	for range 1500 {
		o := d.draws(20, 3*d.Float64()*d.Float64(), 0.02)
		s, e := d.spot(), all[d.IntN(len(all))]
		s.WaterTable = math.NaN()
		opts := JudgeOptions{Odds: o, Conditions: d.conditions(), Target: 0.4 * d.Float64()}
		v := BuiltIn().JudgeWith(s, e, opts)
		tol := e.Tolerance(opts.Conditions)
		advice[v.Advice]++
		assert.True(t, v.ByOdds)
		assert.Equal(t, o.Loss(tol, 0), v.Odds)
		assert.Equal(t, RiskOf(v.Odds), v.Risk)
		assert.Equal(t, v.Risk >= High, v.Flagged)
		assert.Equal(t, v.Flagged, v.Advice != "keep")
		assert.Equal(t, v.Flagged, v.Mound > 0)
		assert.Equal(t, Range{tol.Quantile(0.1), tol.Quantile(0.5), tol.Quantile(0.9)}, round(v.Tolerance, tol))
		if !v.Flagged {
			assert.Equal(t, v.Odds, v.OddsRaised)
			assert.Equal(t, v.Odds, v.OddsSwapped)
			continue
		}
		anew := opts.Conditions // a tree that stands is planted again on its mound
		anew.Years = 0
		if v.Mound <= highestMound {
			assert.Equal(t, o.Loss(e.Tolerance(anew), v.Mound), v.OddsRaised)
			assert.LessOrEqual(t, v.OddsRaised, opts.target())
		}
		if len(v.Swaps) > 0 {
			swapped++
			assert.LessOrEqual(t, v.OddsSwapped, opts.target())
		}
		for _, c := range v.Swaps {
			assert.LessOrEqual(t, o.Loss(c.Tolerance(opts.Conditions.Anew()), 0), opts.target(), c.Scientific)
		}
	}
	for _, a := range []string{"keep", "raise", "swap", "move"} {
		assert.Greater(t, advice[a], 20, a)
	}
	assert.Greater(t, swapped, 50)
}

// round lets a range that agrees to the last bits stand for the tolerance's.
func round(r Range, t Tolerance) Range {
	near := func(a, b float64) float64 {
		if math.Abs(a-b) < 1e-9*b {
			return b
		}
		return a
	}
	return Range{near(r.Low, t.Quantile(0.1)), near(r.Likely, t.Quantile(0.5)), near(r.High, t.Quantile(0.9))}
}

func TestANearWaterTableCountsBesideTheOdds(t *testing.T) {
	e := ofClass(ShortSoak)
	s := ground(Spot{})
	s.WaterTable = 0.2
	v := alone(e).JudgeWith(s, e, JudgeOptions{Odds: even(0, 0)})
	assert.Equal(t, High, v.Risk)
	assert.Zero(t, v.Odds)
	assert.Equal(t, 0.10, v.Mound)
	assert.Contains(t, v.Why, "water table")
}

func TestATrialIsToldAndNeverFlagged(t *testing.T) {
	mango := find(t, "mango")
	o := even(20*24, 0.08)
	plain := BuiltIn().JudgeWith(pond(0.08, 20*24), mango, JudgeOptions{Odds: o})
	trial := BuiltIn().JudgeWith(pond(0.08, 20*24), mango, JudgeOptions{Odds: o, Trial: true})
	assert.True(t, plain.Flagged)
	assert.Equal(t, Severe, trial.Risk, "the risk is not hidden")
	assert.Equal(t, plain.Odds, trial.Odds)
	assert.Equal(t, plain.Tolerance, trial.Tolerance, "it keeps its doubt")
	assert.True(t, trial.Trial)
	assert.False(t, trial.Flagged)
	assert.Equal(t, "keep", trial.Advice)
	assert.Equal(t, "A trial. "+plain.Why, trial.Why)

	byDays := BuiltIn().JudgeWith(pond(0.08, 20*24), mango, JudgeOptions{Trial: true})
	assert.Equal(t, Severe, byDays.Risk)
	assert.True(t, byDays.Trial && !byDays.Flagged && !byDays.ByOdds)
	assert.Equal(t, "keep", byDays.Advice)
}

func TestWhyByOdds(t *testing.T) {
	d := die{rand.New(rand.NewPCG(23, 24))}
	third := even(0, 0)
	third.Hours = [][]float32{{0, 0, 0, 0, 0, 0, 0, 48, 72, 96}}
	third.Depth = make([]float32, 10)
	year, yearDeep := even(72, 0.08), even(100, 0.35)
	year.Times, yearDeep.Times = 2, 1.5
	for _, tt := range []struct {
		name, of string
		odds     *Odds
		c        Conditions
		want     string
	}{
		{"dry", "mango", even(0, 0), Conditions{},
			"Less than 1 in 10 that it drowns here: no water is expected at its roots; newly planted it bears about half a day to 7 days (likely 2 days)."},
		{"certain", "mango", even(72, 0.08), Conditions{},
			"About 7 in 10 that it drowns here: its roots stay wet for 3 days; newly planted it bears about half a day to 7 days (likely 2 days)."},
		{"longer in the year", "mango", year, Conditions{},
			"About 9 in 10 that it drowns here: its roots stay wet for 6 days, in the storm or the longest wet spell of a usual year; newly planted it bears about half a day to 7 days (likely 2 days)."},
		{"longer in the year, deep", "pecan", yearDeep, Conditions{},
			"Nearly certain (over 9 in 10) that it drowns here: its roots stay wet for 6 days, in the storm or the longest wet spell of a usual year, in 0.35 m of water, deeper than the 0.10 m taken as shallow; newly planted it bears about 4 days to 2 weeks (likely 7 days)."},
		{"some cases", "mango", third, Conditions{},
			"About 2 in 10 that it drowns here: water gets to its roots in about 3 in 10 cases, then for 2 to 4 days (likely 3); newly planted it bears about half a day to 7 days (likely 2 days)."},
		{"a spread", "pecan", d.draws(200, 0.15, 0.004), Conditions{Years: 5},
			"Less than 1 in 10 that it drowns here: water gets to its roots in about 7 in 10 cases, then for 4 hours to 2 days (likely a day); it bears about 8 days to 5 weeks (likely 2 weeks)."},
		{"deep", "pecan", even(100, 0.35), Conditions{},
			"About 8 in 10 that it drowns here: its roots stay wet for 4 days in 0.35 m of water, deeper than the 0.10 m taken as shallow; newly planted it bears about 4 days to 2 weeks (likely 7 days)."},
		{"over its head", "papaya", even(10, 0.9), Conditions{},
			"Nearly certain (over 9 in 10) that it drowns here: its roots stay wet for half a day in 0.90 m of water, over the head of a tree as it is planted; newly planted it bears about 3 hours to a day (likely half a day)."},
		{"on a rootstock", "atemoya", even(100, 0.05), Conditions{Rootstock: "Annona glabra"},
			"Less than 1 in 10 that it drowns here: its roots stay wet for 4 days; newly planted it bears about 2 to 8 weeks (likely 4) on pond apple roots."},
		{"swamp", "bald cypress", even(2000, 0.3), Conditions{},
			"About 4 in 10 that it drowns here: its roots stay wet for 3 months in 0.30 m of water; newly planted it bears about 2 months to a whole year (likely 3 months)."},
	} {
		v := BuiltIn().JudgeWith(pond(0.1, 1), find(t, tt.of), JudgeOptions{Odds: tt.odds, Conditions: tt.c})
		assert.Equal(t, tt.want, v.Why, tt.name)
	}
}
