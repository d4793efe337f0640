package season

import (
	"context"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
)

// scene is a year of daily depths of the water table for one watcher, and no
// ponds: the reading that a season would make of it.
func scene(t *testing.T, first string, depths []float64, g Growing, p Position, limit *watertable.Criterion) Wetness {
	t.Helper()
	s := prepare(t, trough())
	record := daily(first, make([]float64, len(depths)), 0)
	y := years(record, g.whole())[0]
	c := &chapter{year: &y, step: 24, start: record.Start, limit: limit,
		history: s.Run(nil, storm.Loss{}, storm.Step{Hours: float64(24 * len(depths))}),
		filled:  [][]bool{make([]bool, len(depths))}}
	for _, d := range depths {
		c.table = append(c.table, watertable.Daily{Deficit: d})
	}
	w := watcher{Position: &p, under: watertable.Position{PerDeficit: 1}}
	return w.read(c)
}

func repeat(list []float64, n int, v float64) []float64 {
	for range n {
		list = append(list, v)
	}
	return list
}

// By hand: 5 days at 40 cm count nothing, 3 at 25 cm 5 each, 2 at 10 cm 20 each,
// and one at the surface 30. The sum is 85 cm·day. The definition is Sieben's.
func TestSEW30ByHand(t *testing.T) {
	depths := repeat(repeat(repeat(repeat(nil, 5, 0.40), 3, 0.25), 2, 0.10), 1, 0)
	w := scene(t, "2003-05-01", depths, Growing{}, Position{Cell: 6}, nil)
	assert.InDelta(t, 85, w.SEW30, 1e-9)
	assert.InDelta(t, watertable.SEW30(depths), w.SEW30, 1e-9)

	w = scene(t, "2003-05-01", depths, Growing{}, Position{Cell: 6, Roots: storm.Roots{Crown: 0.15}}, nil)
	assert.InDelta(t, 2*5+15, w.SEW30, 1e-9, "from the top of a mound of 15 cm")

	w = scene(t, "2003-05-01", depths, Growing{First: Date{5, 10}, Last: Date{9, 1}}, Position{Cell: 6}, nil)
	assert.InDelta(t, 20+30, w.SEW30, 1e-9, "in a season from the tenth of May")
}

// Check L08: 5 days at 0.45 m, 13 at 0.25, one at 0.35, 14 at 0.20 and 7 at 0.50
// against the standard for monitored wetlands, 14 days within 12 inches: the
// longest run is 14, 27 days are within.
func TestLongestWetRun(t *testing.T) {
	depths := repeat(repeat(repeat(repeat(repeat(nil, 5, 0.45), 13, 0.25), 1, 0.35), 14, 0.20), 7, 0.50)
	limit := watertable.Criteria()[0]
	w := scene(t, "2003-05-01", depths, Growing{}, Position{Cell: 6, Clearance: 0.3048}, &limit)
	assert.Equal(t, 14, w.Run)
	assert.InDelta(t, 14, w.Longest, 1e-9)
	assert.Equal(t, 27, w.WetDays)
	assert.Equal(t, "2003-05-06", w.FirstWet.Format(time.DateOnly))
	assert.Equal(t, "2003-06-02", w.LastWet.Format(time.DateOnly))
	assert.Equal(t, "2003-05-20", w.Since.Format(time.DateOnly))
	assert.Equal(t, 24.0*(26-1), w.Hours[4], "6 to 18 and 20 to 31 May")
	assert.Equal(t, 48.0, w.Hours[5])

	w = scene(t, "2003-05-01", depths, Growing{First: Date{5, 21}, Last: Date{10, 1}}, Position{Cell: 6, Clearance: 0.3048}, &limit)
	assert.Equal(t, 13, w.Run, "a day too short in the season")
	assert.InDelta(t, 13, w.LongestInSeason, 1e-9)
	assert.Equal(t, 13, w.WetDaysInSeason)
	assert.Equal(t, 27, w.WetDays)
}

// A pond that stands over new year counts in both years as far as it lies in
// them, and whole in the longest spell of the record.
func TestASpellOverNewYear(t *testing.T) {
	s := prepare(t, trough())
	rain := make([]float64, 731)
	rain[360] = 20
	catchment := 0.0
	for i := range s.Hollows().All {
		catchment += s.Catchment(i)
	}
	roots := storm.Roots{Depth: 0.5, Porosity: 0.096, Drainage: 2} // one day to drain
	res := run(t, s, daily("2003-01-01", rain, 0), Options{
		Zones: []Zone{paved()}, Infiltration: []float64{0.5}, RainHours: 1,
		Positions: []Position{{Cell: 6}, {Cell: 6, Roots: roots}},
	})
	days := 20 * catchment / 2 / 0.5 / 24
	require.Greater(t, days, 5.0)
	assert.InDelta(t, 5, res.Wetness[0][0].Longest, 1e-9, "27 to 31 December")
	assert.InDelta(t, days-5, res.Wetness[0][1].Longest, 1e-9)
	assert.Equal(t, res.Years[1].Start, res.Wetness[0][1].Since)
	assert.InDelta(t, days, res.Longest[0].Days, 1e-9)
	assert.Equal(t, time.Date(2003, 12, 27, 0, 0, 0, 0, time.UTC), res.Longest[0].From)
	assert.InDelta(t, days+1, res.Longest[1].Days, 1e-9, "and a day until the roots have drained")
}

