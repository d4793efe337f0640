package watertable

import (
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// made is a grid of a surface, x to the east and y to the south in metres from
// the middle of the north-west cell.
func made(rows, cols int, cell float64, z func(x, y float64) float64) *terrain.Grid[float32] {
	g := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: cell, North: float64(rows) * cell})
	for i := range g.Cells {
		r, c := g.Cell(i)
		g.Cells[i] = float32(z(float64(c)*cell, float64(r)*cell))
	}
	return g
}

var loam = Soil{Conductivity: 0.5, DrainablePorosity: 0.1, BarrierDepth: 4, M: 0.03}

func prepared(t testing.TB, s Site, o Options) *Model {
	t.Helper()
	m, err := Prepare(s, o)
	require.NoError(t, err)
	return m
}

// On a slope of 5 % the map is TOPMODEL, cell by cell, and one well sets its
// mean deficit.
func TestOneWellOnASlope(t *testing.T) {
	z := made(12, 20, 1, func(x, y float64) float64 { return 40 - x/16 })
	index := made(12, 20, 1, func(x, y float64) float64 { return 5 + x/4 - y/8 })
	m := prepared(t, Site{Ground: z, Index: index, Soil: loam}, Options{Smooth: -1})
	assert.Zero(t, m.Flat)
	well := Observation{Name: "A", At: z.Centre(6, 10), Depth: 0.76}
	s, err := m.Fit([]Observation{well})
	require.NoError(t, err)
	assert.Empty(t, s.Notes)
	assert.Equal(t, 0.03, s.M, "one depth says nothing of m")
	atWell := 5 + 10.0/4 - 6.0/8
	assert.InDelta(t, 0.1*0.76-0.03*(m.Lambda-atWell), s.Deficit, 1e-9, "by hand")
	top := Topmodel{Lambda: m.Lambda, Mean: s.Deficit, M: s.M}
	table := m.Table(s)
	seeping := 0.0
	for i, d := range table.Depth.Cells {
		require.InDelta(t, top.Depth(float64(index.Cells[i]), 0.1), d, 1e-5)
		if top.Deficit(float64(index.Cells[i])) < 0 {
			seeping++
		}
	}
	assert.InDelta(t, 0.76, table.Depth.At(6, 10), 1e-6)
	assert.Equal(t, seeping, table.Seepage)
}

// acrossField is level land with ditches along its west and east.
func acrossField(cols int, level float64) Site {
	z := made(7, cols, 1, func(x, y float64) float64 { return 10 })
	side := func(x float64) hydro.Ditch {
		return hydro.Ditch{Name: "side", Line: orb.LineString{{x, -1}, {x, 8}}, Level: []float64{level}}
	}
	return Site{
		Ground: z, Index: made(7, cols, 1, func(x, y float64) float64 { return 9 }), Soil: loam,
		Ditches: []Ditch{{Ditch: side(0.5)}, {Ditch: side(float64(cols) - 0.5)}},
	}
}

// Level land between ditches 40 m apart: a parabola through the well, under
// the recharge that 8 T h/L² asks for.
func TestOneWellBetweenDitches(t *testing.T) {
	site := acrossField(41, 9)
	m := prepared(t, site, Options{})
	assert.Equal(t, 1.0, m.Flat)
	s, err := m.Fit([]Observation{{At: site.Ground.Centre(3, 20), Depth: 0.8}})
	require.NoError(t, err)
	const transmissivity = 0.5 * 3 // 3 m from the ditches' water to the barrier
	assert.InDelta(t, 8*transmissivity*0.2/(40*40), s.Recharge, 1e-9)
	table := m.Table(s)
	for i, d := range table.Depth.Cells {
		_, c := table.Depth.Cell(i)
		x := float64(c) / 40
		require.InDelta(t, 1-0.2*4*x*(1-x), d, 1e-6)
	}
	assert.Zero(t, table.Seepage)

	d := m.Daily(s, 0.001)
	require.NoError(t, d.Check())
	assert.InEpsilon(t, 12*transmissivity/(0.1*40*41), d.Flat.Reaction, 1e-6, "that of a parabola, 12 K D/(μ L²), on the 39 cells between 40 steps")
	p, ok := m.Position(s, site.Ground.Centre(3, 10))
	require.True(t, ok)
	assert.InDelta(t, table.Depth.At(3, 10), p.Depth(d), 1e-6, "where the map has it")
	d.Step(s.Recharge)
	assert.InDelta(t, table.Depth.At(3, 10), p.Depth(d), 1e-6, "steady under its recharge")
	d.Step(0.05)
	assert.Less(t, p.Depth(d), 0.7)
	for range 200 {
		d.Step(0)
	}
	assert.InDelta(t, 1, p.Depth(d), 1e-6, "down to the ditches")
}

