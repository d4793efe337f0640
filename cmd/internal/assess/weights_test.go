package assess

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wetfeet/hydro/season"
	"wetfeet/species"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wetWinters is a record of four years with a fortnight of rain each January, and
// air that is warm in July only; with the temperatures or without.
func wetWinters(t *testing.T, temperatures bool) string {
	t.Helper()
	var days strings.Builder
	days.WriteString("date,rain_mm,et_mm")
	if temperatures {
		days.WriteString(",tmin_c,tmax_c")
	}
	days.WriteByte('\n')
	for day := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2005; day = day.AddDate(0, 0, 1) {
		rain := 0
		if day.Month() == time.January && day.Day() <= 14 {
			rain = 40
		}
		fmt.Fprintf(&days, "%s,%d,1", day.Format(time.DateOnly), rain)
		if temperatures {
			warm := 14 - 12*math.Cos(2*math.Pi*float64(day.YearDay()-15)/365)
			fmt.Fprintf(&days, ",%.1f,%.1f", warm-5, warm+5)
		}
		days.WriteByte('\n')
	}
	path := filepath.Join(t.TempDir(), "days.csv")
	require.NoError(t, os.WriteFile(path, []byte(days.String()), 0o600))
	return path
}

// Cold wet winters are held against trees of the tropics as if they were warm, and
// against others at a fraction, whether the years are run on the likeliest ground
// or on every draw.
func TestWinterWaterCountsLessForTreesAtRest(t *testing.T) {
	for name, every := range map[string]bool{"on the likeliest ground": false, "on every draw": true} {
		t.Run(name, func(t *testing.T) {
			p := appleAndMango(t)
			p.Rain.Rain = 20 // little enough for the years to tell
			p.Odds.Season = every
			p.Season.File = wetWinters(t, false)
			alike := run(t, p)
			p.Season.File = wetWinters(t, true)
			weighed := run(t, p)
			assert.Contains(t, strings.Join(alike.Assumptions, "\n"), "count alike, whatever the season")
			assert.Contains(t, strings.Join(weighed.Assumptions, "\n"), "An hour of wet roots in those years counts by how warm the soil is that day")
			less := 0
			for i := range alike.Trees {
				a, w := &alike.Trees[i], &weighed.Trees[i]
				assert.InDelta(t, a.LongestWetDays, w.LongestWetDays, 1e-9, "the days are the same")
				if a.ID[:1] == "M" {
					assert.InDelta(t, a.Odds, w.Odds, 1e-9, a.ID)
					continue
				}
				assert.LessOrEqual(t, w.Odds, a.Odds+1e-9, a.ID)
				if w.Odds < a.Odds-0.1 {
					less++
					assert.Contains(t, w.Why, "what counts as", a.ID)
				}
			}
			assert.Positive(t, less)
			assert.Greater(t, alike.Trees[4].Odds, 0.5, "the mango stands in water in winter")

			p.Odds.Off = true
			p.Odds.Season = false
			byDays := run(t, p)
			p.Season.File = wetWinters(t, false)
			alikeByDays := run(t, p)
			assert.Less(t, byDays.Trees[1].Risk, alikeByDays.Trees[1].Risk, byDays.Trees[1].Why)
			assert.Equal(t, byDays.Trees[4].Risk, alikeByDays.Trees[4].Risk)
			assert.Contains(t, byDays.Trees[1].Why, "which counts as")
		})
	}
}

// Of the likeliest ground and soil a draw tells the doses that the season tells.
func TestTheMiddleDrawHasTheDosesOfThePlainSeason(t *testing.T) {
	p := appleAndMango(t)
	p.Season.File = wetWinters(t, true)
	r, g := likeliest(t, p)
	common, _, err := r.seasonOptions(p, g.record)
	require.NoError(t, err)
	var watch []int
	for i := range r.Trees {
		watch = append(watch, r.Trees[i].cell)
	}
	s, err := season.RunSpells(context.Background(), r.Storm.Site, g.record, r.seasonOfDraw(common, chance{}, r.Storm.Site, watch), []float64{0})
	require.NoError(t, err)
	wet := 0
	for i := range r.Trees {
		require.NotNil(t, r.Trees[i].Doses)
		cool, warm := season.Median(s.Dose(nil, temperate, 0, i)), season.Median(s.Dose(nil, tropical, 0, i))
		assert.Equal(t, *r.Trees[i].Doses, species.Doses{Temperate: cool, Tropical: warm})
		if warm > 0 {
			wet++
			assert.Less(t, cool, 0.6*warm)
			assert.InDelta(t, warm, r.Trees[i].LongestWetDays, 1e-9, "no cold makes it less, and no soil here is over 20 °C in winter")
		}
	}
	assert.Positive(t, wet)
}

// Dates of a growing season alone, without temperatures, tell rest.
func TestAGrowingSeasonAloneTellsRest(t *testing.T) {
	p := appleAndMango(t)
	p.Season.File = wetWinters(t, false)
	p.Season.Growing = &season.Growing{First: season.Date{Month: 4, Day: 1}, Last: season.Date{Month: 10, Day: 31}, How: "as given"}
	g, err := p.given()
	require.NoError(t, err)
	weights, said := p.weights(g.record, *p.Season.Growing, true)
	assert.Contains(t, said, "counts outside the growing season no more than in soil of 5 °C;")
	at := func(m time.Month, day int) int {
		return time.Date(2002, m, day, 0, 0, 0, 0, time.UTC).YearDay() - 1 + 365
	}
	assert.InDelta(t, math.Exp2(-1.5), weights[temperate][at(time.January, 5)], 1e-12)
	assert.Equal(t, 1.0, weights[temperate][at(time.April, 1)])
	assert.Equal(t, 1.0, weights[tropical][at(time.January, 5)])
}
