package summary

import (
	"context"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By hand: two bowls with flat floors of nine cells of 4 m², 1 m and 2 m deep,
// in a plain of 7 by 11 cells of which one corner is not known.
func TestGroundCountsWhatIsThere(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 7, Cols: 11, CellSize: 2, CRS: "EPSG:32614"})
	for i := range z.Cells {
		z.Cells[i] = 5
		if r, c := z.Cell(i); r >= 2 && r < 5 {
			switch {
			case c >= 2 && c < 5:
				z.Cells[i] = 4
			case c >= 6 && c < 9:
				z.Cells[i] = 3
			}
		}
	}
	z.Set(6, 10, terrain.Void())
	d, err := hydro.Drain(context.Background(), z, hydro.Options{Error: 0.1})
	require.NoError(t, err)
	s := Ground(d)
	assert.Equal(t, 76, s.Ground.KnownCells)
	assert.Equal(t, HollowFacts{Kept: 2, Volume: 9*4*1 + 9*4*2}, s.Hollows)
	assert.Equal(t, 0.1, s.Ground.Error)
	assert.InDelta(t, 0, s.Balance.In-s.Balance.Ponded-s.Balance.Left, 1e-9)
	assert.InDelta(t, 1000*s.Balance.In/(76*4), s.Balance.Depth, 1e-6)
}

func TestSecondsOfOneStageAddUp(t *testing.T) {
	got := Seconds([]hydro.StageTime{{Stage: "fill", Seconds: 1}, {Stage: "flow", Seconds: 2}, {Stage: "fill", Seconds: 0.25}}, hydro.StageTime{Stage: "write", Seconds: 3})
	assert.Equal(t, map[string]float64{"fill": 1.25, "flow": 2, "write": 3}, got)
}
