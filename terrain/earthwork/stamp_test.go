package earthwork

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"

	"wetfeet/terrain"
)

func plain(rows, cols int, cell float64, shape func(x, y float64) float64) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, West: 100, North: 200, CellSize: cell})
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		z.Cells[i] = float32(shape(p[0], p[1]))
	}
	return z
}

// On level ground what is stamped is the volume of the mounds, whatever the
// size of a cell.
func TestStampKeepsTheVolume(t *testing.T) {
	m := Mound{Top: 1.2, Height: 0.4}
	for _, cell := range []float64{0.1, 0.5, 1, 3} {
		z := plain(int(40/cell), int(40/cell), cell, func(x, y float64) float64 { return 10 })
		mounds := []Placed{{m, orb.Point{110, 180}}, {m, orb.Point{111.5, 180.2}}, {m, orb.Point{130.3, 170.1}}, {m, orb.Point{500, 0}}}
		raised, volume := Stamp(z, mounds)
		assert.InEpsilon(t, Volume(mounds[:3]), volume, 0.02, "cells of %g m", cell)
		sum := 0.0
		for i := range z.Cells {
			assert.GreaterOrEqual(t, raised.Cells[i], z.Cells[i])
			sum += float64(raised.Cells[i]-z.Cells[i]) * cell * cell
		}
		assert.InEpsilon(t, volume, sum, 1e-3)
	}
}

// On a slope the downhill side of the platform wants more and the uphill side
// less; a void stays a void.
func TestStampOnASlope(t *testing.T) {
	z := plain(100, 100, 0.1, func(x, y float64) float64 { return 0.1 * (x - 105) })
	z.Cells[z.Index(50, 60)] = terrain.Void()
	m := Placed{Mound{Top: 1, Height: 0.3}, orb.Point{105.02, 194.98}}
	raised, volume := Stamp(z, []Placed{m})
	row, col, _ := z.Locate(m.At)
	crown := float64(z.At(row, col)) + 0.3
	assert.InDelta(t, crown, raised.At(row, col), 1e-6)
	assert.InDelta(t, crown, raised.At(row, col+4), 1e-6, "the platform is level")
	assert.InDelta(t, crown, raised.At(row, col-4), 1e-6)
	assert.True(t, terrain.IsVoid(raised.At(50, 60)))
	assert.InEpsilon(t, m.Volume(), volume, 0.15)
	assert.Equal(t, z.At(0, 0), raised.At(0, 0))
}

func TestMoundsInTheWayOfWater(t *testing.T) {
	lines := []orb.LineString{
		{{0, 0}, {10, 0}, {20, 5}},
		{{0, 50}, {50, 50}},
	}
	m := Mound{Top: 1, Height: 0.4} // 0.5 m to the edge of the platform, 1.3 m to the foot
	on, beside, off := Placed{m, orb.Point{5, 0.3}}, Placed{m, orb.Point{8, -0.9}}, Placed{m, orb.Point{30, 51.31}}
	got := Closes(lines, []Placed{beside, on, off}, 0.02)
	assert.Equal(t, []Closing{{Line: 0, Mound: 1, Height: 0.4}}, got)
	got = Closes(lines, []Placed{beside}, 0.02)
	assert.Len(t, got, 1)
	assert.InDelta(t, 0.2, got[0].Height, 1e-12)
	assert.Empty(t, Closes(lines, []Placed{beside}, 0.25))
}
