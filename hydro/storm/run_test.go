package storm

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// box is a pit of one cell, 1 m deep, in level ground.
func box() *terrain.Grid[float32] {
	return ground([]float32{1, 1, 1}, []float32{1, 0, 1}, []float32{1, 1, 1})
}

const boxCell = 4

// rates4 is soaking at 5 mm/h and evaporation at 4 mm a day, of checks C14
// and G12.
var rates4 = struct {
	loss Loss
	evap float64
}{Loss{Infiltration: []float64{5}}, 4.0 / 24}

// Check C14: 296.4 mm sink at 5 mm/h and 4 mm a day in 57.36774 h whatever the
// shape of the pit.
func TestPondSinksAtTheRateOfItsLossesWhateverItsShape(t *testing.T) {
	const depth, hours = 0.2964, 57.36774
	cone := terrain.NewGrid[float32](terrain.Frame{Rows: 41, Cols: 41, CellSize: 1})
	for i := range cone.Cells {
		row, col := cone.Cell(i)
		cone.Cells[i] = float32(0.5 * min(1, math.Hypot(float64(row-20), float64(col-20))/10))
	}
	for _, z := range []*terrain.Grid[float32]{box(), cone} {
		s := site(t, z)
		in := Inflow{To: make([]float64, len(s.h.All))}
		in.To[0] = s.store().Volume(0, depth)
		h := s.Run(s.Fill(in), rates4.loss, Step{Hours: 1000, Evaporation: rates4.evap})
		floor := s.h.All[0].FloorCell
		assert.InDelta(t, hours, Total(h.UnderWater(floor, 0)), 0.5e-5)
		assert.InDelta(t, hours*0.25, Total(h.UnderWater(floor, depth*0.75)), 1e-5)
		assert.Equal(t, []Point{{0, s.store().Level(0, in.To[0])}, {h.Levels(0)[1].Hours, 0}, {1000, 0}}, h.Levels(0))
		assert.InDelta(t, 0, h.Error(), 1e-12*h.In)
		assert.InDelta(t, 30, h.Soaked/h.Evaporated, 1e-9)
	}
}

// Check G12: 13.80248 mm run off 2000 m² into a paraboloid of 10 m radius and
// 0.5 m depth, stand 0.2964276 m deep and are gone in 57.37308 h. Cells of
// 10 cm hold the shape to a thousandth.
func TestStormToPondAndItsEndInAParaboloid(t *testing.T) {
	bowl := terrain.NewGrid[float32](terrain.Frame{Rows: 241, Cols: 241, CellSize: 0.1})
	for i := range bowl.Cells {
		row, col := bowl.Cell(i)
		r := math.Hypot(float64(row-120), float64(col-120)) / 100
		bowl.Cells[i] = float32(0.5 * min(1, r*r))
	}
	s := site(t, bowl)
	in := Inflow{To: make([]float64, len(s.h.All))}
	in.To[0] = 13.80248 / 1000 * 2000
	st := s.Fill(in)
	assert.InEpsilon(t, 0.2964276, st.Level(0), 1e-3)
	pond := st.Ponds()[0]
	assert.InEpsilon(t, 7.699709, math.Sqrt(pond.Area/math.Pi), 1e-3)
	h := s.Run(st, rates4.loss, Step{Hours: 100, Evaporation: rates4.evap})
	assert.InEpsilon(t, 57.37308, Total(h.UnderWater(s.h.All[0].FloorCell, 0)), 1e-3)
}

// Two bowls brim-full at 6 m part at their saddle at 5 m and dry apart, by
// hand: at 10 mm/h the metre above the saddle takes 100 h, the four below it
// in the east 400 and the three in the west 300.
func TestTwoBowlsPartAtTheirSaddleAndDryApart(t *testing.T) {
	s := site(t, bowls())
	h := s.Run(s.Storm(1e6), Loss{Infiltration: []float64{10}}, Step{Hours: 1000})
	assert.Equal(t, []Point{{0, 6}, {100, 5}, {500, 1}, {1000, 1}}, h.Levels(east))
	assert.Equal(t, []Point{{0, 6}, {100, 5}, {400, 2}, {1000, 2}}, h.Levels(west))
	assert.Equal(t, h.Levels(east), h.Levels(both))
	assert.InDelta(t, 20, h.Soaked, 1e-12)
	assert.Equal(t, Point{0, 6}, h.Peak(west))
	for _, tt := range []struct{ hours, west, east float64 }{
		{0, 6, 6}, {50, 5.5, 5.5}, {100, 5, 5}, {300, 3, 3}, {450, 2, 1.5}, {500, 2, 1}, {999, 2, 1},
	} {
		assert.InDelta(t, tt.west, h.Level(west, tt.hours), 1e-12, "%g h", tt.hours)
		assert.InDelta(t, tt.east, h.Level(east, tt.hours), 1e-12, "%g h", tt.hours)
	}
	grid := terrain.NewGrid[float32](s.frame)
	h.HoursGrid(grid, 0)
	assert.Equal(t, []float32{0, 200, 400, 200, 100, 300, 500, 300, 0, 0}, grid.Row(1))
	h.HoursGrid(grid, 0.5)
	assert.Equal(t, []float32{0, 150, 350, 150, 50, 250, 450, 250, 0, 0}, grid.Row(1))
	h.Depth(grid, 250)
	assert.Equal(t, []float32{0, 0, 1.5, 0, 0, 0.5, 2.5, 0.5, 0, 0}, grid.Row(1))
}

