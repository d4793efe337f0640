package season

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/weather"
)

func TestSeasonsByDate(t *testing.T) {
	for _, tt := range []struct {
		first, last string
		days        int // of 2003, or 2003/04
		begins      string
	}{
		{"04-15", "10-15", 184, "2003-01-01"},
		{"10-01", "04-30", 213, "2003-07-16"}, // 2004 is leap; 154 days between two seasons, half of them after 30 April
		{"01-01", "12-31", 365, "2003-01-01"},
		{"11-15", "02-29", 107, "2003-07-08"},
	} {
		first, err := ParseDate(tt.first)
		require.NoError(t, err)
		last, err := ParseDate(tt.last)
		require.NoError(t, err)
		g := Growing{First: first, Last: last}
		require.NoError(t, g.Check())
		assert.Equal(t, tt.days, g.Days(2003), "%v to %v", first, last)
		assert.Equal(t, tt.begins, g.begins(2003).Format(time.DateOnly), "%v to %v", first, last)
	}
	for _, wrong := range []string{"", "4-15-2", "13-01", "04-31", "02-30"} {
		_, err := ParseDate(wrong)
		assert.Error(t, err, wrong)
	}
	assert.Equal(t, 366, Growing{}.Days(2004), "a season of all year has its leap day")
}

// Corps of Engineers practice (1987 manual), of growing seasons of 150, 200 and
// 240 days: the thresholds are in package watertable; here, that a season has
// the length it says.
func TestYearsOfARecord(t *testing.T) {
	record := daily("2003-03-01", make([]float64, 3*365), 1)
	list := years(record, Growing{First: Date{10, 1}, Last: Date{4, 30}})
	require.Len(t, list, 4)
	assert.Equal(t, []string{"2002/03", "2003/04", "2004/05", "2005/06"}, []string{list[0].Name, list[1].Name, list[2].Name, list[3].Name})
	assert.Equal(t, []bool{false, true, true, false}, []bool{list[0].Whole, list[1].Whole, list[2].Whole, list[3].Whole})
	assert.Equal(t, 366, list[1].To-list[1].From, "it has 29 February 2004")
	assert.Equal(t, 213, list[1].SeasonTo-list[1].SeasonFrom)
	assert.Equal(t, "2003-10-01", record.Time(list[1].SeasonFrom).Format(time.DateOnly))
	assert.Equal(t, 61, list[0].SeasonTo-list[0].SeasonFrom, "what the record has of it: March and April")
	for n := 1; n < len(list); n++ {
		assert.Equal(t, list[n-1].To, list[n].From)
	}
	assert.Equal(t, 0, list[0].From)
	assert.Equal(t, record.Len(), list[3].To)

	all := years(daily("2003-01-01", make([]float64, 365+366), 1), Growing{}.whole())
	require.Len(t, all, 2)
	assert.Equal(t, 365, all[0].To)
	assert.Equal(t, 366, all[1].To-all[1].From)
	assert.True(t, all[1].Whole)
}

// cosine is temperatures with a coldest day, and a least one of −20 °C about it.
func cosine(coldest int) *weather.Record {
	r := daily("2001-01-01", make([]float64, 6*365+1), 1)
	for i := range r.Rain {
		year := 2 * math.Pi * float64(r.Time(i).YearDay()-coldest) / 365.25
		r.TMin = append(r.TMin, -20*math.Cos(year))
	}
	return r
}

func TestSeasonByTemperature(t *testing.T) {
	// cos(x) = 1/9 of its way: −2.22 °C is reached 83.6 degrees of the year,
	// 84.8 days, after the coldest day, and as long before it.
	g, err := GrowingByTemperature(cosine(15), KillingFrost)
	require.NoError(t, err)
	assert.InDelta(t, 15+84.8, float64(g.First.in(2001).YearDay()), 2)
	assert.InDelta(t, 365+15-84.8, float64(g.Last.in(2001).YearDay()), 2)
	assert.InDelta(t, -2.222, KillingFrost, 1e-3)

	south, err := GrowingByTemperature(cosine(15+182), KillingFrost)
	require.NoError(t, err)
	assert.True(t, south.crosses())
	assert.InDelta(t, g.Days(2002), south.Days(2002), 3)

	warm := cosine(15)
	for i := range warm.TMin {
		warm.TMin[i] = 15
	}
	g, err = GrowingByTemperature(warm, KillingFrost)
	require.NoError(t, err)
	assert.Equal(t, 365, g.Days(2003))
	assert.Contains(t, g.How, "no frost")

	_, err = GrowingByTemperature(daily("2001-01-01", make([]float64, 900), 1), KillingFrost)
	assert.ErrorContains(t, err, "no temperatures")
	short := cosine(15)
	short.TMin, short.Rain = short.TMin[:200], short.Rain[:200]
	_, err = GrowingByTemperature(short, KillingFrost)
	assert.ErrorContains(t, err, "no year")
}

func TestDaysOfASeason(t *testing.T) {
	for _, g := range []Growing{{}, {First: Date{4, 1}, Last: Date{10, 31}}, {First: Date{9, 15}, Last: Date{2, 28}}} {
		from, to := g.whole().span(2001)
		days := 0
		for day := time.Date(2002, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() == 2002; day = day.AddDate(0, 0, 1) {
			if g.Has(day.Month(), day.Day()) {
				days++
			}
		}
		assert.Equal(t, int(to.Sub(from)/(24*time.Hour)), days)
		last := to.AddDate(0, 0, -1)
		assert.True(t, g.Has(from.Month(), from.Day()) && g.Has(last.Month(), last.Day()))
	}
	assert.False(t, Growing{First: Date{9, 15}, Last: Date{2, 28}}.Has(time.June, 1))
}
