package hydro

import (
	"math"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pitAt samples a pit around the middle of a square at cell centres. Its
// shape gives the height above the floor at a place, m from the middle.
func pitAt(side, cell float64, shape func(x, y float64) float64) *terrain.Grid[float32] {
	n := int(side / cell)
	z := terrain.NewGrid[float32](terrain.Frame{
		Rows: n, Cols: n, West: -side / 2, North: side / 2, CellSize: cell,
	})
	for i := range z.Cells {
		row, col := z.Cell(i)
		p := z.Centre(row, col)
		z.Cells[i] = float32(shape(p[0], p[1]))
	}
	return z
}

func cone(x, y float64) float64 { return 0.5 * min(math.Hypot(x, y)/10, 1) }

// Check G06: solid geometry, depths of 0.1, 0.25 and 0.5 m. Pits are 0.5 m
// deep, the round ones 10 m in radius, the pyramid 12 m wide, and the cap is
// cut from a sphere of 2 m radius. The sampling is held to 1 % where the
// water is 20 cells wide or more.
func TestStorageOfSolidForms(t *testing.T) {
	const cell = 0.125
	for _, tt := range []struct {
		name    string
		cell    float64
		shape   func(x, y float64) float64
		volumes [3]float64
	}{
		{"cone", cell, cone, [3]float64{0.418879, 6.544985, 52.35988}},
		{"paraboloid", cell, func(x, y float64) float64 {
			return 0.5 * min((x*x+y*y)/100, 1)
		}, [3]float64{3.141593, 19.63495, 78.53982}},
		{"pyramid", cell, func(x, y float64) float64 {
			return 0.5 * min(max(math.Abs(x), math.Abs(y))/6, 1)
		}, [3]float64{0.192, 3, 24}},
		{"cap", cell / 4, func(x, y float64) float64 {
			return min(2-math.Sqrt(max(4-x*x-y*y, 0)), 0.5)
		}, [3]float64{0.06178466, 0.3763366, 1.439897}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h := FindHollows(pitAt(192*tt.cell, tt.cell, tt.shape))
			s := h.Storage()
			pit := 0
			require.InDelta(t, 0.5, h.All[pit].Spill, 1e-7)
			for k, depth := range []float64{0.1, 0.25, 0.5} {
				assert.InEpsilon(t, tt.volumes[k], s.Volume(pit, depth), 0.01, "at %g m", depth)
				assert.InDelta(t, depth, s.Level(pit, tt.volumes[k]), 0.001, "m, at %g m³", tt.volumes[k])
			}
		})
	}
}

// Check G07: the cone sampled at cell centres, sums worked out in double
// precision elsewhere and given to 1e-5. Elevations here are float32.
func TestConeSampledAtCellCentres(t *testing.T) {
	for _, tt := range []struct{ cell, volume float64 }{
		{1, 52.37131}, {0.5, 52.36076}, {0.25, 52.36085},
	} {
		h := FindHollows(pitAt(40, tt.cell, cone))
		assert.InDelta(t, tt.volume, h.All[0].Volume, 1e-5, "cells of %g m", tt.cell)
		assert.InEpsilon(t, 314.1593, h.All[0].Area, 0.01, "cells of %g m", tt.cell)
	}
}

// Volumes and areas follow the scale of the ground exactly when it is a power
// of two, and nothing else changes.
func TestHollowsScaleWithTheGround(t *testing.T) {
	z := terraintest.Lowland(60, 0.02)
	big := terrain.NewGrid[float32](z.Frame)
	big.CellSize *= 4
	for i, v := range z.Cells {
		big.Cells[i] = v * 2
	}
	a, b := FindHollows(z), FindHollows(big)
	require.Len(t, b.All, len(a.All))
	assert.Equal(t, a.Outer, b.Outer)
	for i := range a.All {
		assert.Equal(t, a.All[i].Volume*32, b.All[i].Volume)
		assert.Equal(t, a.All[i].Area*16, b.All[i].Area)
		assert.Equal(t, a.All[i].Catchment*16, b.All[i].Catchment)
		assert.Equal(t, a.All[i].Spill*2, b.All[i].Spill)
	}
}