// Rain of 2 m³/h on a box of 1 m² that loses 0.5 m/h: it rises at 1.5 m/h, is
// full after 40 min and spills 1.5 m³/h, then sinks in 2 h.
func TestBoxFillsSpillsAndDriesByHand(t *testing.T) {
	s := site(t, box())
	h := s.Run(nil, Loss{Infiltration: []float64{500}},
		Step{Hours: 2, Inflow: Inflow{To: []float64{4}}}, Step{Hours: 10})
	want := []Point{{0, 0}, {2.0 / 3, 1}, {2, 1}, {4, 0}, {12, 0}}
	got := h.Levels(0)
	require.Len(t, got, len(want))
	for i := range want {
		assert.InDelta(t, want[i].Hours, got[i].Hours, 1e-12)
		assert.InDelta(t, want[i].Level, got[i].Level, 1e-12)
	}
	assert.InDelta(t, 2, h.Left, 1e-12)
	assert.InDelta(t, 2, h.Soaked, 1e-12)
	roots := Roots{Crown: 0.25, Depth: 0.6, Porosity: 0.1, Drainage: 12}
	assert.InDelta(t, 5, roots.Lag(), 1e-12)
	wet := h.RootsWet(boxCell, roots)
	require.Len(t, wet, 1)
	assert.InDelta(t, 0.25/1.5, wet[0].From, 1e-12)
	assert.InDelta(t, 3.5+5, wet[0].To, 1e-12)
}

// A ditch that carries 0.5 m³/h from 0.4 m up: full, the box sinks at 1 m/h to
// the ditch and at 0.5 m/h below. With 0.7 m³/h running in it stays at the
// ditch, which then carries what soaking leaves of that, 0.2 m³/h.
func TestOutletCarriesItsCapacityAndAtItsLevelWhatComes(t *testing.T) {
	h := hydro.FindHollows(box())
	s, err := Prepare(h, Options{Links: []Link{{From: 0, To: hydro.Outside, Level: 0.4, Capacity: 0.5 / 3600}}})
	require.NoError(t, err)
	full := s.Storm(1e6)
	got := s.Run(full, Loss{Infiltration: []float64{500}}, Step{Hours: 10})
	require.Len(t, got.Levels(0), 4)
	assert.InDelta(t, 0.6, got.Levels(0)[1].Hours, 1e-12)
	assert.InDelta(t, 0.4, got.Levels(0)[1].Level, 1e-12)
	assert.InDelta(t, 1.4, got.Levels(0)[2].Hours, 1e-12)
	assert.InDelta(t, 0.3, got.Left, 1e-12)

	got = s.Run(nil, Loss{Infiltration: []float64{500}}, Step{Hours: 10, Inflow: Inflow{To: []float64{7}}})
	assert.InDelta(t, 0.4, got.Level(0, 10), 1e-12)
	assert.InDelta(t, 0.2*(10-2), got.Left, 1e-9)
	assert.InDelta(t, 0.4, got.Ponded, 1e-12)
	assert.InDelta(t, 0, got.Error(), 1e-12)
}

// With room for 100 mm the soil takes 50 mm/h for two hours, then 10 mm/h.
func TestSoakingSlowsWhenTheSoilIsFull(t *testing.T) {
	s := site(t, box())
	in := Inflow{To: []float64{0.5}}
	h := s.Run(s.Fill(in), Loss{Infiltration: []float64{50}, Room: []float64{100}, Rest: []float64{10}}, Step{Hours: 100})
	want := []Point{{0, 0.5}, {2, 0.4}, {42, 0}, {100, 0}}
	require.Len(t, h.Levels(0), len(want))
	for i, p := range h.Levels(0) {
		assert.InDelta(t, want[i].Hours, p.Hours, 1e-9)
		assert.InDelta(t, want[i].Level, p.Level, 1e-12)
	}
}

