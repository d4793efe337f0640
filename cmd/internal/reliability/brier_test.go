package reliability

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Brier (1950), table 1: ten forecasts of rain or no rain score 0.19 where both
// outcomes count. The table is from memory; it bears its score out.
func TestBrierOfTheTableOfBrier(t *testing.T) {
	odds := []float64{0.7, 0.9, 0.8, 0.4, 0.2, 0, 0, 0, 0, 0.1}
	rain := []bool{false, true, true, true, false, false, false, false, false, false}
	assert.InDelta(t, 0.19/2, Brier(odds, rain), 1e-15)
}

func TestSkill(t *testing.T) {
	seen := []bool{true, false, false, false}
	share := []float64{0.25, 0.25, 0.25, 0.25}
	assert.InDelta(t, 1, Skill([]float64{1, 0, 0, 0}, share, seen), 1e-15, "perfect")
	assert.Zero(t, Skill(share, share, seen), "the reference itself")
	assert.Less(t, Skill([]float64{0, 1, 1, 1}, share, seen), 0.0, "always wrong")
	// Halfway to the truth leaves a quarter of the score.
	assert.InDelta(t, 0.75, Skill([]float64{0.625, 0.125, 0.125, 0.125}, share, seen), 1e-15)
	assert.True(t, math.IsInf(Skill(share, []float64{1, 0, 0, 0}, seen), -1))
}

func TestScoresOfNothingAreUnknown(t *testing.T) {
	assert.True(t, math.IsNaN(Brier(nil, nil)))
	c := Corp(nil, nil)
	assert.Empty(t, c.Points)
	assert.True(t, math.IsNaN(c.Brier) && math.IsNaN(c.Miscalibration) && math.IsNaN(c.Discrimination) && math.IsNaN(c.Uncertainty))
	assert.True(t, math.IsNaN(Coverage(nil, nil, nil, nil).Value))
	assert.True(t, math.IsNaN(Bias(nil, nil, nil).Value))
}

func TestOddsAreRefused(t *testing.T) {
	assert.PanicsWithValue(t, "reliability: 1 odds for 2 events", func() { Brier([]float64{1}, []bool{true, false}) })
	assert.PanicsWithValue(t, "reliability: odds NaN of event 0 are not within 0 and 1", func() { Corp([]float64{math.NaN()}, []bool{true}) })
	assert.PanicsWithValue(t, "reliability: odds 1.5 of event 1 are not within 0 and 1", func() { Corp([]float64{1, 1.5}, []bool{true, false}) })
	assert.PanicsWithValue(t, "reliability: 1 weights for 2 values", func() { Isotonic([]float64{1, 2}, []float64{1}) })
	assert.PanicsWithValue(t, "reliability: weight 0 of value 1 is not positive", func() { Isotonic([]float64{1, 2}, []float64{1, 0}) })
	assert.Panics(t, func() { Consistency([]float64{0.5}, 1, 10, 1, Independent([]float64{0.5})) })
	assert.Panics(t, func() { Coverage([]float64{0}, []float64{1, 2}, []float64{0.5}, nil) })
	assert.Panics(t, func() { Bias([]float64{0}, []float64{1, 2}, nil) })
}
