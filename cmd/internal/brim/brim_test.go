package brim

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/hydro"
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
	raw, water, soft := terrain.NewGrid[float32](f), terrain.NewGrid[float32](f), terrain.NewGrid[float32](f)
	for r := range f.Rows {
		for c := range f.Cols {
			raw.Set(r, c, float32(Depth(d, r, c)))
		}
	}
	terrain.Smooth(water, raw, Soften(d))
	terrain.Smooth(soft, d.Ground, Soften(d))
	for _, line := range [][2]orb.Point{{{2, 31}, {78, 29}}, {{20, 5}, {60, 55}}, {{0.1, 0.1}, {79.9, 0.1}}} {
		a, b := line[0], line[1]
		long := math.Hypot(b[0]-a[0], b[1]-a[1])
		at := func(s float64) orb.Point { return orb.Point{a[0] + (b[0]-a[0])*s/long, a[1] + (b[1]-a[1])*s/long} }
		p := Along(d, at, 0, long, 180)
		wet := 0
		for i, s := range p.Along {
			row, col, ok := f.Locate(at(s))
			require.True(t, ok)
			assert.InDelta(t, between(soft, at(s), row, col), p.Soft[i], 2e-5)
			if w := between(water, at(s), row, col); math.Abs(w) > 1e-4 {
				assert.Equal(t, w > 0, !math.IsNaN(p.Level[i]), "at %v", at(s))
			}
			if !math.IsNaN(p.Level[i]) {
				wet++
				assert.InDelta(t, d.Hollows.All[0].Spill, p.Level[i], 1e-9)
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
	p := Along(d, func(s float64) orb.Point { return orb.Point{s, 30.25} }, 0.25, 79.75, 160)
	for i, s := range p.Along {
		row, col, ok := d.Ground.Locate(orb.Point{s, 30.25})
		require.True(t, ok)
		k := d.Ground.Index(row, col)
		assert.Equal(t, float64(d.Ground.Cells[k]), p.Ground[i])
		assert.InDelta(t, p.Ground[i], p.Soft[i], 1e-5)
		assert.Equal(t, d.Filled.Cells[k] > d.Ground.Cells[k], !math.IsNaN(p.Level[i]), "at %.2f m", s)
	}
}

func TestProfileOffTheGroundIsNotKnown(t *testing.T) {
	d := bowlGround(t, 0.02)
	d.Ground.Cells[d.Ground.Index(60, 20)] = terrain.Void()
	p := Along(d, func(s float64) orb.Point { return orb.Point{s, 29.75} }, -30.25, 110.25, 282)
	for i, s := range p.Along {
		known := s > 0 && s < 80 && !(s >= 10 && s < 10.5)
		assert.Equal(t, known, !math.IsNaN(p.Ground[i]), "ground at %.2f", s)
		assert.Equal(t, known, !math.IsNaN(p.Soft[i]), "softened at %.2f", s)
		if !known {
			assert.True(t, math.IsNaN(p.Level[i]))
		}
	}
}
