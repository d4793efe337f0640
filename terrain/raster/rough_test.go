package raster

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/assert"
)

// noisy is a plane of 0.3 % over cells of a metre with white noise, rounded to
// a step if there is one. It is called row by row.
func noisy(sd, step float64) func(row, col int) float64 {
	rng := rand.New(rand.NewPCG(3, 4))
	return func(row, col int) float64 {
		z := 100 + 0.003*(0.8*float64(col)+0.6*float64(row)) + sd*rng.NormFloat64()
		if step > 0 {
			z = math.Round(z/step) * step
		}
		return z
	}
}

var metreCells = [6]float64{500000, 1, 0, 4000000, 0, -1}

func TestNoiseIsThatOfTheRasterAsStored(t *testing.T) {
	sin, cos := math.Sincos(0.3)
	for name, tt := range map[string]struct {
		f    fixture
		o    Options
		want float64 // in noises of the raster
	}{
		"its own cells":       {f: fixture{gt: metreCells}, want: 1},
		"longitude, latitude": {f: fixture{crs: "EPSG:4326", gt: [6]float64{-99, 1.0 / 90000, 0, 36.15, 0, -1.0 / 110900}}, want: 1},
		"turned":              {f: fixture{gt: [6]float64{500000, cos, sin, 4000000, sin, -cos}}, want: 1},
		"twice as coarse":     {f: fixture{gt: metreCells}, o: Options{CellSize: 2}, want: 1.0 / 2},
		"a part coarser":      {f: fixture{gt: metreCells}, o: Options{CellSize: 1.4}, want: 1 / 1.4},
		"finer":               {f: fixture{gt: metreCells}, o: Options{CellSize: 0.5}, want: math.Sqrt2},
	} {
		t.Run(name, func(t *testing.T) {
			tt.f.rows, tt.f.cols, tt.f.z = 300, 300, noisy(0.03, 0)
			g := mustOpen(t, tt.f.save(t, "z.tif"), tt.o)
			assert.InEpsilon(t, 0.03*tt.want, g.Noise, 0.03)
			assert.Zero(t, g.Step)
			assert.False(t, g.Coarse())
		})
	}
	t.Run("in centimetres by its scale", func(t *testing.T) {
		f := fixture{rows: 300, cols: 300, gt: metreCells, dtype: godal.Float64, z: noisy(0.03, 0), edit: func(t testing.TB, ds *godal.Dataset) {
			assert.NoError(t, ds.Bands()[0].SetScaleOffset(0.01, 5))
		}}
		assert.InEpsilon(t, 0.0003, mustOpen(t, f.save(t, "z.tif"), Options{CellSize: 1.1}).Noise, 0.15, "1/1.1 of it")
	})
}

func TestRoundedElevationsErrByTheWholeStep(t *testing.T) {
	for _, step := range []float64{0.1, 1} {
		for _, cell := range []float64{0, 0.7, 2} {
			g := mustOpen(t, fixture{rows: 300, cols: 300, gt: metreCells, z: noisy(0.03, step)}.save(t, "z.tif"), Options{CellSize: cell})
			assert.InEpsilon(t, step, g.Step, 0.01)
			assert.InEpsilon(t, step, g.Noise, 0.15, "steps of %g m, cells of %g m", step, cell)
			assert.True(t, g.Coarse())
		}
	}
	t.Run("steps well inside the noise do not matter", func(t *testing.T) {
		g := mustOpen(t, fixture{rows: 300, cols: 300, gt: metreCells, z: noisy(0.03, 0.004)}.save(t, "z.tif"), Options{})
		assert.InEpsilon(t, 0.004, g.Step, 0.05)
		assert.InEpsilon(t, 0.03, g.Noise, 0.03)
		assert.False(t, g.Coarse())
	})
}

// A plane stays that plane at any ratio of cells, a cell off the rim, where
// the outermost cells go on level.
func TestResamplingKeepsAPlane(t *testing.T) {
	z := func(row, col int) float64 { return 3*float64(col) - 2*float64(row) }
	path := fixture{rows: 60, cols: 60, gt: metreCells, z: z, dtype: godal.Float64}.save(t, "z.tif")
	for _, cell := range []float64{0.3, 0.7, 0.95, 1.05, 1.4, 1.5, 2.3, 3} {
		g := mustOpen(t, path, Options{CellSize: cell}).Grid
		inner := 0
		for i, v := range g.Cells {
			at := g.Centre(g.Cell(i))
			x, y := at[0]-500000-0.5, 4000000-at[1]-0.5 // in columns and rows
			if d := cell/2 + 0.5; min(x, y) > d && max(x, y) < 59-d {
				assert.InDelta(t, 3*x-2*y, v, 2e-5, "cells of %g m", cell)
				inner++
			}
		}
		assert.Greater(t, inner, 100)
	}
}

// The noise that is left must be even across the site, or the loud cells make
// hollows among the quiet.
func TestNoiseDoesNotBeat(t *testing.T) {
	path := fixture{rows: 400, cols: 400, gt: metreCells, z: noisy(1, 0)}.save(t, "z.tif")
	for cell, most := range map[float64]float64{0.7: 1.5, 1.4: 1.3, 1.5: 1.3, 2.5: 1.2} {
		g := mustOpen(t, path, Options{CellSize: cell}).Grid
		var sum [10]float64 // of squares, by where a column falls within one of the raster's
		var n [10]float64
		for i, v := range g.Cells {
			at := g.Centre(g.Cell(i))
			x, y := at[0]-500000, 4000000-at[1]
			if d := float64(v) - 100 - 0.003*(0.8*(x-0.5)+0.6*(y-0.5)); d == d {
				k := int(math.Round(10*(x-math.Floor(x)))) % 10
				sum[k] += d * d
				n[k]++
			}
		}
		lo, hi := math.Inf(1), 0.0
		for k := range sum {
			if n[k] > 0 {
				lo, hi = min(lo, sum[k]/n[k]), max(hi, sum[k]/n[k])
			}
		}
		assert.Less(t, hi/lo, most, "cells of %g m", cell)
	}
}
