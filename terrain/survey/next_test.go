package survey

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// With a reading chosen and taken into the survey, the variance of every
// target is what the planner said it would be: a new solve agrees with the
// covariances brought up to date, choice after choice.
func TestReadingsDoToTheVarianceWhatWasExpected(t *testing.T) {
	shots := scattered(60, 2)
	c := Covariance{Matern32, 0.04, 25, 0.0004}
	for name, lines := range map[string][]Breakline{
		"open ground": nil, "a breakline": {{Line: orb.LineString{{500_020, 3_000_000}, {500_040, 3_000_060}}}},
	} {
		t.Run(name, func(t *testing.T) {
			m, err := Fit(shots, Options{Covariance: &c, Lines: lines})
			require.NoError(t, err)
			var targets []Target
			for i := range 25 {
				targets = append(targets, Target{Point: orb.Point{500_001 + 3*float64(i), 3_000_070 - 2*float64(i)}, Weight: float64(1 + i%3)})
			}
			places, err := m.Next(targets, m.Candidates(frameOf(t, shots, 3)), nil, 4)
			require.NoError(t, err)
			require.Len(t, places, 4)
			loss := func(m *Model) (sum float64) {
				for _, target := range targets {
					_, sd := m.Predict(target.Point)
					sum += target.Weight * sd * sd
				}
				return sum
			}
			more := shots
			for _, p := range places {
				assert.InDelta(t, loss(m), p.Before, 1e-9)
				_, sd := m.Predict(p.Point)
				assert.InDelta(t, sd, p.SD, 1e-9)
				more = append(more[:len(more):len(more)], Shot{Point: p.Point, Z: 20})
				m, err = Fit(more, Options{Covariance: &c, Lines: lines})
				require.NoError(t, err)
				assert.InDelta(t, p.Before-p.Gain, loss(m), 1e-9)
				_, sd = m.Predict(p.Point)
				assert.InDelta(t, sd, p.After, 1e-7) // the solve blurs shots a hair
			}
		})
	}
}

// The first choice is the best of all, tried one by one; and for a decision it
// is not where the ground is least known but where the reading may decide it.
func TestFirstChoiceIsTheBestForTheLoss(t *testing.T) {
	shots := scattered(50, 4)
	c := Covariance{Matern32, 0.04, 25, 0.0004}
	m, err := Fit(shots, Options{Covariance: &c})
	require.NoError(t, err)
	candidates := m.Candidates(frameOf(t, shots, 5))
	var targets []Target
	var level []float64
	for i, p := range candidates {
		if i%4 == 0 {
			targets = append(targets, Target{Point: p, Name: "tree"})
			z, sd := m.Predict(p)
			if p[0] < 500_020 {
				level = append(level, z+0.2*sd) // could be either
			} else {
				level = append(level, z-1) // certainly dry
			}
		}
	}
	byVariance, err := m.Next(targets, candidates, nil, 1)
	require.NoError(t, err)
	byDecision, err := m.Next(targets, candidates, Misjudged(level), 1)
	require.NoError(t, err)
	assert.Less(t, byDecision[0].Point[0], 500_025.0)
	assert.NotEqual(t, byVariance[0].Point, byDecision[0].Point)
	assert.Contains(t, byDecision[0].Reason, "most at tree")
	for _, i := range byDecision[0].Helps {
		assert.Less(t, targets[i].Point[0], 500_020.0)
	}
	for k, p := range candidates { // by a new solve, and by many draws of the reading
		if k%17 != 0 {
			continue
		}
		one, err := m.Next(targets, []orb.Point{p}, nil, 1)
		require.NoError(t, err)
		if len(one) > 0 {
			assert.LessOrEqual(t, one[0].Gain, byVariance[0].Gain)
		}
	}
}

// What a reading is expected to be worth, against drawing it 4,000 times,
// fitting it in and looking.
func TestGainOfADecisionIsTheMeanOverReadings(t *testing.T) {
	shots := scattered(40, 6)
	c := Covariance{Matern32, 0.04, 25, 0.0004}
	m, err := Fit(shots, Options{Covariance: &c})
	require.NoError(t, err)
	p := orb.Point{500_032, 3_000_031}
	target := orb.Point{500_030, 3_000_033}
	z, sd := m.Predict(target)
	loss := Misjudged([]float64{z + 0.3*sd})
	places, err := m.Next([]Target{{Point: target}}, []orb.Point{p}, loss, 1)
	require.NoError(t, err)
	require.Len(t, places, 1)
	zp, sdp := m.Predict(p)
	sum := 0.0
	draws := normals(4000, 3)
	for _, v := range draws {
		reading := zp + math.Hypot(sdp, 0.02)*v
		after, err := Fit(append(shots[:len(shots):len(shots)], Shot{Point: p, Z: reading}), Options{Covariance: &c})
		require.NoError(t, err)
		sum += loss(0, first(after.Predict(target)), second(after.Predict(target))) / float64(len(draws))
	}
	assert.InDelta(t, places[0].Before-sum, places[0].Gain, 0.01)
	assert.Greater(t, places[0].Gain, 0.05)
}

func TestOutcomesHaveTheMomentsOfTheNormal(t *testing.T) {
	for power, want := range map[float64]float64{0: 1, 1: 0, 2: 1, 4: 3} {
		sum := 0.0
		for _, o := range outcomes {
			sum += o[1] * math.Pow(o[0], power)
		}
		assert.InDelta(t, want, sum, 0.01*max(want, 0.1)) // the tails beyond 4 deviations are cut off
	}
}

func first(a, _ float64) float64  { return a }
func second(_, b float64) float64 { return b }

func TestNextRefusesWhatItCannotPlan(t *testing.T) {
	m, err := Fit(scattered(20, 1), Options{})
	require.NoError(t, err)
	_, err = m.Next(nil, nil, nil, 5)
	assert.EqualError(t, err, "no targets; at least one place whose height matters is needed")
	_, err = m.Next([]Target{{}}, nil, nil, 0)
	assert.EqualError(t, err, "0 readings asked for; at least 1 is needed")
	_, err = m.Next([]Target{{Weight: -1}}, nil, nil, 1)
	assert.EqualError(t, err, "target 0 at [0 0] with weight -1; a place in metres and a weight of 0 or more are needed")
	few, err := Fit(scattered(3, 1), Options{})
	require.NoError(t, err)
	_, err = few.Next([]Target{{Point: orb.Point{500_001, 3_000_001}}}, nil, nil, 1)
	assert.ErrorIs(t, err, ErrInput)
}

// 500 shots, 1,000 positions with a level each, 1,000 candidates, five places.
func BenchmarkNext(b *testing.B) {
	shots := scattered(500, 1)
	m, err := Fit(shots, Options{})
	require.NoError(b, err)
	f, err := FrameFor(shots, 0)
	require.NoError(b, err)
	candidates := m.Candidates(f)
	var targets []Target
	var level []float64
	for i := range 1000 {
		p := orb.Point{500_000 + 223*float64(i%40)/40, 3_000_000 + 223*float64(i/40)/25}
		z, _ := m.Predict(p)
		targets, level = append(targets, Target{Point: p}), append(level, z+0.01)
	}
	b.ResetTimer()
	for b.Loop() {
		_, err := m.Next(targets, candidates, Misjudged(level), 5)
		require.NoError(b, err)
	}
}
