package raster

import (
	"math"
	"strconv"
	"testing"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rolling is smooth ground whose curvature a bilinear surface follows to
// about a millimetre.
func rolling(row, col int) float64 {
	return 50 + 2*math.Sin(float64(row)/23) + 1.5*math.Cos(float64(col)/31) + 0.01*float64(row)
}

// GDAL's own warper, with exact coordinates, is the reference: where cells
// keep their size both are plain bilinear interpolation.
func TestResamplingAgreesWithGDAL(t *testing.T) {
	sin, cos := math.Sincos(0.3)
	for name, tt := range map[string]struct {
		f fixture
		o Options
	}{
		"degrees to their zone":        {f: fixture{crs: "EPSG:4326", gt: [6]float64{-99.01, 1.0 / 9000, 0, 36.15, 0, -1.0 / 10800}}},
		"degrees, cut":                 {f: fixture{crs: "EPSG:4326", gt: [6]float64{-99.01, 1.0 / 9000, 0, 36.15, 0, -1.0 / 10800}}, o: Options{Boundary: rectangle(-99.005, 36.143, -99.001, 36.147)}},
		"a turned raster":              {f: fixture{gt: [6]float64{500000, 2 * cos, 2 * sin, 4000000, 2 * sin, -2 * cos}}},
		"another grid system":          {f: fixture{crs: "EPSG:3857", gt: [6]float64{-11020000, 10, 0, 4320000, 0, -10}}},
		"smaller cells":                {f: fixture{}, o: Options{CellSize: 4}},
		"the south of the Earth":       {f: fixture{crs: "EPSG:4326", gt: [6]float64{151.2, 1.0 / 9000, 0, -33.8, 0, -1.0 / 10800}}},
		"across the date line":         {f: fixture{crs: "EPSG:4326", gt: [6]float64{179.995, 1.0 / 9000, 0, -17, 0, -1.0 / 10000}}},
		"the same, counted down":       {f: fixture{crs: "EPSG:4326", gt: [6]float64{-180.005, 1.0 / 9000, 0, -17, 0, -1.0 / 10000}}},
		"a datum with a Helmert shift": {f: fixture{crs: "EPSG:4314", gt: [6]float64{11.5, 1.0 / 9000, 0, 48.1, 0, -1.0 / 13000}}},
	} {
		t.Run(name, func(t *testing.T) {
			tt.f.rows, tt.f.cols, tt.f.z, tt.f.dtype = 120, 110, rolling, godal.Float64
			path := tt.f.save(t, "z.tif")
			g := mustOpen(t, path, tt.o)
			require.True(t, g.Resampled)
			want := gdalWarp(t, path, g.Grid.Frame)
			compared := 0
			for i, w := range want {
				if v := g.Grid.Cells[i]; v == v && w == w {
					require.InDelta(t, w, v, 1e-4, "cell %d", i)
					compared++
				}
			}
			assert.Greater(t, compared, g.Grid.Len()/2)
		})
	}
}

// gdalWarp is a frame's cells by GDAL's warper, held to the plain kernel.
func gdalWarp(t *testing.T, path string, f terrain.Frame) []float32 {
	t.Helper()
	ds, err := godal.Open(path)
	require.NoError(t, err)
	defer ds.Close()
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 17, 64) }
	b := f.Bound()
	out, err := godal.Warp("", []*godal.Dataset{ds}, []string{"-of", "MEM", "-ot", "Float32", "-r", "bilinear", "-et", "0", "-wo", "XSCALE=1", "-wo", "YSCALE=1", "-dstnodata", "nan",
		"-t_srs", f.CRS, "-te", num(b.Min[0]), num(b.Min[1]), num(b.Max[0]), num(b.Max[1]), "-ts", strconv.Itoa(f.Cols), strconv.Itoa(f.Rows)})
	require.NoError(t, err)
	defer out.Close()
	cells := make([]float32, f.Len())
	require.NoError(t, out.Bands()[0].Read(0, 0, cells, f.Cols, f.Rows))
	return cells
}

// A coarse cell is the mean of what it covers: with whole ratios that is
// exact, and the volume under the ground stays.
func TestCoarserCellsAreMeans(t *testing.T) {
	z := func(r, c int) float64 { return float64((r*31+c*17)%64) / 4 }
	path := fixture{rows: 60, cols: 60, z: z, gt: [6]float64{480000, 10, 0, 3999990, 0, -10}}.save(t, "z.tif")
	g := mustOpen(t, path, Options{CellSize: 30})
	require.Equal(t, 20, g.Grid.Rows)
	for row := range 20 {
		for col := range 20 {
			var sum float64
			for r := range 3 {
				for c := range 3 {
					sum += z(3*row+r, 3*col+c)
				}
			}
			assert.InDelta(t, sum/9, g.Grid.At(row, col), 1e-5, "row %d, column %d", row, col)
		}
	}
}

func TestVoidsStayVoidsWhenResampled(t *testing.T) {
	z := func(r, c int) float64 {
		if r >= 20 && r < 30 && c >= 10 && c < 25 {
			return -9999
		}
		return plane(r, c)
	}
	path := fixture{rows: 50, cols: 40, z: z, edit: noData(-9999)}.save(t, "z.tif")
	for _, cell := range []float64{2.5, 5, 25, 50} {
		g := mustOpen(t, path, Options{CellSize: cell})
		assert.InDelta(t, 100*150, float64(g.Voids)*cell*cell, 1e-6, "the void keeps its area at cells of %v m", cell)
		for _, v := range g.Grid.Cells {
			assert.False(t, v < 99.9, "no number of a void has leaked: %v", v)
		}
	}
}

func TestBesideAVoidTheKnownCellsAreWeighedAlone(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		nw, ne, sw, se, u, v float64
		want                 float64 // NaN for a void
	}{
		{1, nan, nan, nan, 0.4, 0.4, 1},
		{1, nan, nan, nan, 0.6, 0.4, nan},
		{1, nan, 3, nan, 0.25, 0.25, 1.5},
		{nan, 2, 3, 4, 0.9, 0.9, (2*0.09 + 3*0.09 + 4*0.81) / 0.99},
	} {
		z, ok := besideVoid(tt.nw, tt.ne, tt.sw, tt.se, tt.u, tt.v)
		assert.Equal(t, tt.want == tt.want, ok)
		if ok {
			assert.InDelta(t, tt.want, z, 1e-12)
		}
	}
}

// The number of threads must not show in the result.
func TestResamplingIsTheSameAtAnyNumberOfThreads(t *testing.T) {
	path := fixture{rows: 200, cols: 150, z: rolling, crs: "EPSG:4326", gt: [6]float64{-99.01, 1.0 / 9000, 0, 36.15, 0, -1.0 / 10800}}.save(t, "z.tif")
	want := mustOpen(t, path, Options{})
	for _, n := range []int{1, 3, 7} {
		atThreads(t, n, func() {
			g := mustOpen(t, path, Options{})
			assert.Equal(t, cellsOf(want.Grid), cellsOf(g.Grid), "%d threads", n)
		})
	}
}
