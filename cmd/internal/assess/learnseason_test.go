package assess

import (
	"context"
	"testing"
	"time"

	"wetfeet/cmd/internal/logbook"
	"wetfeet/hydro/season"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The day of a storm tells the warmth of its soil and whether trees were at rest:
// by the record, by the same month of other years, or by the site file.
func TestADayTellsWhatTheStormFound(t *testing.T) {
	p := appleAndMango(t)
	p.Season.File = wetWinters(t, true)
	p.Season.Growing = &season.Growing{First: season.Date{Month: 4, Day: 1}, Last: season.Date{Month: 10, Day: 31}}
	g, err := p.given()
	require.NoError(t, err)
	c := p.calendar(g.record, quantity.Metric)
	day := func(s string) time.Time {
		at, err := time.Parse(time.DateOnly, s)
		require.NoError(t, err)
		return at
	}
	tree := species.Conditions{Years: 4, Rootstock: "M9", Rot: true}
	winter := c.on(tree, day("2003-01-20"))
	require.NotNil(t, winter.Soil)
	i := int(day("2003-01-20").Sub(g.record.Start).Hours() / 24)
	assert.Equal(t, g.record.SoilTemperature()[i], *winter.Soil)
	assert.True(t, winter.Dormant)
	assert.Equal(t, []any{4.0, "M9", true}, []any{winter.Years, winter.Rootstock, winter.Rot})
	later := c.on(tree, day("2026-07-10"))
	assert.Equal(t, g.record.MonthlySoilTemperature(time.July), *later.Soil)
	assert.False(t, later.Dormant)
	assert.Equal(t, "it was held against what such a tree bears at rest, in soil of 2 °C, as the time of year tells", foundWords(winter, quantity.Metric))

	cold, yes := 7.0, true
	bare := Plan{Conditions: ConditionsPlan{Month: time.March, Soil: &cold, Dormant: &yes}}.calendar(nil, quantity.Metric)
	march := bare.on(tree, day("2026-03-02"))
	assert.Equal(t, 7.0, *march.Soil)
	assert.True(t, march.Dormant)
	may := bare.on(tree, day("2026-05-02"))
	assert.Nil(t, may.Soil)
	assert.False(t, may.Dormant)
	assert.Empty(t, foundWords(may, quantity.Metric))
}

// A tree that thrives after days of water in summer tells more of what its species
// bears than one that thrives after the same days in the cold.
func TestHealthAfterAWinterStormTellsLess(t *testing.T) {
	p := appleAndMango(t)
	p.Season.File = wetWinters(t, true)
	learned := map[string]float64{}
	for name, ended := range map[string]string{"winter": "2003-01-20", "summer": "2003-07-20"} {
		when, err := logbook.ParseWhen(ended + " 18:00")
		require.NoError(t, err)
		seen := []logbook.Observation{{ID: 1, Tree: "A2", Seen: when, Health: "thriving", Storm: logbook.Storm{Ended: when, Rain: 150, Hours: 24}}}
		_, l, err := Learn(context.Background(), p, seen, LearnOptions{Draws: 100, Seed: 3}, nil)
		require.NoError(t, err)
		require.Len(t, l.Species, 1)
		learned[name] = l.Species[0].After.Likely
		assert.Contains(t, l.Remarks[0], "it was held against what such a tree bears")
	}
	assert.Greater(t, learned["summer"], 1.15*learned["winter"], "%v", learned)
}
