package storm

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Checks G08 and G09, by hand: west bowl holds 5 m³ to the saddle, east bowl
// 8, and both 7 more to the way out. Digits as given, six after the point.
func TestTwoBowlsWithGivenCatchmentsByHand(t *testing.T) {
	s := site(t, bowls())
	for _, tt := range []struct {
		westArea, eastArea, mm                 float64
		joined                                 bool
		levelWest, levelEast, volWest, volEast float64
		all, left                              float64
	}{
		{30, 10, 100, false, 4.333333, 2, 3, 1, 4, 0},
		{30, 10, 200, false, 5, 3.333333, 5, 3, 8, 0},
		{30, 10, 300, false, 5, 4.666667, 5, 7, 12, 0},
		{30, 10, 325, true, 5, 5, 5, 8, 13, 0},
		{30, 10, 400, true, 5.428571, 5.428571, 5, 8, 16, 0},
		{30, 10, 500, true, 6, 6, 5, 8, 20, 0},
		{30, 10, 600, true, 6, 6, 5, 8, 20, 4},
		{5, 40, 100, false, 2.5, 3.666667, 0.5, 4, 4.5, 0},
		{5, 40, 250, false, 4.416667, 5, 3.25, 8, 11.25, 0},
		{5, 40, 300, true, 5.071429, 5.071429, 5, 8, 13.5, 0},
		{5, 40, 450, true, 6, 6, 5, 8, 20, 0.25},
	} {
		in := Inflow{To: make([]float64, 3)}
		in.To[west], in.To[east] = tt.westArea*tt.mm/1000, tt.eastArea*tt.mm/1000
		st := s.Fill(in)
		const digits = 0.5e-6
		assert.Equal(t, tt.joined, st.Joined(both), "%g mm", tt.mm)
		assert.InDelta(t, tt.levelWest, st.Level(west), digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.levelEast, st.Level(east), digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.volWest, st.Volume(west), digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.volEast, st.Volume(east), digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.all, st.Volume(both), digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.all, st.Ponded, digits, "%g mm", tt.mm)
		assert.InDelta(t, tt.left, st.Left, digits, "%g mm", tt.mm)
	}
}

// Check G10, by hand. Walls drain straight down but for the corner cells and
// those beside the way out, so 12 cells run to the west bowl, 15 to the east
// one and 3 past them.
func TestTwoBowlsUnderEvenRunoffByHand(t *testing.T) {
	s := site(t, bowls())
	assert.Equal(t, 12.0, s.Catchment(west))
	assert.Equal(t, 15.0, s.Catchment(east))
	for _, tt := range []struct {
		mm                   float64
		joined               bool
		levelWest, levelEast float64
		ponded, left         float64
	}{
		{250, false, 4.333333, 3.583333, 6.75, 0.75},
		{400, false, 4.933333, 4.333333, 10.8, 1.2},
		{500, true, 5.071429, 5.071429, 13.5, 1.5},
		{600, true, 5.457143, 5.457143, 16.2, 1.8},
		{750, true, 6, 6, 20, 2.5},
	} {
		for _, st := range []*State{s.Storm(tt.mm), s.Rise().At(tt.mm)} {
			const digits = 0.5e-6
			assert.Equal(t, tt.joined, st.Joined(both), "%g mm", tt.mm)
			assert.InDelta(t, tt.levelWest, st.Level(west), digits, "%g mm", tt.mm)
			assert.InDelta(t, tt.levelEast, st.Level(east), digits, "%g mm", tt.mm)
			assert.InDelta(t, tt.ponded, st.Ponded, digits, "%g mm", tt.mm)
			assert.InDelta(t, tt.left, st.Left, digits, "%g mm", tt.mm)
			assert.InDelta(t, 0.03*tt.mm, st.In, 1e-9, "%g mm", tt.mm)
		}
	}
}

