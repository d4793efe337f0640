package raster

import (
	"path/filepath"
	"testing"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// GDAL opens the GeoPackage that cmd/internal/geopackage keeps as its sample,
// without a word, and finds there what its test wrote.
func TestSampleGeoPackageIsReadByGDAL(t *testing.T) {
	start()
	require.NoError(t, godal.RegisterVector("GPKG"))
	path, err := filepath.Abs("../../cmd/internal/geopackage/testdata/sample.gpkg")
	require.NoError(t, err)
	var l listener
	ds, err := godal.Open(path, godal.VectorOnly(), godal.Drivers("GPKG"), godal.ErrLogger(l.hear))
	require.NoError(t, err)
	defer ds.Close()
	assert.Empty(t, l.warnings)

	layers := ds.Layers()
	require.Len(t, layers, 3)
	want := []struct {
		name, system string
		kind         godal.GeometryType
		rows         int
	}{
		{"stakes", "WGS 84 / UTM zone 14N", godal.GTPoint, 3},
		{"pools", "Site", godal.GTMultiPolygon, 1},
		{"notes", "", godal.GTNone, 1},
	}
	for i, w := range want {
		layer := layers[i]
		n, err := layer.FeatureCount()
		require.NoError(t, err)
		assert.Equal(t, w.rows, n, w.name)
		assert.Equal(t, w.name, layer.Name())
		assert.Equal(t, w.kind, layer.Type(), w.name)
		if w.system != "" {
			sr := layer.SpatialRef()
			assert.Equal(t, w.system, name(sr), w.name)
		}
	}
	box, err := layers[0].Bounds()
	require.NoError(t, err)
	assert.Equal(t, [4]float64{500100.5, 3100088, 500103, 3100088.25}, box)

	f := layers[0].NextFeature()
	require.NotNil(t, f)
	defer f.Close()
	wkt, err := f.Geometry().WKT()
	require.NoError(t, err)
	assert.Regexp(t, `^POINT ?\(500100\.5 3100088(\.0)?\)$`, wkt)
	fields := f.Fields()
	assert.Equal(t, "A-1", fields["id"].String())
	assert.Equal(t, 0.25, fields["depth_m"].Float())
	pool := layers[1].NextFeature()
	require.NotNil(t, pool)
	defer pool.Close()
	assert.Equal(t, 6.0, pool.Geometry().Area(), "half of 4 by 3")
}
