package relief

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
	"wetfeet/terrain/earthwork"
)

// rolling is ground that falls a little to the east, with hollows of all sizes.
func rolling(side int, seed uint64) *terrain.Grid[float32] {
	r := rand.New(rand.NewPCG(seed, 4))
	rough := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, North: float64(side), CellSize: 1})
	for i := range rough.Cells {
		rough.Cells[i] = float32(r.NormFloat64())
	}
	z := terrain.NewGrid[float32](rough.Frame)
	terrain.Smooth(z, rough, 3)
	for i := range z.Cells {
		_, c := z.Cell(i)
		z.Cells[i] += 5 - 0.002*float32(c)
	}
	return z
}

// bank is a row of ground between walls: a pond, a bank a cell wide, and a
// plain that falls off the site.
//
//	9 9 9 9 9 9 9
//	9 1 1 3 0 0 0
//	9 9 9 9 9 9 9
func bank() *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 7, North: 6, CellSize: 2})
	copy(z.Cells, []float32{
		9, 9, 9, 9, 9, 9, 9,
		9, 1, 1, 3, 0, 0, 0,
		9, 9, 9, 9, 9, 9, 9,
	})
	return z
}

// once is so much runoff in an hour, and nothing lost.
func once(mm float64) *Storm {
	return &Storm{Steps: func(s *storm.Site) []storm.Step {
		return []storm.Step{{Hours: 1, Inflow: s.Runoff(mm)}, {Hours: 1, Inflow: s.Runoff(0)}}
	}}
}

func TestDitchThroughABankByHand(t *testing.T) {
	h := hydro.FindHollows(bank())
	require.Len(t, h.All, 1)
	require.Equal(t, 16.0, h.All[0].Volume)
	o := Options{Depths: []float64{0.5, 5}, Ditch: earthwork.Channel{Bottom: 1, Side: 1}, NoPipe: true, Storm: once(1000)}
	cuts, without, err := Cuts(context.Background(), h, []int{0}, o)
	require.NoError(t, err)
	require.Len(t, cuts, 2)

	c := cuts[0]
	assert.InDelta(t, 2.5, c.Level, 1e-9)
	assert.Equal(t, hydro.Outside, c.To)
	assert.Zero(t, c.End)
	// The bank stands 0.5 m above the bottom. Towards the pond the ground falls
	// 2 m in 2 m and towards the plain 3 m, so there are wedges of 1/2 and 1/3 m.
	// The section d (1 + d) of a wedge is on average d/2 + d²/3 of its end.
	assert.InDelta(t, (0.5+1.0/3)*(0.5/2+0.25/3), c.Volume, 1e-9)
	assert.InDelta(t, 0.5+1.0/3, c.Length, 1e-9)
	assert.InDelta(t, 0.5, c.Deepest, 1e-9)
	assert.InDelta(t, 8*0.5, c.Storage, 1e-9)
	assert.Len(t, c.Line, 3)

	// A metre of rain on two cells of pond and what drains to them fills it to
	// whichever brim there is.
	assert.InDelta(t, 16, c.Before, 1e-9)
	assert.InDelta(t, 12, c.After, 1e-9)
	assert.InDelta(t, 4, c.Saved(), 1e-9)
	assert.Zero(t, c.Elsewhere)
	assert.InDelta(t, 4, c.Site.Left-without.Left, 1e-9)
	assert.InDelta(t, 21*4.0, without.Ponded+without.Left, 1e-9, "all the rain")
	assert.InDelta(t, without.Left/3600, without.Peak, 1e-12, "in one hour")
	assert.InDelta(t, 4/c.Volume, c.PerDug(c.Saved()), 1e-9)

	// The other goes to the floor and lets nearly all out.
	assert.InDelta(t, 2-leastAbove, cuts[1].Depth, 1e-9)
	assert.InDelta(t, 16-8*leastAbove, cuts[1].Storage, 1e-6)
}

// The rest of the ground lower than the bottom of a cut that leaves the site
// there is not known: the cut ends at the rim, and says how deep it still is.
func TestCutThatEndsAtTheRimIsStillDeep(t *testing.T) {
	z := bank()
	for c := 4; c < 7; c++ {
		z.Set(1, c, 3)
	}
	h := hydro.FindHollows(z)
	cuts, _, err := Cuts(context.Background(), h, []int{0}, Options{Depths: []float64{1}, NoPipe: true})
	require.NoError(t, err)
	assert.InDelta(t, 1.0, cuts[0].End, 0.02, "and the fall of the ditch")
	assert.Equal(t, hydro.Outside, cuts[0].To)
	assert.Zero(t, cuts[0].Before)
}

