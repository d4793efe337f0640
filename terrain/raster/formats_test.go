package raster

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every format let in is written by GDAL and read back by Open, with
// its place and, where the format can say it, its system.
func TestEveryFormatIsRead(t *testing.T) {
	for _, tt := range []struct {
		driver, name string
		f            fixture
		args         []string
	}{
		{driver: "GTiff", name: "z.tif"},
		{driver: "COG", name: "z.tif"},
		{driver: "AAIGrid", name: "z.asc"},
		{driver: "HFA", name: "z.img"},
		{driver: "HFA", name: "big.img", args: []string{"-co", "USE_SPILL=YES"}},
		{driver: "EHdr", name: "z.bil"},
		{driver: "EHdr", name: "z.flt", f: fixture{dtype: godal.Float32}},
		{driver: "ENVI", name: "z.dat"},
		{driver: "SAGA", name: "z.sdat"},
		{driver: "RST", name: "z.rst", f: fixture{dtype: godal.Float32}},
		{driver: "PCRaster", name: "z.map", args: []string{"-mo", "PCRASTER_VALUESCALE=VS_SCALAR"}, f: fixture{dtype: godal.Float32}},
		{driver: "GSAG", name: "z.grd"},
		{driver: "GSBG", name: "z.grd", f: fixture{dtype: godal.Float32}},
		{driver: "GS7BG", name: "z.grd", f: fixture{dtype: godal.Float64}},
		{driver: "JP2OpenJPEG", name: "z.jp2", args: []string{"-co", "REVERSIBLE=YES", "-co", "QUALITY=100"}},
		{driver: "PNG", name: "z.png", f: fixture{dtype: godal.UInt16}, args: []string{"-co", "WORLDFILE=YES"}},
		{driver: "netCDF", name: "z.nc", args: []string{"-co", "FORMAT=NC"}},
		{driver: "netCDF", name: "z64.nc", args: []string{"-co", "FORMAT=NC2"}},
	} {
		t.Run(tt.driver+" "+tt.name, func(t *testing.T) {
			start()
			if tt.driver == "COG" { // a way of writing GeoTIFF
				require.NoError(t, godal.RegisterRaster("COG"))
			}
			f := tt.f
			f.rows, f.cols = 20, 16
			if f.dtype == godal.Unknown {
				f.dtype = godal.Int16
			}
			path := f.translate(t, tt.name, tt.driver, tt.args...)
			o := Options{AllowLocal: true}
			g := mustOpen(t, path, o)
			require.Equal(t, wanted(20, 16, plane), cellsOf(g.Grid))
			assert.InDelta(t, 500000, g.Grid.West, 1e-6)
			assert.InDelta(t, 4000000, g.Grid.North, 1e-6)
			assert.InDelta(t, 10, g.Grid.CellSize, 1e-9)
			assert.False(t, g.Resampled)
			if g.Grid.CRS == "" {
				assert.Contains(t, []string{"GSAG", "GSBG", "GS7BG", "PCRaster"}, tt.driver, "formats that name no system")
			}
			if tt.driver != "COG" {
				assert.Equal(t, tt.driver, g.Driver)
			}
		})
	}
}

// The elevation formats of whole tiles of degrees have sizes of their own.
func TestTilesOfDegrees(t *testing.T) {
	slope := func(r, c int) float64 { return float64(100 + r/10 + c/12) }
	t.Run("SRTM .hgt", func(t *testing.T) {
		f := fixture{rows: 1201, cols: 1201, crs: "EPSG:4326", dtype: godal.Int16, z: slope,
			gt: [6]float64{8 - 1.0/2400, 1.0 / 1200, 0, 51 + 1.0/2400, 0, -1.0 / 1200}}
		g := mustOpen(t, f.translate(t, "N50E008.hgt", "SRTMHGT"), Options{CellSize: 500})
		assert.Equal(t, "SRTMHGT", g.Driver)
		assert.Equal(t, "EPSG:32632", g.Grid.CRS)
		assert.Equal(t, "m", g.Unit)
	})
	t.Run("DTED", func(t *testing.T) {
		f := fixture{rows: 121, cols: 121, crs: "EPSG:4326", dtype: godal.Int16, z: slope,
			gt: [6]float64{8 - 1.0/240, 1.0 / 120, 0, 11 + 1.0/240, 0, -1.0 / 120}}
		g := mustOpen(t, f.translate(t, "n10.dt0", "DTED"), Options{})
		assert.Equal(t, "DTED", g.Driver)
		assert.Equal(t, "EPSG:32632", g.Grid.CRS)
		// A square of the area of half a minute by half a minute.
		middle := orb.Point{8.5, 10.5}
		area := metresBetween(middle, orb.Point{8.5 + 1.0/120, 10.5}) * metresBetween(middle, orb.Point{8.5, 10.5 + 1.0/120})
		assert.InDelta(t, math.Sqrt(area), g.Grid.CellSize, 1)
	})
}

// Checks N08 and N09: the tags of a GeoTIFF, by their numbers. The files were
// made with gdal_translate 3.6.2; see testdata/rasters/README.md. A raster of
// points has its tie point half a cell in, and means the same cells.
func TestAreaAndPointRastersAreTheSameGrid(t *testing.T) {
	area := mustOpen(t, "../../testdata/rasters/area.tif", Options{})
	point := mustOpen(t, "../../testdata/rasters/point.tif", Options{})
	assert.Equal(t, area.Grid.Frame, point.Grid.Frame)
	assert.Equal(t, cellsOf(area.Grid), cellsOf(point.Grid))
	assert.Equal(t, 500000.0, area.Grid.West)
	assert.Equal(t, 4000030.0, area.Grid.North)
	assert.Equal(t, []float32{1, 2, 3, 4, -1, 6, 7, 8, 9}, cellsOf(area.Grid))

	for file, want := range map[string]struct {
		kind uint16
		tie  []float64
	}{
		"area.tif":  {1, []float64{0, 0, 0, 500000, 4000030, 0}},
		"point.tif": {2, []float64{0, 0, 0, 500005, 4000025, 0}},
	} {
		b, err := os.ReadFile(filepath.Join("../../testdata/rasters", file))
		require.NoError(t, err)
		tags := tiffTags(t, b)
		assert.Equal(t, []float64{10, 10, 0}, tags[33550].doubles(t), "ModelPixelScale")
		assert.Equal(t, want.tie, tags[33922].doubles(t), "ModelTiepoint")
		assert.Equal(t, want.kind, geoKey(t, tags[34735], 1025), "GTRasterType")
		assert.Equal(t, "-9999\x00", string(tags[42113].bytes), "GDAL_NODATA")
	}
}