func TestFillIsThePourOfParcels(t *testing.T) {
	grounds := uint64(1_000)
	if testing.Short() {
		grounds = 100
	}
	for seed := range grounds {
		z := ranked(30, float64(seed%4)*0.3, seed)
		s := site(t, z)
		depth := terrain.NewGrid[float32](z.Frame)
		p := newPour(z)
		r := rand.New(rand.NewPCG(seed, 3))
		poured := 0
		for _, rounds := range []int{1, 3, 10, 30} {
			for ; poured < rounds; poured++ {
				for _, i := range r.Perm(z.Len()) {
					p.drop(i)
				}
			}
			st := s.Storm(float64(rounds) * 1000)
			require.Equal(t, float64(p.left), st.Left, "seed %d, %d parcels a cell", seed, rounds)
			require.Equal(t, float64(rounds*z.Len()), st.Left+st.Ponded, "seed %d", seed)
			st.Depth(depth)
			for i, d := range p.pond {
				if d == nil {
					require.Zero(t, depth.Cells[i], "seed %d, cell %d", seed, i)
					continue
				}
				// No two elevations are equal, so levels that are equal to a
				// thousandth of a parcel over a thousand cells are the same.
				level := d.level(z)
				if want := level - float64(z.Cells[i]); want > 0 {
					require.InDelta(t, want, depth.Cells[i], 1e-6*level, "seed %d, %d parcels a cell, cell %d", seed, rounds, i)
				}
				over := st.over[s.owners()[i]]
				require.GreaterOrEqual(t, over, int32(0), "seed %d, cell %d", seed, i)
				// A pond that is just full may or may not count as one with a
				// full neighbour.
				if st.volume[over] < s.hollow[over].capacity && st.volume[over] > s.held(over) {
					require.Equal(t, float64(d.water), st.volume[over], "seed %d, %d parcels a cell, cell %d", seed, rounds, i)
				}
			}
		}
	}
}

func TestRiseIsFillAtEveryDepth(t *testing.T) {
	for seed := range uint64(300) {
		z := ranked(20, float64(seed%4)*0.3, seed)
		h := hydro.FindHollows(z)
		if seed%3 == 0 {
			h = h.Significant(30)
		}
		s := prepare(t, h)
		rise := s.Rise()
		for _, mm := range []float64{0, 1, 333, 2500, 20_000, 1e6} {
			want, got := s.Storm(mm), rise.At(mm)
			require.InDelta(t, want.Ponded, got.Ponded, 1e-9*(1+want.In), "seed %d, %g mm", seed, mm)
			require.InDelta(t, want.Left, got.Left, 1e-9*(1+want.In), "seed %d, %g mm", seed, mm)
			for i := range h.All {
				require.InDelta(t, want.Volume(i), got.Volume(i), 1e-9*(1+want.In), "seed %d, %g mm, hollow %d", seed, mm, i)
			}
		}
		for i := range h.All {
			full := rise.Filling(i)
			if math.IsInf(full, 1) {
				continue
			}
			a := &h.All[i]
			require.InDelta(t, a.Volume, s.Storm(full*(1+1e-9)).Volume(i), 1e-6*a.Volume, "seed %d, hollow %d", seed, i)
			require.Less(t, s.Storm(full*(1-1e-6)).Volume(i), a.Volume, "seed %d, hollow %d is full before", seed, i)
		}
	}
}

func TestWettingIsTheFirstRunoffThatWetsACell(t *testing.T) {
	for seed := range uint64(60) {
		z := ranked(16, float64(seed%4)*0.3, seed)
		h := hydro.FindHollows(z)
		if seed%3 == 0 {
			h = h.Significant(30)
		}
		s := prepare(t, h)
		rise := s.Rise()
		grid := terrain.NewGrid[float32](z.Frame)
		for _, above := range []float64{0, 7.5} {
			rise.WettingGrid(grid, above)
			for i := range z.Cells {
				mm := rise.Wetting(i, above)
				require.Equal(t, float32(mm), grid.Cells[i])
				wet := func(mm float64) bool {
					level, wet := s.Storm(mm).WaterLevel(i)
					return wet && level > float64(z.Cells[i])+above
				}
				if math.IsInf(mm, 1) {
					require.False(t, wet(1e7), "seed %d, cell %d", seed, i)
					continue
				}
				require.True(t, wet(mm*(1+1e-6)+1e-6), "seed %d, cell %d stays dry at %g mm", seed, i, mm)
				require.False(t, mm > 1e-6 && wet(mm*(1-1e-6)), "seed %d, cell %d is wet before %g mm", seed, i, mm)
			}
		}
	}
}