func TestPipesLoseHeadOnTheWayIn(t *testing.T) {
	site := acrossField(41, 9)
	open := prepared(t, site, Options{}).Table(&State{Recharge: 0.001})
	for i := range site.Ditches {
		site.Ditches[i].Radius = 0.05
	}
	m := prepared(t, site, Options{})
	pipes := m.Table(&State{Recharge: 0.001})
	// Of the recharge of 41 m half goes to each; a metre of pipe lets in
	// DrainEntry for a metre of head.
	loss := 0.001 * 41 / 2 / DrainEntry(0.5, 3, 0.05)
	for i := range open.Depth.Cells {
		require.InDelta(t, loss, open.Depth.Cells[i]-pipes.Depth.Cells[i], 2e-6)
	}
}

// valley has flat ground in its middle, slopes beside, hollows in the index,
// and a ditch down its floor that ends half way.
func valley(rows, cols int, ditch, datum float64) Site {
	fall := func(x, y float64) float64 { return max(0, math.Abs(x-float64(cols-1)/2)-25) / 16 }
	z := made(rows, cols, 1, func(x, y float64) float64 { return datum + math.Round(1024*fall(x, y))/1024 })
	index := made(rows, cols, 1, func(x, y float64) float64 { return 9 - fall(x, y) + math.Sin(y/9) })
	middle := float64(cols) / 2
	return Site{Ground: z, Index: index, Soil: loam, Ditches: []Ditch{{Ditch: hydro.Ditch{
		Name: "floor", Line: orb.LineString{{middle, 0}, {middle, float64(rows) / 2}}, Level: []float64{datum - ditch},
	}}}}
}

func TestRaisingTheDitchLowersTheTableNowhere(t *testing.T) {
	state := &State{Deficit: 0.1, M: 0.03, Recharge: 0.0015}
	var last *Table
	for _, below := range []float64{1.5, 1.25, 1, 0.5, 0} {
		site := valley(60, 121, below, 32)
		m := prepared(t, site, Options{})
		assert.Greater(t, m.Flat, 0.3)
		assert.Less(t, m.Flat, 0.9)
		table := m.Table(state)
		if last != nil {
			for i := range last.Depth.Cells {
				require.LessOrEqual(t, table.Depth.Cells[i], last.Depth.Cells[i]+1e-6, "ditch at %v", below)
			}
			assert.Less(t, table.Depth.At(45, 50), last.Depth.At(45, 50))
		}
		last = table
	}
}

func TestTableMovesWithTheGround(t *testing.T) {
	state := &State{Deficit: 0.1, M: 0.03, Recharge: 0.0015}
	a := prepared(t, valley(60, 121, 1, 32), Options{}).Table(state)
	b := prepared(t, valley(60, 121, 1, 32+512), Options{}).Table(state)
	for i := range a.Depth.Cells {
		require.InDelta(t, a.Depth.Cells[i], b.Depth.Cells[i], 2e-4, "elevations above 512 m are known to 6e-5 m")
	}
}

func TestASymmetricSiteHasASymmetricTable(t *testing.T) {
	table := prepared(t, valley(60, 121, 1, 32), Options{}).Table(&State{Deficit: 0.1, M: 0.03, Recharge: 0.0015})
	for r := range 60 {
		for c := range 60 {
			require.InDelta(t, table.Depth.At(r, c), table.Depth.At(r, 120-c), 1e-5)
		}
	}
}

func TestCoarserCellsTellTheSameTable(t *testing.T) {
	state := &State{Deficit: 0.1, M: 0.03, Recharge: 0.0015}
	fine := prepared(t, valley(120, 121, 1, 32), Options{})
	rough := prepared(t, valley(120, 121, 1, 32), Options{Cell: 3})
	assert.Equal(t, 1.0, fine.Cell)
	assert.Equal(t, 3.0, rough.Cell)
	a, b, sum := fine.Table(state), rough.Table(state), 0.0
	for i := range a.Depth.Cells {
		sum += math.Abs(float64(a.Depth.Cells[i] - b.Depth.Cells[i]))
	}
	assert.Less(t, sum/float64(len(a.Depth.Cells)), 0.05)
}