// driedSlowly carries water through time in short steps over the cells: what
// stands on each loses a little, what is left in the basin of each leaf is
// filled in anew. It knows of no events.
func driedSlowly(s *Site, rate float64, steps []Step, short float64) (hours []float64, end *State, left float64) {
	depth := terrain.NewGrid[float32](s.frame)
	hours = make([]float64, s.frame.Len())
	end = s.Storm(0)
	for _, w := range steps {
		n := int(math.Round(w.Hours / short))
		for range n {
			in := Inflow{To: make([]float64, len(s.h.All)), Beyond: w.Inflow.Beyond / float64(n)}
			end.Depth(depth)
			for c, d := range depth.Cells {
				if d > 0 {
					hours[c] += short
					in.To[s.h.Inner[c]-1] += max(0, float64(d)-rate*short) * s.frame.CellArea()
				}
			}
			for i, v := range w.Inflow.To {
				in.To[i] += v / float64(n)
			}
			end = s.Fill(in)
			left += end.Left
		}
	}
	return hours, end, left
}

func TestRunIsTheLimitOfShortSteps(t *testing.T) {
	const short = 1.0 / 256
	for seed := range uint64(40) {
		z := ranked(9, float64(seed%4)*0.3, seed)
		s := site(t, z)
		steps := []Step{
			{Hours: 2, Inflow: s.Runoff(8_000)},
			{Hours: 1, Inflow: s.Runoff(500)},
			{Hours: 3},
			{Hours: 1, Inflow: s.Runoff(6_000)},
			{Hours: 4},
		}
		const rate = 2 // m/h
		hours, end, left := driedSlowly(s, rate, steps, short)
		h := s.Run(nil, Loss{Infiltration: []float64{rate * 1000}}, steps...)
		require.InDelta(t, 0, h.Error(), 1e-9*h.In)
		// A step's worth of water on every cell, a few times over.
		most := 4 * rate * short * float64(z.Len())
		require.InDelta(t, end.Ponded, h.Ponded, most, "seed %d", seed)
		require.InDelta(t, left, h.Left, 2*most, "seed %d", seed)
		grid := terrain.NewGrid[float32](z.Frame)
		h.HoursGrid(grid, 0)
		differ := 0
		for c := range hours {
			if math.Abs(hours[c]-float64(grid.Cells[c])) > 16*short {
				differ++
			}
		}
		// A saddle reached a moment later may send water the other way.
		require.LessOrEqual(t, differ, 1, "seed %d", seed)
	}
}

// randomRun is a site with links and losses at random, and some weather.
func randomRun(t testing.TB, z *terrain.Grid[float32], seed uint64) (*Site, Loss, []Step) {
	r := rand.New(rand.NewPCG(seed, 5))
	h := hydro.FindHollows(z)
	relief := 0.0
	for _, a := range h.All {
		relief = max(relief, a.Spill-a.Floor)
	}
	if seed%2 == 0 {
		h = h.Significant(relief / 20)
	}
	var links []Link
	for range 4 {
		if len(h.All) == 0 {
			break
		}
		l := Link{From: r.IntN(len(h.All)), To: r.IntN(len(h.All)+1) - 1, Outlet: math.NaN()}
		a := &h.All[l.From]
		l.Level = a.Floor + r.Float64()*a.Depth()
		if r.IntN(3) > 0 {
			l.Capacity = r.ExpFloat64() * relief / 3600
		}
		if _, err := Prepare(h, Options{Links: append(links, l)}); err == nil {
			links = append(links, l)
		}
	}
	s, err := Prepare(h, Options{Links: links})
	require.NoError(t, err)
	loss := Loss{Infiltration: make([]float64, len(s.h.All))}
	for i := range loss.Infiltration {
		loss.Infiltration[i] = float64(r.IntN(3)) * r.Float64() * relief * 100
	}
	if seed%3 == 0 {
		loss.Room, loss.Rest = []float64{relief * 300}, []float64{relief * 10}
	}
	var steps []Step
	for range 6 {
		w := Step{Hours: r.Float64() * 3, Evaporation: float64(r.IntN(2)) * r.Float64() * relief * 10}
		if r.IntN(2) == 0 {
			w.Inflow = s.Runoff(r.ExpFloat64() * 200 * relief)
		}
		steps = append(steps, w)
	}
	return s, loss, steps
}

