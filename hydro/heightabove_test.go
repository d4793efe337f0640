package hydro

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

func drained(t testing.TB, z *terrain.Grid[float32], o Options) *Drainage {
	t.Helper()
	d, err := Drain(context.Background(), z, o)
	require.NoError(t, err)
	return d
}

// pitted is lowland with round hollows, some within others.
func pitted(side int, noise float64) *terrain.Grid[float32] {
	z := terraintest.Lowland(side, noise)
	for i := range z.Cells {
		r, c := z.Cell(i)
		for _, b := range [][4]float64{{30, 30, 12, 0.5}, {36, 34, 5, 0.4}, {26, 24, 5, 0.3}, {60, 70, 15, 0.4}, {110, 120, 10, 0.6}} {
			d := math.Hypot(float64(r)-b[0], float64(c)-b[1]) / b[2]
			z.Cells[i] -= float32(b[3] * max(0, 1-d*d))
		}
	}
	return z
}

// bowlOnASlope falls to the east, with a hollow in the middle.
func bowlOnASlope() *terrain.Grid[float32] {
	return terraintest.Rows(1,
		[]float32{9, 8, 7, 6, 5},
		[]float32{9, 8, 7, 6, 5},
		[]float32{9, 8, 3, 6, 5},
		[]float32{9, 8, 7, 6, 5},
		[]float32{9, 8, 7, 6, 5})
}

func TestHeightAboveByHand(t *testing.T) {
	z := bowlOnASlope()
	d := drained(t, z, Options{Smooth: -1})
	noLines := math.Inf(1)
	nan := float32(math.NaN())
	depth := terrain.NewGrid[float32](z.Frame)
	depth.Set(2, 2, 1) // water at 4
	for _, tt := range []struct {
		name  string
		w     Water
		row2  []float32
		kinds []WaterKind
	}{
		{"a pond to its brim, and the rim below it", Water{Catchment: noLines},
			[]float32{3, 2, -3, 1, 0},
			[]WaterKind{StandingWater, StandingWater, StandingWater, RimWater, RimWater}},
		{"a storm's depth", Water{Catchment: noLines, Depth: depth},
			[]float32{5, 4, -1, 1, 0},
			[]WaterKind{StandingWater, StandingWater, StandingWater, RimWater, RimWater}},
		{"a level for the hollow", Water{Catchment: noLines, Levels: []float64{4}},
			[]float32{5, 4, -1, 1, 0},
			[]WaterKind{StandingWater, StandingWater, StandingWater, RimWater, RimWater}},
		{"a dry hollow", Water{Catchment: noLines, Levels: []float64{math.NaN()}},
			[]float32{4, 3, -2, 1, 0},
			[]WaterKind{RimWater, RimWater, RimWater, RimWater, RimWater}},
		{"no water anywhere", Water{Catchment: noLines, Levels: []float64{math.NaN()}, DryRim: true},
			[]float32{nan, nan, nan, nan, nan},
			[]WaterKind{NoWater, NoWater, NoWater, NoWater, NoWater}},
		{"a ditch with a level of its own",
			Water{Catchment: noLines, Levels: []float64{math.NaN()}, DryRim: true, Ditches: []Ditch{
				{Name: "east", Line: orb.LineString{{3.5, 0}, {3.5, -5}}, Level: []float64{5.5}}}},
			[]float32{3.5, 2.5, -2.5, 0.5, nan},
			[]WaterKind{DitchWater, DitchWater, DitchWater, DitchWater, NoWater}},
		{"a ditch as deep as the ground shows it",
			Water{Catchment: noLines, Levels: []float64{math.NaN()}, DryRim: true, Ditches: []Ditch{
				{Name: "east", Line: orb.LineString{{3.5, 0}, {3.5, -5}}}}},
			[]float32{3, 2, -3, 0, nan},
			[]WaterKind{DitchWater, DitchWater, DitchWater, DitchWater, NoWater}},
		{"everything a flow line", Water{Catchment: 1e-9, Levels: []float64{math.NaN()}},
			[]float32{0, 0, 0, 0, 0},
			[]WaterKind{RunningWater, RunningWater, RunningWater, RunningWater, RunningWater}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h, err := d.HeightAbove(tt.w)
			require.NoError(t, err)
			for c, want := range tt.row2 {
				got := h.Height.At(2, c)
				if terrain.IsVoid(want) {
					assert.True(t, terrain.IsVoid(got), "column %d: %v", c, got)
				} else {
					assert.Equal(t, want, got, "column %d", c)
				}
			}
			assert.Equal(t, tt.kinds, h.Kind.Row(2))
		})
	}
}