// Wells read off a known state give that state back, nearly, and the map has
// their depths to a hair.
func TestSeveralWellsAreMet(t *testing.T) {
	site := valley(90, 121, 1, 32)
	m := prepared(t, site, Options{})
	truth := &State{Deficit: 0.13, M: 0.02, Recharge: 0.0007}
	known := m.Table(truth)
	rng := rand.New(rand.NewPCG(3, 9))
	var wells []Observation
	for len(wells) < 12 {
		r, c := rng.IntN(90), rng.IntN(121)
		if d := known.Depth.At(r, c); d > 0 {
			wells = append(wells, Observation{At: site.Ground.Centre(r, c), Depth: float64(d)})
		}
	}
	s, err := m.Fit(wells)
	require.NoError(t, err)
	assert.InDelta(t, truth.Deficit, s.Deficit, 0.005)
	assert.InDelta(t, truth.M, s.M, 0.002)
	assert.InDelta(t, truth.Recharge, s.Recharge, 0.0001)
	for i := range wells { // and now with an error of their own
		wells[i].Depth += 0.1 * rng.Float64()
	}
	s, err = m.Fit(wells)
	require.NoError(t, err)
	table := m.Table(s)
	for i, w := range wells {
		r, c, _ := site.Ground.Locate(w.At)
		assert.InDelta(t, w.Depth, table.Depth.At(r, c), 1e-5)
		assert.InDelta(t, w.Depth, s.Fitted[i].Modelled, 0.2)
		p, ok := m.Position(s, w.At)
		require.True(t, ok)
		assert.InDelta(t, w.Depth, p.Depth(m.Daily(s, 0.001)), 1e-5)
	}
	// The correction stays away from the ditch.
	r, c := 80, 60
	assert.InDelta(t, 1, table.Depth.At(r, c), 1e-5)
}

func TestPondsHoldTheTable(t *testing.T) {
	site := acrossField(41, 9)
	site.Ditches = nil
	site.Ponds = terrain.NewGrid[float32](site.Ground.Frame)
	for r := range 7 {
		site.Ponds.Set(r, 0, 0.25)
	}
	m := prepared(t, site, Options{})
	table := m.Table(&State{})
	for _, d := range table.Depth.Cells {
		require.Zero(t, d)
	}
	assert.InDelta(t, 0.25, table.Highest, 1e-6)
	assert.Equal(t, 7.0*40, table.Seepage, "but for the pond itself")
}

func TestFlatGroundThatNothingHolds(t *testing.T) {
	site := acrossField(41, 9)
	site.Ditches = nil
	m := prepared(t, site, Options{})
	assert.Equal(t, 1.0, m.Loose)
	s, err := m.Fit([]Observation{{At: orb.Point{3, 3}, Depth: 0.6}})
	require.NoError(t, err)
	require.Len(t, s.Notes, 1)
	assert.Contains(t, s.Notes[0], "100 % of the ground is flat with no ditch")
	for _, d := range m.Table(s).Depth.Cells {
		require.InDelta(t, 0.6, d, 1e-6)
	}
}

func TestFitSaysWhatItThinks(t *testing.T) {
	site := acrossField(41, 9)
	m := prepared(t, site, Options{})
	day := time.Date(2031, 2, 1, 0, 0, 0, 0, time.UTC)
	s, err := m.Fit([]Observation{
		{Name: "north", At: orb.Point{20.5, 5.5}, Depth: 1.4, When: day},
		{Name: "south", At: orb.Point{20.5, 1.5}, Depth: 1.4, When: day.AddDate(0, 2, 0)},
		{Name: "wet boots", At: orb.Point{0.5, 1.5}, Depth: 0.3},
	})
	require.NoError(t, err)
	assert.Less(t, s.Recharge, 0.0)
	assert.Equal(t, []string{
		`well "wet boots" stands where a ditch or pond decides how high the water stands, and was not used`,
		"the flat ground loses water to the air: its table stands below the ditches and ponds, which feed it",
		"the depths were read up to 59 days apart and count as one state of the ground",
	}, s.Notes)
	assert.False(t, s.Fitted[2].Used)

	slope := valley(60, 121, 1, 32)
	slope.Index = made(60, 121, 1, func(x, y float64) float64 { return y / 10 })
	m = prepared(t, slope, Options{Smooth: -1})
	s, err = m.Fit([]Observation{{At: orb.Point{3, 55}, Depth: 0.2}, {At: orb.Point{3, 5}, Depth: 3}, {At: orb.Point{8, 30}, Depth: 1.6}})
	require.NoError(t, err)
	assert.Equal(t, 0.03, s.M)
	assert.True(t, strings.HasPrefix(strings.Join(s.Notes, "\n"), "the wells say that the table lies no nearer"), "%q", s.Notes)
}

