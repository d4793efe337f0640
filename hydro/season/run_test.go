package season

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
)

// One hollow by hand. 15 cells drain to it or out; of 10 mm on paved ground its
// catchment sends all to two cells at one level, which then sink at 2 mm/h
// of soaking and no evaporation.
func TestOneHollowByHand(t *testing.T) {
	s := prepare(t, trough())
	catchment := 0.0
	for i := range s.Hollows().All {
		catchment += s.Catchment(i)
	}
	rain := make([]float64, 365)
	rain[9] = 10 // 10 January 2003
	res := run(t, s, daily("2003-01-01", rain, 0), Options{
		Zones: []Zone{paved()}, Infiltration: []float64{2}, RainHours: 1,
		Positions: []Position{{Cell: 6}, {Cell: 7, Roots: storm.Roots{Crown: 0.03}}, {Cell: 8}},
	})
	// While it rains the pond loses 2 mm of the 10·catchment/2 mm it gains.
	gain := 10 * catchment / 2
	require.Less(t, gain, 1000.0, "it does not spill")
	hours := gain / 2
	w := res.Wetness[0][0]
	assert.InDelta(t, hours/24, w.Longest, 1e-9)
	assert.Equal(t, time.Date(2003, 1, 10, 0, 0, 0, 0, time.UTC), w.Since)
	assert.InDelta(t, hours, w.Hours[0]+w.Hours[1], 1e-9)
	assert.InDelta(t, 30*hours/24, w.SEW30, 1e-9, "standing water counts 30 cm a day")

	// Over the crown 30 mm up: it rises at gain−2 mm/h in the hour and falls
	// at 2 mm/h.
	up := 30 / (gain - 2)
	down := 1 + (gain-2-30)/2
	assert.InDelta(t, (down-up)/24, res.Wetness[1][0].Longest, 1e-9)
	assert.Zero(t, res.Wetness[2][0], "the sill stays dry")
	assert.InDelta(t, 0, res.Balance.Error(), 1e-12)
}

// A storm that is one day of a record is that storm.
func TestOneStormIsStormRun(t *testing.T) {
	for seed := range uint64(20) {
		s := prepare(t, rough(24, seed))
		z := paved()
		const rain, et = 45.0, 3.0
		record := daily("2004-05-01", make([]float64, 20), et)
		record.Rain[0] = rain
		var places []Position
		for c := range 24 * 24 {
			places = append(places, Position{Cell: c})
		}
		res := run(t, s, record, Options{Zones: []Zone{z}, Infiltration: []float64{1.5}, RainHours: 6, Positions: places})
		evaporation := weather.OpenWater(et) / 24
		h := s.Run(nil, storm.Loss{Infiltration: []float64{1.5}},
			storm.Step{Hours: 6, Inflow: s.Runoff(rain), Evaporation: evaporation},
			storm.Step{Hours: 24*20 - 6, Evaporation: evaporation})
		for c := range 24 * 24 {
			spans := h.UnderWater(c, 0)
			require.InDelta(t, storm.Longest(spans)/24, res.Wetness[c][0].Longest, 1e-9, "seed %d cell %d", seed, c)
			require.InDelta(t, storm.Longest(spans)/24, res.Longest[c].Days, 1e-9)
			total := 0.0
			for _, v := range res.Wetness[c][0].Hours {
				total += v
			}
			require.InDelta(t, storm.Total(spans), total, 1e-7)
		}
		assert.InDelta(t, h.Evaporated, res.Balance.Evaporated, 1e-9*h.In)
		assert.InDelta(t, h.Soaked, res.Balance.Soaked, 1e-9*h.In)
		assert.InDelta(t, h.Left, res.Balance.Left, 1e-9*h.In)
	}
}

// between is a water table between ditches 60 m apart.
func between() *WaterTable { return EvenTable(0.8, 1.2, 0.08, 0.024) }

func closes(t testing.TB, b Balance) {
	t.Helper()
	require.InDelta(t, 0, b.Error(), 1e-9*b.Rain)
	require.InDelta(t, 0, b.Below(), 1e-9*b.Rain)
}

func TestBalanceClosesOverManyYears(t *testing.T) {
	for seed := range uint64(6) {
		s := prepare(t, rough(30, seed))
		o := Options{Zones: []Zone{loam()}, Infiltration: []float64{2}, WarmUp: 100}
		if seed%2 == 0 {
			o.WaterTable = between()
		}
		res := run(t, s, daily("1991-01-01", showers(3652, 3, 9, seed), 2.5), o)
		closes(t, res.Balance)
		assert.Positive(t, res.Balance.Left)
		assert.Positive(t, res.Balance.Transpired)
		assert.Positive(t, res.Balance.Evaporated)
		assert.Len(t, res.Years, 10)
	}
}