// heightSlowly walks down from every cell by itself.
func heightSlowly(d *Drainage, w Water) ([]float32, []WaterKind) {
	filled := terrain.NewGrid[float32](d.Ground.Frame)
	Fill(filled, d.Smoothed)
	f := Route(filled, Single, 0)
	area := terrain.NewGrid[float64](f.Frame)
	f.Accumulate(area, nil)
	ditch := map[int]bool{}
	for _, l := range w.Ditches {
		for i := range Crossed(f.Frame, l.Line) {
			ditch[i] = true
		}
	}
	heights, kinds := make([]float32, f.Len()), make([]WaterKind, f.Len())
	for i, z := range d.Ground.Cells {
		heights[i] = terrain.Void()
		if terrain.IsVoid(z) {
			continue
		}
		last := i
		for j := range f.Downstream(i) {
			last = j
			level := float64(d.Ground.Cells[j])
			if o := d.Hollows.Outer[j]; o > 0 && d.Hollows.All[o-1].Spill > level {
				kinds[i], heights[i] = StandingWater, z-float32(d.Hollows.All[o-1].Spill)
				break
			}
			if ditch[j] {
				kinds[i], heights[i] = DitchWater, z-float32(level)
				break
			}
			if area.Cells[j] >= d.FlowLineCatchment {
				kinds[i], heights[i] = RunningWater, z-min(d.Ground.Cells[j], d.Smoothed.Cells[j])
				break
			}
		}
		if kinds[i] == NoWater {
			kinds[i], heights[i] = RimWater, z-d.Ground.Cells[last]
		}
	}
	return heights, kinds
}

func TestHeightAboveAgreesWithWalkingDownFromEveryCell(t *testing.T) {
	for _, noise := range []float64{0, 0.02} {
		z := pitted(150, noise)
		for i := range z.Cells {
			if r, c := z.Cell(i); math.Hypot(float64(r-100), float64(c-40)) < 9 {
				z.Cells[i] = terrain.Void()
			}
		}
		d := drained(t, z, Options{FlowLineCatchment: 900})
		w := Water{Ditches: []Ditch{{Name: "d", Line: orb.LineString{{-20, -30}, {90.3, -120}, {170, -40}}}}}
		heights, kinds := heightSlowly(d, w)
		got, err := d.HeightAbove(w)
		require.NoError(t, err)
		require.Equal(t, kinds, got.Kind.Cells)
		seen := map[WaterKind]int{}
		for i, want := range heights {
			seen[kinds[i]]++
			require.Equal(t, math.Float32bits(want), math.Float32bits(got.Height.Cells[i]), "cell %d: %v and %v", i, want, got.Height.Cells[i])
		}
		for _, k := range []WaterKind{StandingWater, DitchWater, RunningWater, RimWater} {
			assert.Greater(t, seen[k], 100, "cells that drain to a %s", k)
		}
	}
}