// The pond has soaked away in the old year; the roots drain on into the new one.
func TestRootsDrainIntoTheNewYear(t *testing.T) {
	s := prepare(t, trough())
	rain := make([]float64, 731)
	rain[364] = 4 // 31 December 2003
	catchment := 0.0
	for i := range s.Hollows().All {
		catchment += s.Catchment(i)
	}
	const soak = 2.0
	hours := 4 * catchment / 2 / soak
	require.Less(t, hours, 12.0)
	res := run(t, s, daily("2003-01-01", rain, 0), Options{
		Zones: []Zone{paved()}, Infiltration: []float64{soak}, RainHours: 1,
		Positions: []Position{{Cell: 6}, {Cell: 6, Roots: storm.Roots{Depth: 0.5, Porosity: 0.144, Drainage: 2}}}, // 36 hours
	})
	floor, roots := res.Wetness[0], res.Wetness[1]
	assert.InDelta(t, hours, floor[0].Hours[11], 1e-9)
	assert.Zero(t, floor[0].WetDays, "less than half a day is no wet day")
	assert.True(t, floor[0].FirstWet.IsZero())
	assert.Zero(t, floor[1])
	assert.InDelta(t, 24, roots[0].Hours[11], 1e-9)
	assert.InDelta(t, hours+12, roots[1].Hours[0], 1e-9)
	assert.Equal(t, 1, roots[0].WetDays)
	assert.Equal(t, 1, roots[1].WetDays)
	assert.Equal(t, "2004-01-01", roots[1].LastWet.Format(time.DateOnly))
	assert.InDelta(t, (hours+36)/24, res.Longest[1].Days, 1e-9)
}

// Over a table 20 cm down a pond of some hours adds what the table lacks to 30 cm
// while it stands: 10 cm for the day, and 20 more for the hours.
func TestStandingWaterCountsThirtyCentimetres(t *testing.T) {
	s := prepare(t, trough())
	rain := make([]float64, 30)
	rain[10] = 4
	even := watertable.Position{Base: 0.2} // held
	table := EvenTable(0.2, 1, 0.1, 0.001)
	table.At = func(orb.Point) (watertable.Position, bool) { return even, true }
	o := Options{Zones: []Zone{paved()}, Infiltration: []float64{2}, RainHours: 1, Positions: []Position{{Cell: 6}}}
	alone := run(t, s, daily("2003-05-01", rain, 0), o)
	ponded := alone.Wetness[0][0].SEW30
	require.Greater(t, ponded, 1.0)
	o.WaterTable = table
	_, err := Run(context.Background(), s, daily("2003-05-01", rain, 0), o)
	require.ErrorContains(t, err, "rise with the water")

	even.PerStored = 1e-9 // next to held
	res := run(t, s, daily("2003-05-01", rain, 0), o)
	assert.InDelta(t, 30*10+ponded*20/30, res.Wetness[0][0].SEW30, 1e-6)
	assert.Equal(t, 30, res.Wetness[0][0].WetDays)
}

// Ponds over a table at the ground do not soak in; where it is held by a ditch
// they do.
func TestPondsStandOnAHighTable(t *testing.T) {
	s := prepare(t, trough())
	rain := make([]float64, 60)
	rain[0] = 20
	for _, tt := range []struct {
		name string
		at   watertable.Position
		dry  bool
	}{
		{"at the ground", watertable.Position{Base: 0, PerStored: 10}, false},
		{"held below the ground", watertable.Position{Base: 0.5}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table := EvenTable(0.5, 1, 0.1, 1e-6)
			even := table.At
			z := s.Hollows().Frame
			table.At = func(p orb.Point) (watertable.Position, bool) {
				if row, col, _ := z.Locate(p); row == 1 && (col == 1 || col == 2) {
					return tt.at, true
				}
				return even(p)
			}
			res := run(t, s, daily("2003-04-01", rain, 0), Options{
				Zones: []Zone{paved()}, Infiltration: []float64{1}, WaterTable: table,
				Positions: []Position{{Cell: 6, Clearance: 1e-9}},
			})
			closes(t, res.Balance)
			assert.Equal(t, tt.dry, res.Ponded[59] == 0)
			if !tt.dry {
				assert.InDelta(t, res.Balance.Ponded, res.Ponded[59], 1e-9)
				assert.Zero(t, res.Balance.Soaked)
			}
		})
	}
}
