package hydro

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// wetnessOf is the index of one cell of a given size.
func wetnessOf(cell, area, slope, floor float64) float64 {
	frame := terrain.Frame{Rows: 1, Cols: 1, CellSize: cell}
	a, s, w := terrain.NewGrid[float64](frame), terrain.NewGrid[float32](frame), terrain.NewGrid[float32](frame)
	a.Cells[0], s.Cells[0] = area, float32(slope)
	Wetness(w, a, s, floor)
	return float64(w.Cells[0])
}

// Beven & Kirkby (1979) and, for the same definition, Quinn, P.F., Beven,
// K.J., Lamb, R. (1995), The ln(a/tan β) index: how to calculate it and how to
// use it within the TOPMODEL framework, Hydrological Processes 9, 161–182:
// the natural logarithm of the area, m², per metre of contour over the slope,
// rise over run. The figures follow from it by hand; the index is a float32.
func TestWetnessByHand(t *testing.T) {
	const asFloat32 = 1e-6
	for _, tt := range []struct{ a, slope, want float64 }{
		{500, 0.05, 9.21034},
		{50, 0.02, 7.824046},
		{2, 0.1, 2.995732},
	} {
		assert.InDelta(t, tt.want, wetnessOf(1, tt.a, tt.slope, LeastSlope), asFloat32)
		assert.InDelta(t, tt.want, wetnessOf(4, 4*tt.a, tt.slope, LeastSlope), asFloat32, "cells of 4 m share out the area over 4 m")
	}
	// Cells of 2 m on a slope of 4 %. A ridge has the area of its own cell.
	for cells, want := range map[float64]float64{1: 3.912023, 25: 7.130899, 400: 9.903488} {
		assert.InDelta(t, want, wetnessOf(2, cells*4, 0.04, LeastSlope), asFloat32)
	}
	// In feet every index is greater by ln 3.28084.
	assert.InDelta(t, 1.188099, wetnessOf(1, 500*3.28084, 0.05, LeastSlope)-wetnessOf(1, 500, 0.05, LeastSlope), asFloat32)
	// Ducharne, A. (2009), Reducing scale dependence in TOPMODEL using a
	// dimensionless topographic index, Hydrology and Earth System Sciences 13,
	// 2399–2412: less the logarithm of the cell size.
	assert.InDelta(t, 8.517193, wetnessOf(2, 1000, 0.05, LeastSlope)-math.Log(2), asFloat32)
}

func TestWetnessOnLevelGround(t *testing.T) {
	assert.InDelta(t, math.Log(100/0.01), wetnessOf(1, 100, 0, 0.01), 1e-6, "the floor stands in for no slope")
	assert.InDelta(t, math.Log(100/0.01), wetnessOf(1, 100, 0.009, 0.01), 1e-6)
	assert.True(t, math.IsNaN(wetnessOf(1, math.NaN(), 0.1, 0.01)))
	assert.True(t, math.IsNaN(wetnessOf(1, 1, math.NaN(), 0.01)))
	assert.Panics(t, func() { wetnessOf(1, 1, 0.1, 0) })
}

func TestWetnessSlope(t *testing.T) {
	slope := func(z *terrain.Grid[float32]) *terrain.Grid[float32] {
		s := terrain.NewGrid[float32](z.Frame)
		WetnessSlope(s, z)
		return s
	}
	t.Run("an even slope has that of Horn", func(t *testing.T) {
		z := terrain.NewGrid[float32](terrain.Frame{Rows: 8, Cols: 9, CellSize: 2})
		for i := range z.Cells {
			r, c := z.Cell(i)
			z.Cells[i] = float32(2 * (3.0/64*float64(c) + 4.0/64*float64(r)))
		}
		for i, s := range slope(z).Cells {
			assert.Equal(t, float32(5.0/64), s, "cell %d", i)
		}
	})
	t.Run("a crest sheds its water and a pit keeps it", func(t *testing.T) {
		roof := terraintest.Rows(2, []float32{1, 3, 1}, []float32{1, 3, 1}, []float32{1, 3, 1})
		assert.Equal(t, float32(1), slope(roof).At(1, 1), "falls 2 m in 2 m, though Horn's is 0")
		pit := terraintest.Rows(1, []float32{9, 8, 7}, []float32{9, 2, 7}, []float32{9, 8, 7})
		assert.Zero(t, slope(pit).At(1, 1), "though Horn's is 1")
	})
	t.Run("water leaves across the rim", func(t *testing.T) {
		strip := terraintest.Rows(1, []float32{3, 2, 1})
		assert.Equal(t, []float32{1, 1, 1}, slope(strip).Cells)
	})
}

// bowl is a round hollow, 30 m across and 60 cm deep, in a slope of 0.5 %,
// on cells of 1 m; noise is added on request.
func bowl(noise float64) (z *terrain.Grid[float32], floor int) {
	z = terrain.NewGrid[float32](terrain.Frame{Rows: 120, Cols: 120, CellSize: 1})
	for i := range z.Cells {
		r, c := z.Cell(i)
		v := 10 - 0.005*float64(c)
		if d := math.Hypot(float64(r-60), float64(c-60)) / 15; d < 1 {
			v -= 0.6 * (1 - d*d) * (1 - d*d)
		}
		z.Cells[i] = float32(v + noise*terraintest.Normal(uint64(r), uint64(c)))
	}
	return z, z.Index(60, 60)
}