func TestHeightAboveLevelsAgreeWithDepths(t *testing.T) {
	d := drained(t, pitted(150, 0.02), Options{})
	rng := rand.New(rand.NewPCG(4, 4))
	levels := make([]float64, len(d.Hollows.All))
	for i := range levels {
		levels[i] = math.NaN()
	}
	depth := terrain.NewGrid[float32](d.Ground.Frame)
	for i := range d.Hollows.All { // every outermost hollow somewhere between floor and brim
		if h := &d.Hollows.All[i]; h.Parent == Outside {
			levels[i] = float64(float32(h.Floor + rng.Float64()*h.Depth()))
		}
	}
	for c, outer := range d.Hollows.Outer {
		if outer > 0 {
			depth.Cells[c] = max(0, float32(levels[outer-1])-d.Ground.Cells[c])
		}
	}
	a, err := d.HeightAbove(Water{Levels: levels})
	require.NoError(t, err)
	b, err := d.HeightAbove(Water{Depth: depth})
	require.NoError(t, err)
	assert.Equal(t, a.Kind, b.Kind)
	for i := range a.Height.Cells {
		require.InDelta(t, a.Height.Cells[i], b.Height.Cells[i], 1e-5, "the depth was rounded to float32")
	}
}

func TestHeightAboveDoesNotShowItsThreads(t *testing.T) {
	d := drained(t, pitted(200, 0.02), Options{})
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var want *Heights
	for _, n := range []int{1, 2, 8} {
		runtime.GOMAXPROCS(n)
		got, err := d.HeightAbove(Water{})
		require.NoError(t, err)
		if want != nil {
			require.Equal(t, want, got, "%d threads", n)
		}
		want = got
	}
}

func TestHeightAboveMovesWithTheGround(t *testing.T) {
	z := pitted(100, 0)
	raised := terrain.NewGrid[float32](z.Frame)
	for i, v := range z.Cells {
		z.Cells[i] = float32(math.Round(float64(v)*1024)) / 1024 // so that the sum is exact
		raised.Cells[i] = z.Cells[i] + 64
	}
	o := Options{Smooth: -1}
	a, err := drained(t, z, o).HeightAbove(Water{})
	require.NoError(t, err)
	b, err := drained(t, raised, o).HeightAbove(Water{})
	require.NoError(t, err)
	assert.Equal(t, a, b)
}

func TestHeightAboveRefusesWhatDoesNotFit(t *testing.T) {
	d := drained(t, bowlOnASlope(), Options{Smooth: -1})
	other := terrain.NewGrid[float32](terrain.Frame{Rows: 1, Cols: 1, CellSize: 1})
	_, err := d.HeightAbove(Water{
		Depth: other, Levels: []float64{1, 2, 3}, Catchment: math.NaN(),
		Ditches: []Ditch{
			{Name: "short", Line: orb.LineString{{0, 0}}},
			{Name: "odd", Line: orb.LineString{{0, 0}, {1, math.NaN()}, {2, 2}}, Level: []float64{1, math.Inf(1)}},
		},
	})
	assert.EqualError(t, err, "the depths of standing water lie on another grid than the ground\n"+
		"3 levels of water for 1 hollows\n"+
		"catchment of flow lines NaN is not 0 m² or more\n"+
		"ditch \"short\" has 1 points and needs two or more\n"+
		"ditch \"odd\": point 2 is at 1, NaN, which is nowhere\n"+
		"ditch \"odd\" has 2 levels for 3 points; give none, one, or one for each\n"+
		"ditch \"odd\": level 2 is +Inf and not a height in metres")
}

func TestLevelOfADitchFallsBetweenItsPoints(t *testing.T) {
	d := Ditch{Line: orb.LineString{{0, 0}, {10, 0}, {10, 0}, {10, 20}}, Level: []float64{3, 2, 2, 1}}
	for along, want := range map[float64]float64{-1: 3, 0: 3, 5: 2.5, 10: 2, 20: 1.5, 30: 1, 99: 1} {
		assert.Equal(t, want, d.LevelAt(along), "%v m along", along)
	}
	d.Level = []float64{7}
	assert.Equal(t, 7.0, d.LevelAt(12))
	d.Level = nil
	assert.True(t, math.IsNaN(d.LevelAt(12)))
}

