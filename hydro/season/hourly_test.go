package season

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
)

// hourly spreads the days of a record evenly over their hours.
func hourly(r *weather.Record) *weather.Record {
	h := &weather.Record{Start: r.Start, Step: time.Hour}
	for i := range r.Rain {
		for range 24 {
			h.Rain = append(h.Rain, r.Rain[i]/24)
			h.ET = append(h.ET, r.ET[i]/24)
		}
	}
	return h
}

// On paved ground an even day is the same in one step and in 24.
func TestHoursOfEvenDaysAreThoseDays(t *testing.T) {
	s := prepare(t, rough(16, 2))
	var places []Position
	for c := range 256 {
		places = append(places, Position{Cell: c, Roots: storm.Roots{Crown: 0.01, Depth: 0.3, Porosity: 0.1, Drainage: 2}})
	}
	o := Options{Zones: []Zone{paved()}, Infiltration: []float64{0.6}, Positions: places}
	record := daily("2003-11-20", showers(100, 5, 12, 1), 2)
	days, hours := run(t, s, record, o), run(t, s, hourly(record), o)
	require.Len(t, hours.Years, 2)
	for c := range places {
		for y := range days.Years {
			a, b := days.Wetness[c][y], hours.Wetness[c][y]
			require.InDelta(t, a.Longest, b.Longest, 1e-6, "cell %d", c)
			require.InDelta(t, a.SEW30, b.SEW30, 1e-6)
			require.Equal(t, a.FirstWet, b.FirstWet)
			require.Equal(t, a.WetDays, b.WetDays)
		}
		require.InDelta(t, days.Longest[c].Days, hours.Longest[c].Days, 1e-6)
	}
	closes(t, hours.Balance)

	o.Zones = []Zone{loam()}
	days, hours = run(t, s, record, o), run(t, s, hourly(record), o)
	total := func(list []float64) (sum float64) {
		for _, v := range list {
			sum += v
		}
		return sum
	}
	require.Greater(t, total(days.Runoff), 5.0)
	assert.InEpsilon(t, total(days.Runoff), total(hours.Runoff), 0.001, "the storm of a curve number is a day in both")
	closes(t, hours.Balance)
}

// A storm at noon that lasts an hour is wet from noon on, in whatever clock the
// record begins.
func TestHoursOfTheDay(t *testing.T) {
	s := prepare(t, trough())
	for _, begin := range []int{0, 7, 23} {
		r := &weather.Record{Start: time.Date(2004, 2, 27, begin, 0, 0, 0, time.UTC), Step: time.Hour}
		r.Rain, r.ET = make([]float64, 24*10), make([]float64, 24*10)
		noon := time.Date(2004, 2, 29, 12, 0, 0, 0, time.UTC)
		r.Rain[int(noon.Sub(r.Start).Hours())] = 5
		res := run(t, s, r, Options{Zones: []Zone{paved()}, Infiltration: []float64{1.25}, Positions: []Position{{Cell: 6}}})
		w := res.Wetness[0][0]
		assert.Equal(t, noon, w.Since)
		hours := 24 * w.Longest
		require.Greater(t, hours, 12.0)
		assert.InDelta(t, 12, w.Hours[1], 1e-9, "on 29 February")
		assert.InDelta(t, hours-12, w.Hours[2], 1e-9, "and in March")
		assert.Equal(t, time.Date(2004, 2, 29, 0, 0, 0, 0, time.UTC), w.FirstWet)
	}
}

// A warm-up leaves the soil as dry, or as wet, as the season before the record.
func TestWarmUpWetsWhatTheRecordFinds(t *testing.T) {
	s := prepare(t, trough())
	record := daily("2003-01-01", make([]float64, 400), 3)
	record.Rain[395] = 60
	o := Options{Zones: []Zone{loam()}, Infiltration: []float64{0.001}, Positions: []Position{{Cell: 6}}}
	cold := run(t, s, record, o)
	o.WarmUp = 400
	warm := run(t, s, record, o)
	closes(t, warm.Balance)
	assert.Zero(t, cold.Wetness[0][0].Hours[0], "nothing stands on a dry site")
	assert.Positive(t, warm.Wetness[0][0].Hours[0], "what the warm-up left still stands")
	assert.Equal(t, record.Start, warm.Wetness[0][0].Since)
	assert.Less(t, warm.Balance.Transpired, cold.Balance.Transpired)
	assert.InDelta(t, 60*15/1000.0, warm.Balance.Rain, 1e-9, "its rain does not count")
}

// A water table of the model, on the ground it was made for.
func TestTableOfAModel(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 40, Cols: 60, CellSize: 5})
	index := terrain.NewGrid[float32](z.Frame)
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = float32(10 - 0.05*float64(c) + 0.2*math.Sin(float64(r)/3)*math.Sin(float64(c)/4))
		index.Cells[i] = float32(8 + 2*math.Cos(float64(r)/5))
	}
	m, err := watertable.Prepare(watertable.Site{Ground: z, Index: index, Soil: watertable.Soil{Conductivity: 0.5}}, watertable.Options{})
	require.NoError(t, err)
	s := prepare(t, z)
	var places []Position
	for c := 0; c < z.Len(); c += 50 {
		places = append(places, Position{Cell: c})
	}
	o := Options{Zones: []Zone{loam()}, Infiltration: []float64{1}, Positions: places, WaterTable: TableOf(m, m.Usual(), 0.0008)}
	res := run(t, s, daily("2001-01-01", showers(1096, 3, 9, 1), 1), o)
	closes(t, res.Balance)
	assert.Positive(t, res.Balance.Drained)
	low, high := math.Inf(1), math.Inf(-1)
	for _, d := range res.WaterTable {
		low, high = min(low, d), max(high, d)
	}
	assert.Greater(t, high-low, 0.02, "the table moves")
	assert.Less(t, high, 5.0)

	at := o.WaterTable.At
	o.WaterTable.At = func(p orb.Point) (watertable.Position, bool) {
		q, ok := at(p)
		return q, ok && p[0] > 100
	}
	o.Positions = []Position{{Name: "R1-001", Cell: 3}}
	_, err = Run(context.Background(), s, daily("2001-01-01", []float64{1}, 1), o)
	assert.ErrorContains(t, err, "position 0 R1-001: the water table is not known there")
}
