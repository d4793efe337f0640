package hydro

import (
	"math"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
)

// In a bowl the floor is the wettest and the rest of the pool follows its
// depth; where no water would stand the index is what it was.
func TestPoolsSpreadTheWetnessOfTheirFloor(t *testing.T) {
	const side = 41
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 1})
	for i := range z.Cells {
		r, c := z.Cell(i)
		d := math.Hypot(float64(r-side/2), float64(c-side/2))
		z.Cells[i] = float32(10 - 0.002*float64(c) - 0.3*math.Exp(-d*d/50))
	}
	area := terrain.NewGrid[float64](z.Frame)
	Route(z, Multiple, 0).Accumulate(area, nil)
	slope := terrain.NewGrid[float32](z.Frame)
	terrain.Slope(slope, z)
	before := terrain.NewGrid[float32](z.Frame)
	Wetness(before, area, slope, 1e-4)

	after := terrain.NewGrid[float32](z.Frame)
	copy(after.Cells, before.Cells)
	h := FindHollows(z)
	spreadPools(after, z, h)

	filled := terrain.NewGrid[float32](z.Frame)
	Fill(filled, z)
	floor, pool := 0, 0
	for i := range z.Cells {
		if z.Cells[i] < z.Cells[floor] {
			floor = i
		}
	}
	for i := range z.Cells {
		depth := filled.Cells[i] - z.Cells[i]
		assert.Equal(t, depth > 0, h.Outer[i] > 0)
		if depth <= 0 {
			assert.Equal(t, before.Cells[i], after.Cells[i], "cell %d stands dry", i)
			continue
		}
		pool++
		share := float64(depth / (filled.Cells[floor] - z.Cells[floor]))
		want := math.Max(float64(before.Cells[i]), float64(before.Cells[floor])+math.Log(share))
		assert.InDelta(t, want, after.Cells[i], 1e-5, "cell %d", i)
		assert.LessOrEqual(t, after.Cells[i], after.Cells[floor], "cell %d is wetter than the floor", i)
	}
	assert.Greater(t, pool, 100)
	assert.Equal(t, before.Cells[floor], after.Cells[floor])
}