// cheapest is the least cost of any way out by trying again until nothing
// changes; ditches without a fall.
func cheapest(h *hydro.Hollows, i int, c earthwork.Channel, level float64) float64 {
	z := h.Ground()
	_, inside := under(h, i)
	cost := make([]float64, z.Len())
	for k := range cost {
		cost[k] = math.Inf(1)
	}
	wet := map[int]bool{h.All[i].FloorCell: true}
	cost[h.All[i].FloorCell] = 0
	near := func(k int, f func(j int, apart float64)) {
		r, q := z.Cell(k)
		for dr := -1; dr <= 1; dr++ {
			for dq := -1; dq <= 1; dq++ {
				if z.Holds(r+dr, q+dq) && (dr != 0 || dq != 0) {
					f(z.Index(r+dr, q+dq), math.Hypot(float64(dr), float64(dq))*z.CellSize)
				}
			}
		}
	}
	rim := func(k int) bool {
		n := 0
		near(k, func(int, float64) { n++ })
		return n < 8
	}
	low := func(k int) bool {
		leaf := int(h.Inner[k]) - 1
		return float64(z.Cells[k]) <= level && !inside[leaf] && (leaf < 0 || h.All[leaf].Floor < level)
	}
	for changed := true; changed; {
		changed = false
		for k := range cost {
			if math.IsInf(cost[k], 1) || !wet[k] && (low(k) || rim(k)) {
				continue
			}
			near(k, func(j int, apart float64) {
				a, b := float64(z.Cells[k])-level, float64(z.Cells[j])-level
				next := cost[k] + c.Between(a, b, apart) + scrape*apart
				if wet[k] && b < 0 {
					next = 0
				}
				if next < cost[j]-1e-12 {
					cost[j], changed = next, true
					if next == 0 {
						wet[j] = true
					}
				}
			})
		}
	}
	best := math.Inf(1)
	for k := range cost {
		if !wet[k] && (low(k) || rim(k)) {
			best = min(best, cost[k])
		}
	}
	return best
}

func TestWayOutIsTheOneThatTakesTheLeastDigging(t *testing.T) {
	ways := 0
	for seed := range uint64(12) {
		h := hydro.FindHollows(rolling(32, seed)).Significant(0.01)
		f := newFinder(h)
		c := earthwork.Channel{Bottom: 0.4, Side: 1}
		for i := range h.All {
			_, inside := under(h, i)
			for _, d := range []float64{0.008, 0.02, 0.06} {
				if d >= h.All[i].Depth() {
					continue
				}
				level := h.All[i].Spill - d
				path, _, err := f.way(context.Background(), h.All[i].FloorCell, c, level, func(leaf int) bool { return inside[leaf] })
				require.NoError(t, err)
				dug := c.Dig(h.Ground(), path, level)
				length := 0.0
				for k := 1; k < len(path); k++ {
					a, b := h.Centre(h.Cell(path[k-1])), h.Centre(h.Cell(path[k]))
					length += math.Hypot(a[0]-b[0], a[1]-b[1])
				}
				require.InDelta(t, cheapest(h, i, c, level), dug.Volume+scrape*length, 1e-9, "seed %d, hollow %d", seed, i)
				ways++
			}
		}
	}
	assert.Greater(t, ways, 50)
}

// Dug into the ground itself, a cut lets the hollow fill no higher than its
// level, or than the water that it runs into can stand.
func TestGroundWithTheDitchDugHoldsNoMore(t *testing.T) {
	tried := 0
	for seed := range uint64(5) {
		z := rolling(60, seed)
		h := hydro.FindHollows(z).Significant(0.03)
		which := make([]int, len(h.All))
		for i := range which {
			which[i] = i
		}
		cuts, _, err := Cuts(context.Background(), h, which, Options{Depths: []float64{0.05, 0.15}})
		require.NoError(t, err)
		filled := terrain.NewGrid[float32](z.Frame)
		hydro.Fill(filled, z)
		for _, c := range cuts {
			channel := Options{}
			require.NoError(t, channel.settle())
			fall := channel.Ditch.Fall
			if c.Pipe {
				fall = channel.Pipe.Fall
			}
			dug := terrain.NewGrid[float32](z.Frame)
			copy(dug.Cells, z.Cells)
			bottom, end := c.Level, 0
			for k, p := range c.Line {
				if k > 0 {
					bottom -= fall * math.Hypot(p[0]-c.Line[k-1][0], p[1]-c.Line[k-1][1])
				}
				r, q, _ := z.Locate(p)
				end = z.Index(r, q)
				dug.Cells[end] = min(dug.Cells[end], float32(bottom))
			}
			now := terrain.NewGrid[float32](z.Frame)
			hydro.Fill(now, dug)
			floor := h.All[c.Hollow].FloorCell
			most := max(c.Level, float64(filled.Cells[end]))
			require.LessOrEqual(t, float64(now.Cells[floor]), most+1e-5, "seed %d, hollow %d", seed, c.Hollow)
			tried++
		}
	}
	assert.Greater(t, tried, 50)
}

