package raster

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/require"
)

// FuzzOpen writes any bytes under the suffixes that steer the drivers. Open
// returns a grid within its limit, or says whose fault it is; it never
// panics, and never asks for the memory that a header merely claims. A body
// opens eight files, so give it -fuzzminimizetime=5x or it will spend its time
// on making finds small.
func FuzzOpen(f *testing.F) {
	add := func(path string) {
		b, err := os.ReadFile(path)
		require.NoError(f, err)
		if len(b) < 1<<14 {
			f.Add(b)
		}
	}
	for _, name := range []string{"area.tif", "point.tif", "corner.asc", "centre.asc"} {
		add(filepath.Join("../../testdata/rasters", name))
	}
	add(fixture{create: []string{"COMPRESS=DEFLATE", "PREDICTOR=3", "TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"}}.save(f, "z.tif"))
	add(fixture{crs: "EPSG:4326", gt: [6]float64{10, 0.001, 0, 50, 0, -0.001}, edit: noData(121)}.save(f, "z.tif"))
	add(fixture{crs: "EPSG:2277"}.save(f, "z.tif"))
	add(fixture{dtype: godal.Float32}.translate(f, "z.grd", "GSBG"))
	add(fixture{dtype: godal.Float64}.translate(f, "z.grd", "GS7BG"))
	add(fixture{dtype: godal.Int16}.translate(f, "z.img", "HFA"))
	add(fixture{dtype: godal.UInt16}.translate(f, "z.png", "PNG"))
	add(fixture{dtype: godal.Int16}.translate(f, "z.nc", "netCDF", "-co", "FORMAT=NC"))
	f.Add([]byte("DSAA\n3 3\n0 20\n0 20\n1 9\n7 8 9\n4 5 6\n1 2 3\n"))
	f.Add([]byte("ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 2\n1 2 3\n4 nan 6\n7 8 -9999\n"))
	f.Add([]byte(virtual("/etc/passwd")))
	f.Add([]byte{})
	dir := f.TempDir()
	const limit = 8 << 20
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, suffix := range []string{".tif", ".asc", ".dem", ".dat"} {
			path := filepath.Join(dir, "z"+suffix)
			require.NoError(t, os.WriteFile(path, b, 0o644))
			for _, o := range []Options{{AllowLocal: true, MemoryLimit: limit}, {CRS: "EPSG:32614", CellSize: 7, MemoryLimit: limit}} {
				g, err := Open(path, o)
				if err != nil {
					require.ErrorIs(t, err, ErrInput)
					require.NotEmpty(t, err.Error())
					continue
				}
				require.GreaterOrEqual(t, min(g.Grid.Rows, g.Grid.Cols), minSide)
				require.Len(t, g.Grid.Cells, g.Grid.Len())
				require.LessOrEqual(t, g.Grid.Len()*bytesPerCell, limit)
				require.Less(t, g.Voids, g.Grid.Len())
				for _, v := range g.Grid.Cells {
					require.False(t, v > maxElevation || v < -maxElevation, "%v", v)
				}
			}
		}
	})
}