func TestFitRefusesWellsThatCannotBe(t *testing.T) {
	m := prepared(t, acrossField(41, 9), Options{})
	_, err := m.Fit(nil)
	assert.EqualError(t, err, "no depth to the water table was observed; one auger hole or well is enough")
	_, err = m.Fit([]Observation{
		{Name: "B2", At: orb.Point{4, 4}, Depth: -0.15},
		{At: orb.Point{400, 4}, Depth: 1},
		{Name: "deep", At: orb.Point{4, 4}, Depth: math.NaN()},
	})
	assert.EqualError(t, err, "well \"B2\" has its water table 0.15 m above the ground; give the depth below the ground, 0 or more, and draw standing water as a pond\n"+
		"the well at 400.0, 4.0 at 400.0, 4.0 does not stand on known ground, which lies within 0.0 to 41.0 and 0.0 to 7.0\n"+
		"well \"deep\" has its water table at a depth of NaN m, which is not between 0 and 1000")
	_, err = m.Fit([]Observation{{At: orb.Point{0.5, 3}, Depth: 1}})
	assert.EqualError(t, err, "no observed depth can be used: every one stands in a ditch or pond")
}

func TestPrepareRefusesSitesOutOfRange(t *testing.T) {
	site := acrossField(41, 13)
	site.Ditches[1].Level = []float64{2}
	site.Ditches = append(site.Ditches, Ditch{Ditch: hydro.Ditch{Name: "away", Line: orb.LineString{{99, 1}, {99, 2}}}})
	_, err := Prepare(site, Options{})
	assert.EqualError(t, err, "ditch \"side\": its water stands 3.00 m or more above the ground all along; levels are heights in the datum of the ground, at most 10.00 m here\n"+
		"ditch \"side\": its water stands below the barrier, 4 m under the ground, all along\n"+
		"ditch \"away\" does not cross the known ground")
	site.Soil = Soil{Conductivity: -1, DrainablePorosity: 0.9, BarrierDepth: -3, M: 2}
	site.Ditches = site.Ditches[2:]
	site.Ditches[0].Below, site.Ditches[0].Radius = math.NaN(), -1
	site.Ponds = terrain.NewGrid[float32](terrain.Frame{})
	site.Index = nil
	_, err = Prepare(site, Options{Cell: -1, Smooth: math.Inf(1), FlatSlope: 0.5, SteepSlope: 0.1})
	assert.EqualError(t, err, "saturated conductivity -1 m/day is not between 1e-06 and 10000\n"+
		"drainable porosity 0.9 is not above 0 and at most 0.6 of the volume\n"+
		"barrier depth -3 m is not above 0 and at most 1000\n"+
		"m of the deficit 2 m is not above 0 and at most 1\n"+
		"the wetness index lies on another grid than the ground\n"+
		"the ponds lie on another grid than the ground\n"+
		"ditch \"away\": its water stands NaN m below the ground, which is not between 0 and the barrier at -3 m\n"+
		"ditch \"away\": a radius of -1 m is not between 0 and 10\n"+
		"cell -1 is not 0 or more\n"+
		"smoothing length +Inf is not a length in metres\n"+
		"steep slope 0.1 is less than flat slope 0.5")
	_, err = Prepare(Site{Soil: loam}, Options{})
	assert.EqualError(t, err, "the ground has no known elevation")
}

func TestTableDoesNotShowItsThreads(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var want *Table
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		site := valley(150, 161, 1, 32)
		m := prepared(t, site, Options{})
		s, err := m.Fit([]Observation{{At: orb.Point{30, 30}, Depth: 1}, {At: orb.Point{80, 40}, Depth: 0.7}, {At: orb.Point{140, 20}, Depth: 1.3}})
		require.NoError(t, err)
		got := m.Table(s)
		if want != nil {
			require.Equal(t, want, got, "%d threads", n)
		}
		want = got
	}
}

func TestReachAgreesWithTheDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 30 {
		a := even(1+rng.IntN(12), 1+rng.IntN(12), 2, 1)
		for range rng.IntN(4) {
			a.Held[rng.IntN(a.Len())] = 1
		}
		for i, got := range reach(a) {
			want := math.Inf(1)
			for j, h := range a.Held {
				if !math.IsNaN(h) {
					want = min(want, between(a.Centre(a.Cell(i)), a.Centre(a.Cell(j))))
				}
			}
			require.InDelta(t, 0, orZero(got-want), 1e-9, "%v and %v", got, want)
		}
	}
}

// orZero takes +Inf less +Inf for nought.
func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

func BenchmarkModel(b *testing.B) {
	site := valley(1000, 1000, 1, 32)
	wells := []Observation{{At: orb.Point{300, 300}, Depth: 1}, {At: orb.Point{520, 400}, Depth: 0.7}, {At: orb.Point{480, 900}, Depth: 0.9}}
	m := prepared(b, site, Options{})
	s, err := m.Fit(wells)
	require.NoError(b, err)
	b.Run("prepare/side=1000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			prepared(b, site, Options{})
		}
	})
	b.Run("fit/side=1000", func(b *testing.B) {
		for b.Loop() {
			if _, err := m.Fit(wells); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("table/side=1000", func(b *testing.B) {
		for b.Loop() {
			m.Table(s)
		}
	})
}
