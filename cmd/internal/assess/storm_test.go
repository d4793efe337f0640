package assess

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const utm = "EPSG:32614"

// twoPits is a plane that falls to the east, 61 cells of 1 m wide and 41 high,
// with two square pits of 5 by 5 cells in it, their middles at E 15.5 and 45.5
// and N 20.5, 0.5 m below the plane there.
func twoPits(t *testing.T) *Result {
	t.Helper()
	f := terrain.Frame{Rows: 41, Cols: 61, CellSize: 1, North: 41, CRS: utm}
	z := terrain.NewGrid[float32](f)
	for row := range f.Rows {
		for col := range f.Cols {
			h := 10 - 0.01*float64(col)
			for _, middle := range []int{15, 45} {
				if max(abs(col-middle), abs(row-20)) <= 2 {
					h = 10 - 0.01*float64(middle) - 0.5
				}
			}
			z.Set(row, col, float32(h))
		}
	}
	d, err := hydro.Drain(context.Background(), z, hydro.Options{Error: 0.001, Smooth: -1})
	require.NoError(t, err)
	require.Len(t, d.Hollows.All, 2)
	return &Result{Drain: d}
}

func abs(i int) int { return max(i, -i) }

// stormOn runs a plan's storm on ground that is there already.
func stormOn(t *testing.T, r *Result, p Plan) error {
	t.Helper()
	p.CRS = utm
	rain, err := p.rain()
	require.NoError(t, err)
	soils, _, err := p.soils()
	require.NoError(t, err)
	zone, err := p.zones(r.Drain.Ground.Frame)
	require.NoError(t, err)
	links, ditches, err := r.lead(p)
	if err != nil {
		return err
	}
	if err := r.fitTable(p, &soils[0], ditches); err != nil {
		return err
	}
	return r.runStorm(t.Context(), rain, soils, zone, links, ditches)
}

func inPit(r *Result, east float64) int {
	row, col, _ := r.Drain.Ground.Locate(orb.Point{east, 20.5})
	return r.Drain.Ground.Index(row, col)
}

var heavy = Plan{Rain: weather.Storm{Rain: 150, Duration: 24 * time.Hour}, Soil: soil.Known{Texture: "clay", Cover: "orchard, grassed, good"}}

func TestNoWaterOfAStormIsLost(t *testing.T) {
	for name, p := range map[string]Plan{
		"a curve number": heavy,
		"Green and Ampt": {Rain: heavy.Rain, Soil: heavy.Soil, GreenAmpt: true},
		"bursts":         {Rain: weather.Storm{Rain: 150, Duration: 24 * time.Hour, Shape: weather.TypeII}, Soil: heavy.Soil},
		"a water table":  {Rain: heavy.Rain, Soil: heavy.Soil, Wells: []Well{{Name: "W", At: &orb.Point{30.5, 20.5}, Depth: 0.6}}},
		"a pipe": {Rain: heavy.Rain, Soil: heavy.Soil, Links: []site.Link{
			{Name: "P", Where: "P", Line: orb.LineString{{15.5, 20.5}}, Depth: 0.2, Capacity: 0.001}}},
	} {
		t.Run(name, func(t *testing.T) {
			r := twoPits(t)
			require.NoError(t, stormOn(t, r, p))
			s := r.Storm
			ground := float64(r.Drain.Ground.Len())
			assert.InDelta(t, 0.150*ground, s.RainVolume, 1e-9)
			assert.InDelta(t, s.Runoff/1000*ground, s.History.In, 1e-9)
			assert.InDelta(t, 0, s.History.Error(), 1e-9)
			require.Len(t, s.Shown, 5)
			for _, m := range s.Shown {
				assert.InDelta(t, 0, m.Error(), 1e-9, m.Name)
				assert.Equal(t, s.History.In, m.In, m.Name)
			}
			assert.Positive(t, s.Shown[0].Ponded)
			assert.NotEmpty(t, r.Assumptions)
		})
	}
}