func TestCrossedCells(t *testing.T) {
	f := terrain.Frame{Rows: 3, Cols: 4, West: 100, North: 50, CellSize: 10}
	for _, tt := range []struct {
		name string
		line orb.LineString
		want []int
	}{
		{"along a row", orb.LineString{{101, 35}, {139, 35}}, []int{4, 5, 6, 7}},
		{"back along it", orb.LineString{{139, 35}, {101, 35}}, []int{7, 6, 5, 4}},
		{"down a column", orb.LineString{{115, 49}, {115, 21}}, []int{1, 5, 9}},
		{"through corners, by the column first", orb.LineString{{105, 45}, {125, 25}}, []int{0, 1, 5, 6, 10}},
		{"from far away to far away", orb.LineString{{-1e6, 25}, {1e6, 25}}, []int{8, 9, 10, 11}},
		{"beside the grid", orb.LineString{{0, 55}, {500, 55}}, nil},
		{"along the outer eastern rim", orb.LineString{{140, 50}, {140, 20}}, []int{3, 7, 11}},
		{"one point twice", orb.LineString{{105, 45}, {105, 45}}, []int{0}},
		{"a bend within a cell", orb.LineString{{101, 45}, {105, 49}, {109, 45}}, []int{0, 0}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []int
			for i := range Crossed(f, tt.line) {
				got = append(got, i)
			}
			assert.Equal(t, tt.want, got)
		})
	}
}

// Stretches follow on each other without a gap, each lies in its cell, and
// cells in a row share a side.
func TestCrossedStretchesCoverTheLine(t *testing.T) {
	f := terrain.Frame{Rows: 20, Cols: 30, West: -7, North: 11, CellSize: 0.7}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		a := orb.Point{f.West + rng.Float64()*21, f.North - rng.Float64()*14}
		b := orb.Point{f.West + rng.Float64()*21, f.North - rng.Float64()*14}
		length, along, last := distance(a, b), 0.0, -1
		for i, s := range Crossed(f, orb.LineString{a, b}) {
			require.InDelta(t, along, s.From, 1e-9)
			along = s.To
			m := s.Middle() / length
			r, c := f.Cell(i)
			centre := f.Centre(r, c)
			require.LessOrEqual(t, math.Abs(a[0]+m*(b[0]-a[0])-centre[0]), 0.35+1e-9)
			require.LessOrEqual(t, math.Abs(a[1]+m*(b[1]-a[1])-centre[1]), 0.35+1e-9)
			if last >= 0 {
				r0, c0 := f.Cell(last)
				require.Equal(t, 1, max(r, r0)-min(r, r0)+max(c, c0)-min(c, c0))
			}
			last = i
		}
		require.InDelta(t, length, along, 1e-9)
	}
}

func FuzzCrossed(f *testing.F) {
	f.Add(0.0, 0.0, 10.0, 10.0)
	f.Add(-1e300, 3.0, 1e300, 4.0)
	f.Add(5.0, -5.0, 5.0, -5.0)
	frame := terrain.Frame{Rows: 8, Cols: 9, West: 0, North: 8, CellSize: 1}
	f.Fuzz(func(t *testing.T, ax, ay, bx, by float64) {
		n := 0
		for i := range Crossed(frame, orb.LineString{{ax, ay}, {bx, by}}) {
			require.True(t, i >= 0 && i < frame.Len())
			n++
		}
		require.LessOrEqual(t, n, frame.Rows+frame.Cols)
	})
}

func BenchmarkHeightAbove(b *testing.B) {
	for _, side := range []int{1000} {
		d := drained(b, terraintest.Lowland(side, 0.02), Options{})
		b.Run("side=1000", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := d.HeightAbove(Water{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*side*side), "ns/cell")
		})
	}
}