func TestDepthIsTheWaterOverTheCells(t *testing.T) {
	for seed := range uint64(200) {
		z := ranked(24, float64(seed%4)*0.3, seed)
		z.CellSize = 2
		h := hydro.FindHollows(z)
		if seed%2 == 0 {
			h = h.Significant(40)
		}
		s := prepare(t, h)
		depth := terrain.NewGrid[float32](z.Frame)
		for _, mm := range []float64{0, 100, 3000, 40_000} {
			st := s.Storm(mm)
			st.Depth(depth)
			sum := 0.0
			for i, d := range depth.Cells {
				require.GreaterOrEqual(t, d, float32(0))
				sum += float64(d) * z.CellArea()
				level, wet := st.WaterLevel(i)
				if d > 0 {
					require.True(t, wet)
				}
				if wet && h.All[h.Outer[i]-1].IsLeaf() {
					require.InEpsilon(t, level-float64(z.Cells[i]), d, 1e-6)
				}
			}
			require.InEpsilon(t, 1+st.Ponded, 1+sum, 1e-6, "seed %d, %g mm", seed, mm)
			require.InDelta(t, st.In, st.Ponded+st.Left, 1e-9*(1+st.In))
			ponds := 0.0
			for _, p := range st.Ponds() {
				ponds += p.Volume
				require.Greater(t, p.Volume, 0.0)
				require.LessOrEqual(t, p.Level, h.All[p.Hollow].Spill)
				require.Equal(t, p.Full, p.Volume == h.All[p.Hollow].Volume)
			}
			require.InDelta(t, st.Ponded, ponds, 1e-9*(1+st.In))
		}
	}
}

// Sums over a hundred thousand hollows keep what rounding takes from them.
func TestBalanceOfManyHollowsCloses(t *testing.T) {
	z := terraintest.Lowland(1000, 0.02)
	s := site(t, z)
	require.Greater(t, len(s.h.All), 100_000)
	for _, mm := range []float64{10, 30, 77.7} {
		st := s.Storm(mm)
		assert.InDelta(t, mm/1000*float64(z.Len()), st.In, 1e-10, "%g mm", mm)
		assert.InDelta(t, 0, st.In-st.Ponded-st.Left, 1e-10, "%g mm", mm)
	}
}

func TestMoreRunoffNeverLowersAnyDepth(t *testing.T) {
	for seed := range uint64(100) {
		z := ranked(24, float64(seed%4)*0.3, seed)
		h := hydro.FindHollows(z)
		if seed%2 == 0 {
			h = h.Significant(40)
		}
		s := prepare(t, h)
		before, after := terrain.NewGrid[float32](z.Frame), terrain.NewGrid[float32](z.Frame)
		for mm := 10.0; mm < 1e5; mm *= 1.7 {
			s.Storm(mm).Depth(after)
			for i := range after.Cells {
				require.GreaterOrEqual(t, after.Cells[i], before.Cells[i]*(1-1e-6), "seed %d, %g mm, cell %d", seed, mm, i)
			}
			before, after = after, before
		}
	}
}

func TestTheQuarterTurnOfAGroundTurnsItsWater(t *testing.T) {
	for seed := range uint64(100) {
		z := ranked(24, 0.3+float64(seed%3)*0.3, seed)
		turned := terrain.NewGrid[float32](z.Frame)
		for i, v := range z.Cells {
			r, c := z.Cell(i)
			turned.Set(c, z.Rows-1-r, v)
		}
		a, b := terrain.NewGrid[float32](z.Frame), terrain.NewGrid[float32](z.Frame)
		for _, mm := range []float64{500, 5_000, 50_000} {
			site(t, z).Storm(mm).Depth(a)
			site(t, turned).Storm(mm).Depth(b)
			for i, d := range a.Cells {
				r, c := z.Cell(i)
				require.InDelta(t, d, b.At(c, z.Rows-1-r), 1e-4, "seed %d, %g mm, cell %d", seed, mm, i)
			}
		}
	}
}