// The water that fills a hollow is its volume, and all of it comes from its
// own catchment while no other hollow spills into it.
func TestTheRainThatFillsAHollowIsThatOfItsCatchment(t *testing.T) {
	r := twoPits(t)
	require.NoError(t, stormOn(t, r, heavy))
	curve := r.Storm.soils[0].Curve
	fills := r.FillsAt()
	for i, h := range r.Drain.Hollows.All {
		if h.SpillsTo == hydro.Outside { // the other one may spill into it
			continue
		}
		assert.InDelta(t, 1000*h.Volume/h.Catchment, curve.Runoff(fills[i]), 0.01, "hollow %d", h.ID)
	}
	on := func(east float64) *Tree {
		return &Tree{Position: planting.Position{Point: orb.Point{east, 20.5}}, OnGround: true}
	}
	first := r.FirstWet(on(15.5))
	assert.InDelta(t, curve.InitialAbstraction(), first, 0.02, "the floor is wet as soon as any water runs")
	assert.True(t, math.IsNaN(r.FirstWet(on(30.5))), "no rain makes water stand on a slope")
	assert.True(t, math.IsNaN(r.FirstWet(&Tree{})))
}

func TestRainOfARunoffIsItsInverse(t *testing.T) {
	rain, err := heavy.rain()
	require.NoError(t, err)
	for name, p := range map[string]Plan{
		"a curve number":     heavy,
		"partly roofed":      {Soil: soil.Known{Texture: "loam", Impervious: 0.3}},
		"Green and Ampt":     {Soil: soil.Known{Texture: "clay"}, GreenAmpt: true},
		"a number as given":  {Curve: 90},
		"wet before":         {Soil: soil.Known{Texture: "loam", Before: soil.WetBefore}},
		"a measured rate":    {Soil: soil.Known{Measured: 3}},
		"two tests, no rate": {Tests: []soil.Rate{{Median: 2, Spread: 0.4}, {Median: 8, Spread: 0.4}}},
	} {
		soils, _, err := p.soils()
		require.NoError(t, err, name)
		r := rise{soil: &soils[0], rain: rain, seen: map[float64]float64{}}
		for _, mm := range []float64{0.5, 20, 120} {
			of := r.of(mm)
			sum := 0.0
			scaled := rain.Scale(of)
			for _, e := range soils[0].loss().Excess(nil, scaled.Rain, scaled.Hours) {
				sum += e
			}
			assert.InDelta(t, mm, sum, 0.02, name)
		}
		assert.True(t, math.IsNaN(r.of(math.Inf(1))))
		assert.True(t, math.IsNaN(r.of(math.NaN())))
	}
}

func TestAPipeEmptiesItsHollowDownToItsLevel(t *testing.T) {
	bare, piped := twoPits(t), twoPits(t)
	p := heavy
	p.Rain.Rain = 300
	require.NoError(t, stormOn(t, bare, p))
	p.Links = []site.Link{{Name: "P", Where: `site.toml:3: link "P"`, Line: orb.LineString{{15.5, 20.5}}, Depth: 0.3}}
	require.NoError(t, stormOn(t, piped, p))

	rim := bare.Drain.Hollows.Covering(inPit(bare, 15.5)).Spill
	depth, hours := bare.Storm.standing(inPit(bare, 15.5), 0)
	assert.InDelta(t, rim-float64(bare.Drain.Ground.Cells[inPit(bare, 15.5)]), depth, 1e-6, "full to its brim")
	lower, fewer := piped.Storm.standing(inPit(piped, 15.5), 0)
	assert.InDelta(t, depth-0.3, lower, 1e-6)
	assert.Less(t, fewer, hours)
	assert.Contains(t, piped.Assumptions, `Link "P" lets water out of hollow `+
		map[bool]string{true: "1", false: "2"}[piped.Drain.Hollows.Covering(inPit(piped, 15.5)).ID == 1]+` above 9.52 m and leads it off the site; it carries whatever comes.`)
	same, _ := bare.Storm.standing(inPit(bare, 45.5), 0)
	other, _ := piped.Storm.standing(inPit(piped, 45.5), 0)
	assert.Equal(t, same, other)
}

