package raster

import (
	"bytes"
	"math"
	"path/filepath"
	"runtime"
	"testing"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/require"
)

// A fixture is a raster that a test has made with GDAL itself. The zero value
// is 5 rows by 4 columns of Float32 in cells of 10 m in UTM zone 14 north,
// the cell in row r and column c holding 100 + 10 r + c.
type fixture struct {
	rows, cols int
	gt         [6]float64
	crs        string // "-" for none
	dtype      godal.DataType
	bands      int
	z          func(row, col int) float64
	edit       func(t testing.TB, ds *godal.Dataset) // before the values are written
	create     []string                              // creation options
	driver     godal.DriverName
}

// plane is a whole number in every cell, different in each, that every type
// of number holds.
func plane(row, col int) float64 { return 100 + float64(10*row+col) }

func (f fixture) filled() fixture {
	if f.rows == 0 {
		f.rows, f.cols = 5, 4
	}
	if f.gt == [6]float64{} {
		f.gt = [6]float64{500000, 10, 0, 4000000, 0, -10}
	}
	if f.crs == "" {
		f.crs = "EPSG:32614"
	}
	if f.dtype == godal.Unknown {
		f.dtype = godal.Float32
	}
	f.bands = max(f.bands, 1)
	if f.z == nil {
		f.z = plane
	}
	if f.driver == "" {
		f.driver = godal.GTiff
	}
	return f
}

// dataset makes the raster and leaves it open.
func (f fixture) dataset(t testing.TB, path string) *godal.Dataset {
	t.Helper()
	start()
	require.NoError(t, godal.RegisterRaster(godal.Memory))
	f = f.filled()
	ds, err := godal.Create(f.driver, path, f.bands, f.dtype, f.cols, f.rows, godal.CreationOption(f.create...))
	require.NoError(t, err)
	if f.gt != [6]float64{0, 1, 0, 0, 0, 1} {
		require.NoError(t, ds.SetGeoTransform(f.gt))
	}
	if f.crs != "-" {
		sr, err := godal.NewSpatialRef(f.crs)
		require.NoError(t, err)
		defer sr.Close()
		require.NoError(t, ds.SetSpatialRef(sr))
	}
	if f.edit != nil {
		f.edit(t, ds)
	}
	row := make([]float64, f.cols)
	for b := range ds.Bands() {
		for r := range f.rows {
			for c := range row {
				row[c] = f.z(r, c)
			}
			require.NoError(t, ds.Bands()[b].Write(0, r, row, f.cols, 1))
		}
	}
	return ds
}

// save makes the raster as a file in a folder of the test and returns its
// path.
func (f fixture) save(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, f.dataset(t, path).Close())
	return path
}

// translate makes the raster as a file of a format that GDAL can only copy
// to.
func (f fixture) translate(t testing.TB, name, driver string, args ...string) string {
	t.Helper()
	f.driver = godal.Memory
	src := f.dataset(t, "")
	defer src.Close()
	path := filepath.Join(t.TempDir(), name)
	quiet := godal.ErrLogger(func(godal.ErrorCategory, int, string) error { return nil })
	dst, err := src.Translate(path, append([]string{"-of", driver}, args...), quiet)
	require.NoError(t, err)
	require.NoError(t, dst.Close(quiet))
	return path
}

// mustOpen opens a raster that has nothing wrong with it.
func mustOpen(t testing.TB, path string, o Options) *Ground {
	t.Helper()
	g, err := Open(path, o)
	require.NoError(t, err)
	return g
}

// cellsOf are the elevations of a grid, voids as -1 so that they compare.
func cellsOf(z *terrain.Grid[float32]) []float32 {
	cells := make([]float32, len(z.Cells))
	for i, v := range z.Cells {
		cells[i] = v
		if terrain.IsVoid(v) {
			cells[i] = -1
		}
	}
	return cells
}

// wanted is what cellsOf should be for a function of row and column that is
// NaN for a void.
func wanted(rows, cols int, z func(row, col int) float64) []float32 {
	cells := make([]float32, 0, rows*cols)
	for r := range rows {
		for c := range cols {
			v := z(r, c)
			if math.IsNaN(v) {
				v = -1
			}
			cells = append(cells, float32(v))
		}
	}
	return cells
}

// indexOnce is where a text stands in bytes, exactly once.
func indexOnce(t testing.TB, b, text []byte) int {
	t.Helper()
	require.Equal(t, 1, bytes.Count(b, text), "%q", text)
	return bytes.Index(b, text)
}

// atThreads runs f with another number of threads.
func atThreads(t testing.TB, n int, f func()) {
	t.Helper()
	was := runtime.GOMAXPROCS(n)
	defer runtime.GOMAXPROCS(was)
	f()
}

var inf = math.Inf(1)