func TestWaterIsNeverLostAndNeverBelowGround(t *testing.T) {
	for seed := range uint64(600) {
		z := ranked(14, float64(seed%4)*0.3, seed)
		s, loss, steps := randomRun(t, z, seed)
		m := s.Simulate(s.Storm(float64(seed%3)*2000), loss)
		depth := terrain.NewGrid[float32](z.Frame)
		for _, w := range steps {
			m.Step(w)
			b := m.Balance()
			require.InDelta(t, 0, b.Error(), 1e-9*(1+b.In), "seed %d after %g h", seed, m.Now())
			require.GreaterOrEqual(t, b.Soaked, 0.0)
			require.GreaterOrEqual(t, b.Evaporated, 0.0)
			st := m.State()
			require.InDelta(t, b.Ponded, st.Ponded, 1e-9*(1+b.In), "seed %d", seed)
			for i := range s.h.All {
				if st.over[i] == int32(i) {
					require.LessOrEqual(t, st.volume[i], s.hollow[i].capacity*(1+1e-12), "seed %d", seed)
					require.GreaterOrEqual(t, st.volume[i], s.held(int32(i))*(1-1e-12), "seed %d", seed)
				}
			}
			st.Depth(depth)
			for _, d := range depth.Cells {
				require.GreaterOrEqual(t, d, float32(0))
			}
		}
		h := m.History()
		for i := range s.h.All {
			last := -1.0
			for _, p := range h.Levels(i) {
				require.Greater(t, p.Hours, last, "seed %d, hollow %d: two levels at one time", seed, i)
				require.GreaterOrEqual(t, p.Level, s.h.All[i].Floor)
				require.InDelta(t, p.Level, h.Level(i, p.Hours), 1e-9, "seed %d, hollow %d", seed, i)
				last = p.Hours
			}
			require.Equal(t, h.Hours, last)
		}
	}
}

func TestHoursOfTheGridAreThoseOfThePositions(t *testing.T) {
	for seed := range uint64(100) {
		z := ranked(14, float64(seed%4)*0.3, seed)
		s, loss, steps := randomRun(t, z, seed)
		h := s.Run(nil, loss, steps...)
		grid := terrain.NewGrid[float32](z.Frame)
		for _, above := range []float64{0, 3.25} {
			h.HoursGrid(grid, above)
			for c := range z.Cells {
				spans := h.UnderWater(c, above)
				require.InDelta(t, Total(spans), grid.Cells[c], 1e-5, "seed %d, cell %d, %g m above", seed, c, above)
				require.LessOrEqual(t, Longest(spans), Total(spans))
			}
		}
	}
}

func TestRunIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	z := ranked(60, 0.6, 1)
	run := func() (*History, []float32) {
		s, loss, steps := randomRun(t, z, 3)
		h := s.Run(nil, loss, steps...)
		grid := terrain.NewGrid[float32](z.Frame)
		h.HoursGrid(grid, 0)
		return h, grid.Cells
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want, hours := run()
	for _, n := range []int{2, 5} {
		runtime.GOMAXPROCS(n)
		got, again := run()
		assert.Equal(t, want.Balance, got.Balance)
		assert.Equal(t, want.tracks, got.tracks)
		assert.Equal(t, hours, again)
	}
}

// Turned ground has other numbers for its cells and hollows.
func TestTheQuarterTurnOfAGroundTurnsItsHours(t *testing.T) {
	for seed := range uint64(60) {
		z := ranked(14, 0.3+float64(seed%3)*0.3, seed)
		turned := terrain.NewGrid[float32](z.Frame)
		for i, v := range z.Cells {
			r, c := z.Cell(i)
			turned.Set(c, z.Rows-1-r, v)
		}
		hours := func(z *terrain.Grid[float32]) *terrain.Grid[float32] {
			s := site(t, z)
			out := terrain.NewGrid[float32](z.Frame)
			s.Run(nil, Loss{Infiltration: []float64{3000}},
				Step{Hours: 2, Inflow: s.Runoff(9_000)}, Step{Hours: 30, Evaporation: 500}).HoursGrid(out, 0)
			return out
		}
		a, b := hours(z), hours(turned)
		for i, d := range a.Cells {
			r, c := z.Cell(i)
			require.InDelta(t, d, b.At(c, z.Rows-1-r), 1e-4, "seed %d, cell %d", seed, i)
		}
	}
}