// On a draw whose hollow has its floor above a pipe, the pipe begins at that
// floor; one that lies above the brim there is none.
func TestAPipeIsLaidAnewOnEveryDraw(t *testing.T) {
	r := twoPits(t)
	in := inPit(r, 15.5)
	floor := float64(r.Drain.Ground.Cells[in])
	lead, err := r.linksOfDraws(Plan{CRS: utm, Links: []site.Link{{Name: "P", Where: "P", Line: orb.LineString{{15.5, 20.5}}, Invert: new(floor + 0.01)}}}, nil)
	require.NoError(t, err)
	for up, want := range map[float64]int{-0.1: 1, 0.1: 1, -3: 0} {
		z := terrain.NewGrid[float32](r.Drain.Ground.Frame)
		for i, v := range r.Drain.Ground.Cells {
			z.Cells[i] = v + float32(up)
		}
		h := hydro.FindHollows(z)
		links, err := lead(0, h, z)
		require.NoError(t, err)
		require.Len(t, links, want)
		if want > 0 {
			_, err = storm.Prepare(h, storm.Options{Links: links})
			require.NoError(t, err, "it can be there")
			assert.InDelta(t, max(floor+0.01, floor+up), links[0].Level, 0.002)
		}
	}
}

func TestADitchLeadsTheWaterOfEveryHollowItCrosses(t *testing.T) {
	r := twoPits(t)
	r.Drain.Hollows.Covering(inPit(r, 15.5)) // both are there
	links, ditches, err := r.lead(Plan{CRS: utm, Links: []site.Link{
		{Name: "D", Where: "D", Ditch: true, Line: orb.LineString{{10.5, 20.5}, {60.5, 20.5}}, Invert: new(9.5), Outlet: new(9.0)},
	}})
	require.NoError(t, err)
	west, east := int(r.Drain.Hollows.Inner[inPit(r, 15.5)])-1, int(r.Drain.Hollows.Inner[inPit(r, 45.5)])-1
	require.Len(t, links, 2)
	assert.Equal(t, [2]int{west, east}, [2]int{links[0].From, links[0].To})
	assert.Equal(t, [2]int{east, hydro.Outside}, [2]int{links[1].From, links[1].To})
	assert.Less(t, links[1].Level, links[0].Level)
	require.Len(t, ditches, 1)
	assert.Equal(t, []float64{9.5, 9}, ditches[0].Level)

	links, ditches, err = r.lead(Plan{CRS: utm, Links: []site.Link{
		{Name: "D", Where: "D", Ditch: true, Line: orb.LineString{{10.5, 2.5}, {60.5, 2.5}}, Depth: 0.4},
	}})
	require.NoError(t, err)
	assert.Empty(t, links, "it crosses no hollow")
	assert.Equal(t, 0.4, ditches[0].Below)
	assert.Empty(t, ditches[0].Level)
}