// Rain that is no less on any day leaves every place wet for at least as long, in
// any soil: on random ground, with a water table and without.
func TestMoreRainNeverShortensASpell(t *testing.T) {
	soils := []soil.Known{
		{Texture: "sand", Cover: "orchard, grassed, good"}, {Texture: "sand", Cover: "row crops"},
		{Texture: "loam", Cover: "orchard, grassed, good"}, {Texture: "clay", Cover: "pasture, poor"},
	}
	for seed := range uint64(32) {
		s := prepare(t, rough(12, seed))
		var places []Position
		for c := range 144 {
			places = append(places, Position{Cell: c, Roots: storm.Roots{Crown: 0.02}})
		}
		z, _ := ZoneOf(soils[seed%4], []float64{0.3, 0.9}[seed/4%2])
		o := Options{Zones: []Zone{z}, Infiltration: []float64{0.7}, Positions: places}
		if seed/8%2 == 1 {
			o.WaterTable = between()
		}
		rain := showers(730, 4, 18, seed)
		less := run(t, s, daily("2001-01-01", rain, 2), o)
		r := rand.New(rand.NewPCG(seed, 1))
		for i := range rain {
			if r.IntN(3) == 0 {
				rain[i] = rain[i]*1.3 + 2*r.Float64()
			}
		}
		more := run(t, s, daily("2001-01-01", rain, 2), o)
		for c := range places {
			require.GreaterOrEqual(t, more.Longest[c].Days, less.Longest[c].Days-1e-9, "seed %d, cell %d", seed, c)
			for y := range less.Years {
				require.GreaterOrEqual(t, more.Wetness[c][y].Longest, less.Wetness[c][y].Longest-1e-9, "seed %d, cell %d", seed, c)
				require.GreaterOrEqual(t, more.Wetness[c][y].SEW30, less.Wetness[c][y].SEW30-1e-9, "seed %d, cell %d", seed, c)
			}
		}
	}
}

// A yard, paved, beside an orchard: the yard sheds all, the orchard little. Two
// zones of one soil are one.
func TestZonesShedByTheirSoil(t *testing.T) {
	z := rough(20, 1)
	zone := terrain.NewGrid[uint8](z.Frame)
	for i := range zone.Cells {
		if i%20 < 5 {
			zone.Cells[i] = 1
		}
	}
	s, err := storm.Prepare(hydro.FindHollows(z), storm.Options{Zone: zone, Zones: 2})
	require.NoError(t, err)
	record := daily("2001-01-01", showers(365, 3, 8, 1), 2)
	rain := 0.0
	for _, v := range record.Rain {
		rain += v
	}
	total := func(zones ...Zone) float64 {
		res := run(t, s, record, Options{Zones: zones, Infiltration: []float64{1}})
		closes(t, res.Balance)
		assert.InEpsilon(t, rain*400*4/1000, res.Balance.Rain, 1e-12)
		sum := 0.0
		for _, v := range res.Runoff {
			sum += v
		}
		return sum
	}
	orchard, both := total(loam()), total(loam(), loam())
	assert.InDelta(t, orchard, both, 1e-9)
	assert.Less(t, orchard, 0.1*rain)
	assert.InDelta(t, 0.75*orchard+0.25*rain, total(loam(), paved()), 1e-9)
	_, err = Run(context.Background(), s, record, Options{Zones: []Zone{loam(), loam(), loam()}})
	assert.ErrorContains(t, err, "soils for 3 zones, the site has 2")
}

func TestThreadsDoNotShow(t *testing.T) {
	s := prepare(t, rough(40, 3))
	var places []Position
	for c := 0; c < 1600; c += 7 {
		places = append(places, Position{Cell: c, Roots: storm.Roots{Depth: 0.4, Porosity: 0.08, Drainage: 2}})
	}
	o := Options{Zones: []Zone{loam()}, Infiltration: []float64{1}, WaterTable: between(), Positions: places}
	record := daily("2001-01-01", showers(1461, 3, 12, 4), 2)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first []byte
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		got, err := json.Marshal(run(t, s, record, o))
		require.NoError(t, err)
		if first == nil {
			first = got
		}
		assert.True(t, bytes.Equal(first, got), "%d threads", n)
	}
}

func TestStopsWhenToldTo(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	s := prepare(t, trough())
	seen := 0
	_, err := Run(ctx, s, daily("2001-01-01", showers(4000, 3, 12, 4), 2), Options{
		Zones: []Zone{loam()},
		Progress: func(p Progress) {
			seen = p.Step
			assert.Equal(t, 4000, p.Steps)
			assert.GreaterOrEqual(t, p.Left, time.Duration(0))
			if p.Step >= 100 {
				cancel()
			}
		},
	})
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, seen, 200)
}

