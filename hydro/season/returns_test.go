package season

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/weather"
)

// Weibull's plotting position of the largest of nine years is 10 years, of the
// next 5, and of the middle one 2: by definition, (n+1)/rank.
func TestReturnPeriodsByRank(t *testing.T) {
	days := []float64{3, 0, 8, 21, 2, 5, 1, 4, 12}
	r, err := ReturnsOf(days)
	require.NoError(t, err)
	for _, tt := range []struct{ years, want float64 }{{10, 21}, {5, 12}, {2, 4}, {10.0 / 3, 8}, {1.05, 0}, {10.0 / 9, 0}} {
		got, err := r.Once(tt.years)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, got, 1e-12, "once in %g years", tt.years)
	}
	assert.Equal(t, 4.0, Median(days))
	assert.InDelta(t, 0.2, r.Chance(11), 1e-12, "two years of nine, k/(n+1)")

	t.Run("between and beyond it only rises", func(t *testing.T) {
		last := -1.0
		for years := 1.01; years < 13.5; years += 0.01 {
			got, err := r.Once(years)
			require.NoError(t, err)
			require.GreaterOrEqual(t, got, last, "once in %g years", years)
			last = got
		}
	})
	t.Run("beyond the record it is the Gumbel distribution", func(t *testing.T) {
		g, err := weather.FitGumbel(days)
		require.NoError(t, err)
		want, err := g.Value(13)
		require.NoError(t, err)
		got, err := r.Once(13)
		require.NoError(t, err)
		assert.Equal(t, max(want, 21), got)
	})
	t.Run("a record too short is told", func(t *testing.T) {
		_, err := r.Once(50)
		assert.ErrorContains(t, err, "9 whole years are too short a record for what comes once in 50; 13 are the most")
		_, err = r.Once(1)
		assert.ErrorContains(t, err, "not above 1")
		_, err = ReturnsOf(days[:4])
		assert.ErrorContains(t, err, "5 are the least")
	})
}

func TestSummaryCountsWholeYears(t *testing.T) {
	s := prepare(t, trough())
	record := daily("2001-03-01", showers(4*365, 3, 12, 4), 2) // whole: 2002, 2003, 2004
	limit := Options{Zones: []Zone{loam()}, Infiltration: []float64{0.2}, Positions: []Position{{Cell: 6}, {Cell: 0}}}
	res := run(t, s, record, limit)
	sum, err := res.Summary(0)
	require.NoError(t, err)
	assert.Equal(t, 3, sum.Years)
	list := res.LongestSpells(0)
	require.Len(t, list, 3)
	assert.Equal(t, Median(list), sum.Longest)
	assert.Equal(t, res.Wetness[0][sum.WorstYear].Longest, sum.Worst)
	assert.Greater(t, sum.Worst, 0.0)
	dry, err := res.Summary(1)
	require.NoError(t, err)
	assert.Equal(t, -1, dry.WorstYear)

	res = run(t, s, daily("2001-03-01", make([]float64, 30), 2), limit)
	_, err = res.Summary(0)
	assert.ErrorContains(t, err, "no whole year")
}
