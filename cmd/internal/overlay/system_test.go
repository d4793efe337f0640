package overlay

import (
	"testing"

	"wetfeet/cmd/internal/geopackage"
	"wetfeet/terrain/raster"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSystemOf(t *testing.T) {
	s, err := systemOf("EPSG:32614")
	require.NoError(t, err)
	assert.Equal(t, "WGS 84 / UTM zone 14N", s.Name)
	assert.EqualValues(t, 32614, s.ID)
	assert.Equal(t, "EPSG", s.Authority)
	assert.Contains(t, s.Definition, `PROJCS["WGS 84 / UTM zone 14N"`)

	s, err = systemOf(raster.LocalCRS(-99.25, 29.5))
	require.NoError(t, err)
	assert.EqualValues(t, geopackage.Own, s.ID)
	assert.Equal(t, "NONE", s.Authority)
	assert.Contains(t, s.Definition, `PARAMETER["latitude_of_origin",29.5]`)
	assert.NotEmpty(t, s.Name)

	s, err = systemOf("")
	require.NoError(t, err)
	assert.EqualValues(t, -1, s.ID)
	s, err = systemOf("EPSG:4326")
	require.NoError(t, err)
	assert.EqualValues(t, geopackage.LonLat, s.ID)
	_, err = systemOf("nowhere")
	assert.Error(t, err)
}