func TestEverythingWrongIsTold(t *testing.T) {
	s := prepare(t, trough())
	z := loam()
	z.RootDepth, z.FieldCapacity, z.Curve.CN = -1, 0.9, 20
	_, err := Run(context.Background(), s, daily("2001-01-01", []float64{1, -2}, 1), Options{
		Zones: []Zone{z}, Infiltration: []float64{math.NaN()},
		WaterTable: &WaterTable{Flat: 3},
		Growing:    Growing{First: Date{4, 31}, Last: Date{10, 1}},
		Positions:  []Position{{Name: "R2-014", Cell: 400}, {Roots: storm.Roots{Depth: 1, Porosity: 0.1, Crown: -1}, Zone: 1}},
		RainHours:  30, WarmUp: 9,
	})
	for _, want := range []string{
		"zone 0: root depth -1", "do not rise", "curve number 20", "infiltration NaN",
		"flat ground of 3", "nothing says", "reaction factor of the flats 0", "04-31 is not a date", "position 0 R2-014: cell 400 of 15",
		"never drains", "a crown -1 m", "zone 1 of 1", "cannot fall in 30", "warm-up of 9", "rain of -2 mm on 2001-01-02",
	} {
		assert.ErrorContains(t, err, want)
	}
	_, err = Run(context.Background(), s, &weather.Record{Start: time.Now(), Step: 24 * time.Hour, Rain: []float64{1}}, Options{Zones: []Zone{loam()}})
	assert.ErrorContains(t, err, "no evaporation")

	z2 := trough()
	z2.Cells[0] = terrain.Void()
	_, err = Run(context.Background(), prepare(t, z2), daily("2001-01-01", []float64{1}, 1), Options{Zones: []Zone{loam()}, Positions: []Position{{}}})
	assert.ErrorContains(t, err, "the ground is not known there")
}

// Missing rain is neither rain nor a dry day: its year does not count.
func TestGapsAreReported(t *testing.T) {
	s := prepare(t, trough())
	record := daily("2001-01-01", showers(5*365+1, 3, 12, 4), 2)
	day := func(date string) int {
		at, _ := time.Parse(time.DateOnly, date)
		return int(at.Sub(record.Start).Hours() / 24)
	}
	record.Rain[day("2002-06-03")] = math.NaN()
	record.Rain[day("2003-12-20")] = math.NaN()
	record.ET[day("2004-02-29")] = math.NaN()
	record.Gaps = []weather.Gap{{First: record.Start, Last: record.Start, Steps: 1, Step: 24 * time.Hour}}
	res := run(t, s, record, Options{Zones: []Zone{loam()}, Positions: []Position{{Cell: 6}}})
	var whole []bool
	var missing []int
	for _, y := range res.Years {
		whole, missing = append(whole, y.Whole), append(missing, y.Missing)
	}
	assert.Equal(t, []bool{true, false, false, false, true}, whole, "2004 begins within thirty days of a gap")
	assert.Equal(t, []int{0, 1, 1, 0, 0}, missing)
	assert.Equal(t, 2, res.Missing)
	assert.Contains(t, fmt.Sprint(res.Remarks), "no rain known: 1 day, 2001-01-01")
	assert.Contains(t, fmt.Sprint(res.Remarks), "evapotranspiration of 1 steps was missing")
	closes(t, res.Balance)
}

func FuzzSeasonKeepsItsWater(f *testing.F) {
	f.Add([]byte{9, 9, 9, 9, 1, 9, 9, 5, 9}, []byte{3, 0, 0, 200, 0, 9}, uint8(3), uint8(4), true)
	f.Add([]byte{5, 1, 5, 5, 1, 5, 2, 2, 5, 1, 5, 5, 1, 5, 0, 2}, []byte{90, 0, 90, 1, 2, 3, 0, 0, 0, 255}, uint8(4), uint8(0), false)
	f.Fuzz(func(t *testing.T, heights, rain []byte, cols, soak uint8, isTable bool) {
		if cols == 0 || len(heights) > 400 || len(heights) < int(cols) || len(rain) == 0 || len(rain) > 400 {
			return
		}
		rows := len(heights) / int(cols)
		z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: int(cols), CellSize: 1.5})
		for i := range z.Cells {
			z.Cells[i] = float32(heights[i]) / 50
		}
		record := daily("2003-11-20", make([]float64, len(rain)), float64(rain[0]%8))
		for i, v := range rain {
			record.Rain[i] = float64(v) / 2
		}
		o := Options{Zones: []Zone{loam()}, Infiltration: []float64{float64(soak) / 10}}
		for c := range z.Len() {
			o.Positions = append(o.Positions, Position{Cell: c, Roots: storm.Roots{Crown: float64(c%3) / 10, Depth: 0.3, Porosity: 0.1, Drainage: 1}})
		}
		if isTable {
			o.WaterTable = between()
		}
		res := run(t, prepare(t, z), record, o)
		require.InDelta(t, 0, res.Balance.Error(), 1e-9*math.Max(res.Balance.Rain, 1))
		require.InDelta(t, 0, res.Balance.Below(), 1e-9*math.Max(res.Balance.Rain, 1))
		for p := range res.Wetness {
			for k, y := range res.Years {
				w := res.Wetness[p][k]
				require.LessOrEqual(t, w.Longest*24, float64(y.To-y.From)*24+1e-9)
				require.LessOrEqual(t, w.LongestInSeason, w.Longest+1e-9)
				require.LessOrEqual(t, w.SEW30, 30*float64(y.SeasonTo-y.SeasonFrom)+1e-9)
				require.LessOrEqual(t, w.WetDaysInSeason, w.WetDays)
			}
		}
	})
}
