package ground

import (
	"context"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noisyPlane writes a plane of 0.3 % with white noise of 3 cm, rounded to a
// step if there is one, and returns the file.
func noisyPlane(t *testing.T, step float64) string {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 3))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 500, Cols: 500, West: 500000, North: 3100500, CellSize: 1, CRS: "EPSG:32614"})
	for i := range z.Cells {
		row, col := z.Cell(i)
		v := 100 + 0.003*(0.8*float64(col)+0.6*float64(row)) + 0.03*rng.NormFloat64()
		if step > 0 {
			v = math.Round(v/step) * step
		}
		z.Cells[i] = float32(v)
	}
	path := filepath.Join(t.TempDir(), "plane.tif")
	require.NoError(t, raster.Write(path, z))
	return path
}

// The rate is that of hydro on white noise, one on 10,000 cells, which for
// ground that was resampled or rounded takes the noise of the raster as it is
// stored: by that of the grid as it is, each of these but the last keeps
// more than a hundred.
func TestResampledAndRoundedPlanesHaveLessThanOneHollowPerHectare(t *testing.T) {
	for _, tt := range []struct {
		name       string
		step, cell float64
	}{
		{"finer cells that are no whole part", 0, 0.7},
		{"half the cells", 0, 0.5},
		{"rounded to 10 cm", 0.1, 0},
		{"rounded to whole metres", 1, 0},
		{"rounded to 10 cm and resampled", 0.1, 0.7},
		{"coarser cells", 0, 1.4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			g, err := Load(context.Background(), Source{DEM: noisyPlane(t, tt.step), Cell: tt.cell})
			require.NoError(t, err)
			require.Positive(t, g.Error(0))
			h := hydro.FindHollows(g.Grid)
			kept := h.Significant(g.Error(0))
			assert.Less(t, len(kept.All), 25, "on 25 ha; found %d", len(h.All))
			assert.Equal(t, 0.2, g.Error(0.2), "what is given goes before")
			assert.Len(t, g.Assumed, 1, "and where it came from is said")
		})
	}
	t.Run("a raster in its own cells is left to its own roughness", func(t *testing.T) {
		g, err := Load(context.Background(), Source{DEM: noisyPlane(t, 0)})
		require.NoError(t, err)
		assert.Zero(t, g.Error(0))
	})
}
