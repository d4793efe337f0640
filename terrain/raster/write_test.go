package raster

import (
	"path/filepath"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatIsWrittenIsReadBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.tif")
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 300, Cols: 411, West: 500000, North: 4000000, CellSize: 0.5, CRS: "EPSG:32614"})
	for i := range z.Cells {
		z.Cells[i] = float32(i%977) / 16
	}
	z.Set(3, 4, terrain.Void())
	require.NoError(t, Write(path, z))
	g, err := Open(path, Options{})
	require.NoError(t, err)
	assert.Equal(t, z.Frame, g.Grid.Frame)
	assert.Equal(t, 1, g.Voids)
	assert.True(t, terrain.IsVoid(g.Grid.At(3, 4)))
	g.Grid.Set(3, 4, 0)
	z.Set(3, 4, 0)
	assert.Equal(t, z.Cells, g.Grid.Cells)
}