func TestFloorOfABowlIsWettest(t *testing.T) {
	for _, noise := range []float64{0, 0.02} {
		z, floor := bowl(noise)
		d, err := Drain(context.Background(), z, Options{})
		require.NoError(t, err)
		wettest := 0
		for i, w := range d.Wetness.Cells {
			if w > d.Wetness.Cells[wettest] {
				wettest = i
			}
		}
		r, c := z.Cell(wettest)
		fr, fc := z.Cell(floor)
		assert.LessOrEqual(t, math.Hypot(float64(r-fr), float64(c-fc)), 3.0, "noise %g m: the wettest cell, row %d, column %d, is the floor", noise, r, c)

		// Over filled ground the index of the floor is that of a lake: level
		// and fed by what crosses it, no wetter than its outlet.
		filled, err := Drain(context.Background(), z, Options{Hollows: FillAll})
		require.NoError(t, err)
		wetter := 0
		for _, w := range filled.Wetness.Cells {
			if w > filled.Wetness.Cells[floor] {
				wetter++
			}
		}
		assert.Greater(t, wetter, 10, "noise %g m: filled, others are wetter than the floor", noise)
	}
}

// The closed form against 600 × 600 cells of level ground with noise: each
// component of the slope by itself would do, but it is the slope that counts.
func TestSlopeNoiseOfLevelGround(t *testing.T) {
	const sd, cell = 0.03, 0.5
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 600, Cols: 600, CellSize: cell})
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = float32(sd * terraintest.Normal(uint64(r), uint64(c)))
	}
	s, slope := terrain.NewGrid[float32](z.Frame), terrain.NewGrid[float32](z.Frame)
	for _, length := range []float64{0, 0.2, 0.5, 1, 2} {
		terrain.Smooth(s, z, length)
		terrain.Slope(slope, s)
		var square float64
		n := 0
		for r := 20; r < 580; r++ {
			for c := 20; c < 580; c++ {
				square += float64(slope.At(r, c)) * float64(slope.At(r, c))
				n++
			}
		}
		assert.InEpsilon(t, math.Sqrt(square/float64(n)), SlopeNoise(sd, length, cell), 0.03, "smoothed over %g m", length)
	}
	assert.InEpsilon(t, sd/cell*math.Sqrt(2*3.0/16), SlopeNoise(sd, 0, cell), 1e-12, "twice 3/16 of the variance")
	long := sd / cell * math.Sqrt(2/(8*math.Pi)) / (20 * 20)
	assert.InEpsilon(t, long, SlopeNoise(sd, 20*cell, cell), 0.005, "the continuous limit, 20 cells")
}

func TestSmoothingLength(t *testing.T) {
	slope := func(side int, cell, fall, noise float64) *terrain.Grid[float32] {
		z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: cell})
		for i := range z.Cells {
			r, c := z.Cell(i)
			z.Cells[i] = float32(100 - fall*cell*float64(c) + noise*terraintest.Normal(uint64(r), uint64(c)))
		}
		return z
	}
	// 2 cm of noise on a fall of 0.5 %, cells of 1 m: s = √(15 · 0.02 / (5.013 ·
	// 0.005)) = 3.459 cells.
	assert.InEpsilon(t, 3.459, SmoothingLength(slope(400, 1, 0.005, 0.02), 0.02), 0.03)
	assert.Zero(t, SmoothingLength(slope(400, 1, 0.005, 0), 0), "no noise, nothing to smooth")
	assert.Zero(t, SmoothingLength(slope(400, 1, 0.2, 0.01), 0.01), "steep ground needs none")
	assert.Equal(t, 8.0, SmoothingLength(slope(400, 1, 0, 0.05), 0.05), "level ground takes all there is")
	assert.Equal(t, 2.5, SmoothingLength(slope(100, 0.5, 0, 0.05), 0.05), "a twentieth of a small site")
}

// What the smoothing is for: the drop of a cell by far more than its noise.
func TestSmoothedGroundDropsByMoreThanItsNoise(t *testing.T) {
	z := terraintest.Lowland(400, 0.02)
	clean := terraintest.Lowland(400, 0)
	d, err := Drain(context.Background(), z, Options{})
	require.NoError(t, err)
	var noise float64
	n := 0
	var drops []float64
	same := terrain.NewGrid[float32](z.Frame)
	terrain.Smooth(same, clean, d.Smooth)
	for r := 30; r < 370; r++ {
		for c := 30; c < 370; c++ {
			e := float64(d.Smoothed.At(r, c+1)-d.Smoothed.At(r, c)) - float64(same.At(r, c+1)-same.At(r, c))
			noise += e * e
			n++
			drops = append(drops, math.Hypot(float64(same.At(r, c+1)-same.At(r, c)), float64(same.At(r+1, c)-same.At(r, c))))
		}
	}
	slices.Sort(drops)
	ratio := drops[len(drops)/2] / math.Sqrt(noise/float64(n))
	assert.InDelta(t, dropOverNoise, ratio, 0.3*dropOverNoise, "the median drop is steeper over 8 cells than smoothed")
}