// Without losses what no longer stands in the hollow stands elsewhere or has
// left, and no cut makes more stand in its own hollow.
func TestWaterSavedIsWaterSentOn(t *testing.T) {
	for seed := range uint64(3) {
		h := hydro.FindHollows(rolling(80, seed)).Significant(0.03)
		which := []int{}
		for i := range h.All {
			if h.All[i].Parent == hydro.Outside && len(which) < 4 {
				which = append(which, i)
			}
		}
		cuts, without, err := Cuts(context.Background(), h, which, Options{Storm: once(60)})
		require.NoError(t, err)
		for _, c := range cuts {
			require.InDelta(t, c.Saved(), c.Elsewhere+c.Site.Left-without.Left, 1e-6, "seed %d", seed)
			require.LessOrEqual(t, c.Saved(), c.Before+1e-9)
			if c.To == hydro.Outside {
				require.GreaterOrEqual(t, c.Saved(), -1e-6)
				require.GreaterOrEqual(t, c.Site.Peak, without.Peak-1e-12)
			}
		}
	}
}

// A deeper cut takes more digging and leaves less room.
func TestDeeperCutsDigMoreAndKeepLess(t *testing.T) {
	h := hydro.FindHollows(rolling(60, 7)).Significant(0.03)
	cuts, _, err := Cuts(context.Background(), h, []int{0, 1, 2}, Options{
		Depths: []float64{0.02, 0.05, 0.1, 0.2}, NoPipe: true, Ditch: earthwork.Channel{Bottom: 0.3, Side: 1}})
	require.NoError(t, err)
	for k := 1; k < len(cuts); k++ {
		if a, b := cuts[k-1], cuts[k]; a.Hollow == b.Hollow {
			assert.Greater(t, b.Volume+scrape*b.Length, a.Volume)
			assert.Greater(t, b.Storage, a.Storage)
		}
	}
}

func TestPipeOfACapacity(t *testing.T) {
	h := hydro.FindHollows(bank())
	o := Options{Depths: []float64{0.5}, Capacity: 0.001, Storm: once(1000)}
	cuts, _, err := Cuts(context.Background(), h, []int{0}, o)
	require.NoError(t, err)
	require.Len(t, cuts, 2)
	p := cuts[1]
	assert.True(t, p.Pipe)
	assert.False(t, p.Backwater)
	assert.InDelta(t, h.All[0].Floor+leastAbove, p.Level, 1e-9)
	assert.Equal(t, 0.001, p.Link(h).Capacity)
	// In the hour of rain more comes than it carries and the pond is full in the
	// end all the same; in the hour after, it draws 3.6 m³ from it.
	assert.InDelta(t, 16, p.After, 1e-9)
	assert.InDelta(t, 3.6, p.Site.After-p.Site.Left, 1e-9)
}

func TestOptionsThatCannotBe(t *testing.T) {
	h := hydro.FindHollows(bank())
	_, _, err := Cuts(context.Background(), h, []int{0}, Options{Depths: []float64{0, math.NaN()}, Ditch: earthwork.Channel{Fall: 1}, Capacity: -1})
	assert.EqualError(t, err, "a cut of 0 m at the spill, not more than 0 and up to 10\na cut of NaN m at the spill, not more than 0 and up to 10\n"+
		"ditch: a channel without a width holds nothing\na pipe that carries -1 m³/s, not 0 or more")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, _, err = Cuts(ctx, h, []int{0}, Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// A wall across a valley that falls at 1 in 10: the water behind it is a wedge.
func TestBackwaterOfAWall(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 12, North: 3, CellSize: 1})
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = 5
		if r == 1 {
			z.Cells[i] = 2 - 0.125*float32(c)
		}
	}
	after := terrain.NewGrid[float32](z.Frame)
	copy(after.Cells, z.Cells)
	after.Set(1, 8, 1.5) // the ground there is 1 m high
	full := func(z *terrain.Grid[float32]) Stage {
		water := terrain.NewGrid[float32](z.Frame)
		hydro.Fill(water, z)
		return Stage{z, water}
	}
	got := Backwater(full(z), full(after), 0.01)
	require.Len(t, got, 1)
	// Behind it the ground rises by eighths from 1.125 m; 1.5 m is met after
	// three cells.
	assert.Equal(t, z.Index(1, 7), got[0].Cell)
	assert.InDelta(t, 0.375, got[0].Depth, 1e-6)
	assert.InDelta(t, 0.375+0.25+0.125, got[0].Volume, 1e-6)
	assert.Equal(t, 3.0, got[0].Area)
	assert.Equal(t, []int32{int32(z.Index(1, 5)), int32(z.Index(1, 6)), int32(z.Index(1, 7))}, got[0].Cells)
	assert.Empty(t, Backwater(full(z), full(z), 0.01))
}

func BenchmarkCuts(b *testing.B) {
	h := hydro.FindHollows(rolling(500, 1)).Significant(0.03)
	which := []int{0, 1, 2, 3}
	for _, tt := range []struct {
		name  string
		storm *Storm
	}{{"ground", nil}, {"storm", once(60)}} {
		b.Run("side=500/"+tt.name, func(b *testing.B) {
			for b.Loop() {
				cuts, _, err := Cuts(context.Background(), h, which, Options{Storm: tt.storm})
				require.NoError(b, err)
				require.NotEmpty(b, cuts)
			}
		})
	}
}