func TestMeanIsOverTheCellsThatAHollowWets(t *testing.T) {
	s := site(t, bowls())
	mean := s.Mean(func(cell int) float64 { return float64(s.h.Ground().Cells[cell]) })
	assert.InDeltaSlice(t, []float64{22.0 / 7, 7.0 / 3, 10.0 / 3}, mean, 1e-12)
}

func TestForgettingLeavesTheWater(t *testing.T) {
	s := site(t, bowls())
	m := s.Simulate(s.Storm(1e6), Loss{Infiltration: []float64{10}})
	m.Step(Step{Hours: 200})
	m.Forget()
	m.Step(Step{Hours: 100})
	assert.Equal(t, []Point{{200, 4}, {300, 3}}, m.History().Levels(west))
	assert.Equal(t, []Span{{200, 300}}, m.History().UnderWater(12, 0))
	assert.Empty(t, m.History().UnderWater(14, 0))
}

func TestWatchingAPlaceTellsOfItWhatTheWholeTells(t *testing.T) {
	for seed := range uint64(60) {
		z := ranked(14, float64(seed%4)*0.3, seed)
		s, loss, steps := randomRun(t, z, seed)
		all, some := s.Simulate(nil, loss), s.Simulate(nil, loss)
		cell := int(seed*37) % z.Len()
		some.Watch(cell)
		for _, w := range steps {
			all.Step(w)
			some.Step(w)
		}
		require.Equal(t, all.Balance(), some.Balance(), "seed %d", seed)
		require.Equal(t, all.History().UnderWater(cell, 0), some.History().UnderWater(cell, 0), "seed %d", seed)
		require.Equal(t, all.History().UnderWater(cell, 2.5), some.History().UnderWater(cell, 2.5), "seed %d", seed)
	}
}

func FuzzRun(f *testing.F) {
	f.Add([]byte{9, 9, 9, 9, 1, 9, 9, 5, 9}, 3, uint64(1))
	f.Add([]byte{10, 10, 10, 10, 10, 10, 10, 4, 2, 4, 5, 3, 1, 3, 6, 10, 10, 10, 10, 10, 10, 10, 10, 10}, 8, uint64(2))
	f.Fuzz(func(t *testing.T, heights []byte, cols int, seed uint64) {
		if cols < 1 || len(heights) > 1<<8 {
			return
		}
		z := terrain.NewGrid[float32](terrain.Frame{Rows: len(heights) / cols, Cols: cols, CellSize: 1})
		for i := range z.Cells {
			z.Cells[i] = float32(heights[i] % 32)
			if heights[i] == 255 {
				z.Cells[i] = terrain.Void()
			}
		}
		s, loss, steps := randomRun(t, z, seed)
		h := s.Run(nil, loss, steps...)
		require.InDelta(t, 0, h.Error(), 1e-9*(1+h.In))
		grid := terrain.NewGrid[float32](z.Frame)
		h.HoursGrid(grid, 0)
		for c, v := range grid.Cells {
			require.Equal(t, terrain.IsVoid(z.Cells[c]), v != v)
			require.False(t, v < 0 || float64(v) > h.Hours*(1+1e-6)+1e-9, "%g h of %g", v, h.Hours)
		}
	})
}

// A quick floor takes all that comes until the soil below is full: 10 mm of
// room under a floor cell, filled at 5 mm an hour by what runs to it, last two
// hours; from then on the water stands.
func TestRoomIsUsedUpUnderAFloorThatTakesAll(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 3, CellSize: 1})
	for i := range z.Cells {
		z.Cells[i] = 10
	}
	z.Set(1, 1, 9)
	site, err := Prepare(hydro.FindHollows(z), Options{})
	require.NoError(t, err)
	catchment := site.Catchment(0)
	comes := site.Runoff(4 * 5 / catchment) // over four hours, 5 mm an hour on the floor's square metre
	h := site.Run(nil, Loss{Infiltration: []float64{50}, Room: []float64{10}, Rest: []float64{0}}, Step{Hours: 4, Inflow: comes})
	assert.InDelta(t, 0.010, h.Soaked, 1e-12)
	assert.InDelta(t, 0.010, h.Ponded, 1e-12)
	assert.InDelta(t, 0, h.Error(), 1e-12)
	assert.InDelta(t, 9, h.Level(0, 2), 1e-9)
	assert.InDelta(t, 9.010, h.Level(0, 4), 1e-9)
}