func TestWaterScalesWithTheGround(t *testing.T) {
	for seed := range uint64(50) {
		z := ranked(24, float64(seed%4)*0.3, seed)
		scaled := terrain.NewGrid[float32](z.Frame)
		scaled.CellSize = 4
		for i, v := range z.Cells {
			scaled.Cells[i] = v / 8
		}
		for _, mm := range []float64{400, 4_000, 40_000} {
			a, b := site(t, z).Storm(mm), site(t, scaled).Storm(mm/8)
			require.InEpsilon(t, 1+a.Ponded, 1+b.Ponded*8/16, 1e-12, "seed %d", seed)
			require.InEpsilon(t, 1+a.Left, 1+b.Left*8/16, 1e-12, "seed %d", seed)
		}
	}
}

func TestStormIsTheSameOnAnyNumberOfProcessors(t *testing.T) {
	z := ranked(200, 0.5, 1)
	depth := func() []float32 {
		d := terrain.NewGrid[float32](z.Frame)
		site(t, z).Storm(9_000).Depth(d)
		return d.Cells
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want := depth()
	for _, n := range []int{2, 3, 7} {
		runtime.GOMAXPROCS(n)
		assert.Equal(t, want, depth(), "%d processors", n)
	}
}

func TestZonesRunOffEachAtItsOwnDepth(t *testing.T) {
	z := bowls()
	zone := terrain.NewGrid[uint8](z.Frame)
	for i := range zone.Cells {
		if _, col := z.Cell(i); col > 4 {
			zone.Cells[i] = 1
		}
	}
	s, err := Prepare(hydro.FindHollows(z), Options{Zone: zone, Zones: 2})
	require.NoError(t, err)
	in := s.Runoff(100, 40)
	// 12 cells of zone 0 run to the west bowl, 3 to the east one with 12 of
	// zone 1, and 3 of zone 1 leave.
	assert.InDelta(t, 1.2, in.To[west], 1e-12)
	assert.InDelta(t, 0.3+0.48, in.To[east], 1e-12)
	assert.InDelta(t, 0.12, in.Beyond, 1e-12)
	assert.Equal(t, site(t, z).Runoff(70), s.Runoff(70))

	zone.Cells[13] = 2
	_, err = Prepare(hydro.FindHollows(z), Options{Zone: zone, Zones: 2})
	assert.EqualError(t, err, "row 1, column 3 lies in zone 2 of 2, counted from 0")
}

func FuzzFill(f *testing.F) {
	f.Add([]byte{9, 9, 9, 9, 1, 9, 9, 5, 9}, 3, 4.0)
	f.Add([]byte{10, 10, 10, 10, 10, 10, 10, 4, 2, 4, 5, 3, 1, 3, 6, 10, 10, 10, 10, 10, 10, 10, 10, 10}, 8, 700.0)
	f.Fuzz(func(t *testing.T, heights []byte, cols int, mm float64) {
		if cols < 1 || len(heights) > 1<<10 || !(mm >= 0) || mm > 1e6 {
			return
		}
		z := terrain.NewGrid[float32](terrain.Frame{Rows: len(heights) / cols, Cols: cols, CellSize: 1})
		for i := range z.Cells {
			z.Cells[i] = float32(heights[i] % 64)
			if heights[i] == 255 {
				z.Cells[i] = terrain.Void()
			}
		}
		h := hydro.FindHollows(z)
		for _, h := range []*hydro.Hollows{h, h.Significant(3)} {
			s := prepare(t, h)
			st := s.Storm(mm)
			require.InDelta(t, st.In, st.Ponded+st.Left, 1e-9*(1+st.In))
			depth := terrain.NewGrid[float32](z.Frame)
			st.Depth(depth)
			sum := 0.0
			for i, d := range depth.Cells {
				require.Equal(t, terrain.IsVoid(z.Cells[i]), d != d)
				if d == d {
					require.GreaterOrEqual(t, d, float32(0))
					sum += float64(d)
				}
			}
			require.InDelta(t, st.Ponded, sum, 1e-5*(1+st.Ponded))
			rise := s.Rise().At(mm)
			require.InDelta(t, st.Ponded, rise.Ponded, 1e-9*(1+st.In))
		}
	})
}