func TestPipesThatCannotBeAreTold(t *testing.T) {
	in, off, slope := orb.Point{15.5, 20.5}, orb.Point{500, 500}, orb.Point{30.5, 20.5}
	for name, tt := range map[string]struct {
		link site.Link
		want string
	}{
		"no hollow":       {site.Link{Line: orb.LineString{slope}, Depth: 0.1}, `L: there is no hollow at its upper end that is deeper than the error of the ground; the nearest is hollow `},
		"off the ground":  {site.Link{Line: orb.LineString{off, in}, Depth: 0.1}, `L: its upper end lies off the known ground`},
		"above the brim":  {site.Link{Line: orb.LineString{in}, Invert: new(11.0)}, `L: its upper end lies at 11.00 m, no lower than the 9.82 m at which hollow `},
		"below the floor": {site.Link{Line: orb.LineString{in}, Invert: new(9.0)}, `L: starts at 9.000 m, no higher than the floor of hollow `},
		"uphill":          {site.Link{Line: orb.LineString{{45.5, 20.5}, in}, Depth: 0.4}, `L: runs uphill, from `},
		"into itself":     {site.Link{Line: orb.LineString{in, {16.5, 21.5}}, Depth: 0.1}, `L: both ends lie at the floor of hollow `},
		"a ditch uphill":  {site.Link{Ditch: true, Line: orb.LineString{in, {60.5, 20.5}}, Depth: 0.1, Outlet: new(9.9)}, `L: runs uphill, from 9.72 m to 9.90 m`},
		"a ditch beyond":  {site.Link{Ditch: true, Line: orb.LineString{off, {600, 600}}, Depth: 0.1}, `L: no part of it lies on the known ground`},
	} {
		t.Run(name, func(t *testing.T) {
			p := heavy
			tt.link.Where = "L"
			p.Links = []site.Link{tt.link}
			err := stormOn(t, twoPits(t), p)
			assert.ErrorContains(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
		})
	}
}

func TestZonesRunOffByTheirOwnSoil(t *testing.T) {
	r := twoPits(t)
	soils, _, err := Plan{Soil: soil.Known{Texture: "clay", Cover: "orchard, good", Measured: 2}, Zones: []Zone{
		{Name: "yard", Soil: soil.Known{Impervious: 1}},
		{Name: "sand", Soil: soil.Known{Texture: "sand"}},
	}}.soils()
	require.NoError(t, err)
	assert.Equal(t, 2.0, soils[1].Known.Measured, "what nobody said of a zone is as on the rest")
	assert.Equal(t, "orchard, good", soils[1].Known.Cover)
	assert.Zero(t, soils[1].soaking(), "nothing soaks in through a pavement")
	assert.Zero(t, soils[2].Known.Measured, "another texture has another rate")

	zone := terrain.NewGrid[uint8](r.Drain.Ground.Frame)
	for i := range zone.Cells {
		zone.Cells[i] = uint8(min(2, i%r.Drain.Ground.Cols/20))
	}
	rain, err := heavy.rain()
	require.NoError(t, err)
	require.NoError(t, r.runStorm(t.Context(), rain, soils, zone, nil, nil))
	want := 0.0
	for i := range zone.Cells {
		want += soils[zone.Cells[i]].runoff(rain.Hyetograph, 150) / 1000
	}
	assert.InDelta(t, want, r.Storm.History.In, 1e-9)
	assert.InDelta(t, 0, r.Storm.History.Error(), 1e-9)
	of, k := r.Storm.soil(r.Drain.Ground.Index(0, 59))
	assert.Equal(t, "sand", of.Name)
	assert.Equal(t, 2, k)
}

// Of several tests the geometric mean counts, and each makes the others surer.
func TestSeveralFieldTestsAreAveraged(t *testing.T) {
	one := soil.PercolationHole{Diameter: 200, Depth: 300, Drop: 40, Hours: 0.5}.Rate()
	assert.InDelta(t, one.Median, tested([]soil.Rate{one}).Median, 1e-12)
	assert.InDelta(t, one.Spread, tested([]soil.Rate{one}).Spread, 1e-12)
	two := tested([]soil.Rate{{Median: 2, Spread: 0.36, Source: "a"}, {Median: 8, Spread: 0.36, Source: "b"}})
	assert.InDelta(t, 4, two.Median, 1e-12)
	assert.InDelta(t, 0.36/math.Sqrt2, two.Spread, 1e-12)
	assert.Equal(t, "the geometric mean of 2 tests: a; b", two.Source)
}

func TestTheRainOfAStormIsFoundAndItsReturnPeriodTold(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	table := write("idf.csv", "duration_mm,2,5,10,25\n12 h,70,92,110,132\n24 h,90,118,140,170\n")
	gauge := write("gauge.csv", "hours,rain_mm\n0,0\n1,10\n2,30\n3,5\n")
	for name, tt := range map[string]struct {
		p           Plan
		rain, years float64
		hours       float64
		says        string
	}{
		"nothing said":       {Plan{}, 100, 0, 24, "No storm was given: 100 mm of rain in 24 hours were taken. Ask for the rain your place sees once in ten years."},
		"by return period":   {Plan{Frequency: table, ReturnPeriod: 10}, 140, 10, 24, "The storm is the rain that falls in 24 hours once in 10 years on average, by idf.csv: 140 mm."},
		"a rain with table":  {Plan{Frequency: table, Rain: weather.Storm{Rain: 118, Duration: 24 * time.Hour}}, 118, 5, 24, "By the table given, 118 mm in 24 hours falls once in about 5 years."},
		"beyond the table":   {Plan{Frequency: table, Rain: weather.Storm{Rain: 400, Duration: 24 * time.Hour}}, 400, 0, 24, "How seldom this rain is cannot be told: 400 mm in 24 h is outside the table, which holds 90 mm once in 2 years to 170 mm once in 25."},
		"a gauge":            {Plan{Gauge: gauge}, 45, 0, 3, "The rain is that of gauge.csv."},
		"the course of one":  {Plan{Gauge: gauge, Rain: weather.Storm{Rain: 90}}, 90, 0, 3, "The rain takes the course of gauge.csv, which holds 45 mm, brought to the 90 mm given."},
		"half a day of rain": {Plan{Frequency: table, ReturnPeriod: 5, Rain: weather.Storm{Duration: 12 * time.Hour}}, 92, 5, 12, "The rain falls evenly, 7.7 mm an hour."},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := tt.p.rain()
			require.NoError(t, err)
			assert.InDelta(t, tt.rain, r.Depth(), 1e-9)
			assert.InDelta(t, tt.years, r.Years, 1e-9)
			assert.InDelta(t, tt.hours, r.Duration(), 1e-9)
			assert.Contains(t, r.assumed, tt.says)
		})
	}
	for name, tt := range map[string]struct {
		p    Plan
		want string
	}{
		"a table and nothing else": {Plan{Frequency: table}, `idf.csv: a table of rain needs a return_period to take a storm from it, such as "10 years"; or give rain, and its return period is told`},
		"far beyond the table":     {Plan{Frequency: table, ReturnPeriod: 500}, `idf.csv: a return period of 500 years is too far outside the table, which holds 2 to 25 and is carried on to 1.33 and 37.5`},
		"a dry gauge":              {Plan{Gauge: write("dry.csv", "hours,rain_mm\n0,0\n1,0\n")}, `dry.csv: no rain fell, so there is no storm to assess`},
	} {
		_, err := tt.p.rain()
		assert.EqualError(t, err, tt.want, name)
		assert.True(t, fault.IsInput(err), name)
	}
}

