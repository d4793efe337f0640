package assess

import (
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
)

func TestPercentilesCountHalfOfTies(t *testing.T) {
	g := terrain.NewGrid[float32](terrain.Frame{Rows: 1, Cols: 6, CellSize: 1})
	copy(g.Cells, []float32{3, 1, 2, 2, terrain.Void(), 5})
	// Five known cells: one below 2 and two at it; four below 5.
	assert.Equal(t, []float64{40, 90, 10, 0, 100}, percentiles(g, []float32{2, 5, 1, 0.5, 9}))
}

func TestPercentilesAgreeWithCountingEachValue(t *testing.T) {
	g := terrain.NewGrid[float32](terrain.Frame{Rows: 40, Cols: 25, CellSize: 1})
	for i := range g.Cells {
		g.Cells[i] = float32(i * 7919 % 97)
	}
	values := []float32{0, 96, 50, 50, 12.5, -3}
	want := make([]float64, len(values))
	for k, v := range values {
		n := 0.0
		for _, c := range g.Cells {
			switch {
			case c < v:
				n++
			case c == v:
				n += 0.5
			}
		}
		want[k] = 100 * n / 1000
	}
	assert.InDeltaSlice(t, want, percentiles(g, values), 1e-9)
}
