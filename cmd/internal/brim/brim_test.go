package brim

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func bowlGround(t *testing.T, noise float64) *hydro.Drainage {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 120, Cols: 160, North: 60, CellSize: 0.5})
	random := rand.New(rand.NewPCG(3, 4))
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		d := math.Hypot(p[0]-40, p[1]-30) / 15
		z.Cells[i] = float32(10 + 0.003*p[0] - 0.6*math.Exp(-d*d) + noise*random.NormFloat64())
	}
	d, err := hydro.Drain(context.Background(), z, hydro.Options{})
	require.NoError(t, err)
	return d
}

// The slow way: the whole ground smoothed at once, and the rule read off it.
func TestProfileAgreesWithTheWholeGround(t *testing.T) {
	d := bowlGround(t, 0.03)
	require.Positive(t, Soften(d))
	f := d.Ground.Frame
	full := Full(d.Hollows)
	raw, water, soft := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	for r := range f.Rows {
		for c := range f.Cols {
			raw.Set(r, c, float32(full.Depth(r, c)))
		}
	}
	terrain.Smooth(water, raw, Soften(d))
	terrain.Smooth(soft, d.Ground, Soften(d))
	for _, line := range [][2]orb.Point{{{2, 31}, {78, 29}}, {{20, 5}, {60, 55}}, {{0.1, 0.1}, {79.9, 0.1}}} {
		a, b := line[0], line[1]
		long := math.Hypot(b[0]-a[0], b[1]-a[1])
		at := func(s float64) orb.Point { return orb.Point{a[0] + (b[0]-a[0])*s/long, a[1] + (b[1]-a[1])*s/long} }
		p := Along(d, at, 0, long, 180, full)
		wet := 0
		for i, s := range p.Along {
			row, col, ok := f.Locate(at(s))
			require.True(t, ok)
			assert.InDelta(t, between(soft, at(s), row, col), p.Soft[i], 2e-5)
			if w := between(water, at(s), row, col); math.Abs(w) > 1e-4 {
				assert.Equal(t, w > 0, !math.IsNaN(p.Levels[0][i]), "at %v", at(s))
			}
			if !math.IsNaN(p.Levels[0][i]) {
				wet++
				assert.InDelta(t, d.Hollows.All[0].Spill, p.Levels[0][i], 1e-9)
			}
		}
		if a[1] > 1 {
			assert.Greater(t, wet, 20)
		} else {
			assert.Zero(t, wet, "far from the bowl")
		}
	}
}

// Without noise nothing is softened and the rule is that of the grids.
func TestRuleIsThatOfTheGridsWithoutNoise(t *testing.T) {
	d := bowlGround(t, 0)
	p := Along(d, func(s float64) orb.Point { return orb.Point{s, 30.25} }, 0.25, 79.75, 160, Full(d.Hollows))
	for i, s := range p.Along {
		row, col, ok := d.Ground.Locate(orb.Point{s, 30.25})
		require.True(t, ok)
		k := d.Ground.Index(row, col)
		assert.Equal(t, float64(d.Ground.Cells[k]), p.Ground[i])
		assert.InDelta(t, p.Ground[i], p.Soft[i], 1e-5)
		assert.Equal(t, d.Filled.Cells[k] > d.Ground.Cells[k], !math.IsNaN(p.Levels[0][i]), "at %.2f m", s)
	}
}

func TestProfileOffTheGroundIsNotKnown(t *testing.T) {
	d := bowlGround(t, 0.02)
	d.Ground.Cells[d.Ground.Index(60, 20)] = terrain.Void()
	p := Along(d, func(s float64) orb.Point { return orb.Point{s, 29.75} }, -30.25, 110.25, 282, Full(d.Hollows))
	for i, s := range p.Along {
		known := s > 0 && s < 80 && !(s >= 10 && s < 10.5)
		assert.Equal(t, known, !math.IsNaN(p.Ground[i]), "ground at %.2f", s)
		assert.Equal(t, known, !math.IsNaN(p.Soft[i]), "softened at %.2f", s)
		if !known {
			assert.True(t, math.IsNaN(p.Levels[0][i]))
		}
	}
}

// stormy is a site of nested bowls in a storm that fills, joins and leaves
// them.
func stormy(t *testing.T, noise float64) (*hydro.Drainage, *storm.Site, *storm.History) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 90, Cols: 150, North: 45, CellSize: 0.5})
	random := rand.New(rand.NewPCG(5, 6))
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		v := 10 + 0.004*p[0] + noise*random.NormFloat64()
		for _, b := range [][3]float64{{22, 22, 0.5}, {35, 22, 0.45}, {60, 20, 0.4}} {
			d := math.Hypot(p[0]-b[0], p[1]-b[1]) / 6
			v -= b[2] * math.Exp(-d*d)
		}
		z.Cells[i] = float32(v)
	}
	d, err := hydro.Drain(context.Background(), z, hydro.Options{})
	require.NoError(t, err)
	site, err := storm.Prepare(d.Hollows, storm.Options{})
	require.NoError(t, err)
	history := site.Run(nil, storm.Loss{Infiltration: []float64{3}},
		storm.Step{Hours: 12, Inflow: site.Runoff(90)}, storm.Step{Hours: 240, Inflow: site.Runoff(0), Evaporation: 0.1})
	return d, site, history
}

// The levels of hollows and the depths of cells are two ways to say the same.
func TestWaterIsThatOfTheHistory(t *testing.T) {
	for _, noise := range []float64{0, 0.01} {
		d, site, history := stormy(t, noise)
		require.Greater(t, len(site.Hollows().All), 2, "hollows within others")
		depth := terrain.NewGrid[float32](d.Ground.Frame)
		some := 0
		for _, hours := range []float64{0, 3, 11.5, 12, 36, 60, 108, 204} {
			history.Depth(depth, hours)
			w := At(site.Hollows(), history, hours)
			wet, differ := 0, 0
			for i, want := range depth.Cells {
				row, col := depth.Cell(i)
				got, is := w.Level(row, col)
				if want > 0 {
					wet++
				}
				if is != (want > 0) || is && math.Abs(got-float64(d.Ground.Cells[i])-float64(want)) > 1e-5 {
					differ++
				}
				assert.Equal(t, is, w.Depth(row, col) > 0)
			}
			some += wet
			if noise == 0 {
				assert.Zero(t, differ, "after %v h", hours)
			} else { // hollows left out as noise take the first water cell by cell
				assert.LessOrEqual(t, differ, wet/50+2, "after %v h", hours)
			}
		}
		assert.Greater(t, some, 500)
	}
}

// Later water lies within earlier, once the rain has ended.
func TestProfilesOfADryDownAreNested(t *testing.T) {
	d, site, history := stormy(t, 0.01)
	var waters []Water
	for _, hours := range []float64{12, 36, 60, 108, 252} {
		waters = append(waters, At(site.Hollows(), history, hours))
	}
	p := Along(d, func(s float64) orb.Point { return orb.Point{s, 22} }, 1, 74, 147, waters...)
	wet := make([]int, len(waters))
	for k := range waters {
		for i, z := range p.Levels[k] {
			if math.IsNaN(z) {
				continue
			}
			wet[k]++
			if k > 0 {
				assert.LessOrEqual(t, z, p.Levels[k-1][i], "at %.1f m", p.Along[i])
			}
		}
	}
	assert.Greater(t, wet[0], 20)
	assert.Less(t, wet[2], wet[0])
	assert.Zero(t, wet[4], "dry in the end")
}