// Wet seasons keep a table near where it was seen only if the soil carries
// water away as fast as they bring it.
func TestAWaterTableIsMetAndHeld(t *testing.T) {
	for _, depth := range []float64{0.3, 0.9, 2} {
		r := twoPits(t)
		p := heavy
		p.Wells = []Well{{Name: "W", At: &orb.Point{30.5, 10.5}, Depth: depth}}
		require.NoError(t, stormOn(t, r, p))
		row, col, _ := r.Drain.Ground.Locate(orb.Point{30.5, 10.5})
		assert.InDelta(t, depth, r.WaterTable.depth(r.Drain.Ground.Index(row, col)), 0.02)
		assert.NotNil(t, r.WaterTable.season())
	}
	var none *WaterTable
	assert.True(t, math.IsNaN(none.depth(0)))
	assert.Nil(t, none.season())
}

func TestPondsSoakNoFurtherThanTheWaterTable(t *testing.T) {
	r := twoPits(t)
	p := heavy
	p.Soil = soil.Known{Texture: "sand", Measured: 10}
	p.Curve = 95
	require.NoError(t, stormOn(t, r, p))
	free := r.Storm.Shown[0].Soaked
	r = twoPits(t)
	p.Wells = []Well{{Name: "W", At: &orb.Point{15.5, 20.5}, Depth: 0}}
	require.NoError(t, stormOn(t, r, p))
	assert.Less(t, r.Storm.Shown[0].Soaked, free/2)
}

func TestARecordTooShortIsToldBeforeAnythingIsComputed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rain.csv")
	record := weather.WarmTemperate.Invent(1, 2001, 6)
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, record.Write(f))
	require.NoError(t, f.Close())
	got, err := Plan{Season: SeasonPlan{File: path, ReturnPeriod: 9}}.record()
	require.NoError(t, err)
	assert.Equal(t, record.Len(), got.Len())
	_, err = Plan{Season: SeasonPlan{File: path, ReturnPeriod: 10}}.record()
	assert.EqualError(t, err, "rain.csv: holds 6 whole years, too few for what happens once in 10 years; up to once in 9 years can be told")
	assert.True(t, fault.IsInput(err))
}
