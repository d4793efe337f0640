package watertable

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Counted by hand: 13 days within 12 inches, then, a dry day later, 14.
func TestLongestSpellWithinTwelveInches(t *testing.T) {
	depths := slices.Concat(
		slices.Repeat([]float64{0.45}, 5), slices.Repeat([]float64{0.25}, 13), []float64{0.35},
		slices.Repeat([]float64{0.20}, 14), slices.Repeat([]float64{0.50}, 7))
	longest, total := LongestSpell(depths, 0.3048)
	assert.Equal(t, Spell{First: 19, Days: 14}, longest)
	assert.Equal(t, 27, total)
	met := map[string]bool{}
	for _, c := range Criteria() {
		met[c.Name] = c.Met(depths)
		assert.Equal(t, 14, c.Days)
	}
	assert.Equal(t, map[string]bool{"wetland monitoring standard": true, "hydric soil technical standard": true}, met)
	depths[25] = math.NaN()
	assert.False(t, Criteria()[0].Met(depths), "a day nobody measured breaks the run")
	longest, total = LongestSpell(nil, 1)
	assert.Zero(t, longest)
	assert.Zero(t, total)
}

// 5 and 12.5 % of seasons of 150, 200 and 240 days: 7.5, 10, 12 and 18.75, 25,
// 30, rounded up to whole days.
func TestShareOfSeason(t *testing.T) {
	for season, want := range map[int][2]int{150: {8, 19}, 200: {10, 25}, 240: {12, 30}} {
		assert.Equal(t, want, [2]int{ShareOfSeason(0.05, season), ShareOfSeason(0.125, season)})
	}
}

// By hand: 30 − 10, 30 − 25, nothing at 30 and 80 cm, and 30 for a table above
// the ground.
func TestSEW30(t *testing.T) {
	assert.InDelta(t, 20+5+30, SEW30([]float64{0.10, 0.25, 0.30, 0.80, -0.05, math.NaN()}), 1e-9)
	assert.InDelta(t, 40, SEW([]float64{0.10}, 0.50), 1e-9)
	assert.Zero(t, SEW30(nil))
}

func TestTooNear(t *testing.T) {
	assert.True(t, TooNear(0.59, 0.6))
	assert.False(t, TooNear(0.6, 0.6))
	assert.False(t, TooNear(math.NaN(), 0.6), "nobody knows")
}
