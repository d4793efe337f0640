package feature

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func read(t testing.TB, text string) ([]Feature, []string, error) {
	var bad fault.List
	features, remarks, err := Read(strings.NewReader(text), "f.geojson", &bad)
	require.NoError(t, err)
	return features, remarks, bad.Err()
}

func TestFeaturesKeepTheirNumbersAndProperties(t *testing.T) {
	features, remarks, err := read(t, `{"type":"FeatureCollection","features":[
		{"type":"Feature","id":12,"properties":{"a":" x ","n":1.50,"b":true},"geometry":{"type":"Point","coordinates":[-98.5,28]}},
		{"type":"Feature","id":"q","geometry":{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[0,1],[0,0]]]]}}]}`)
	require.NoError(t, err)
	assert.Empty(t, remarks)
	require.Len(t, features, 2)
	assert.Equal(t, "f.geojson, feature 2", features[1].Where("f.geojson"))
	assert.Equal(t, []string{"12", "q"}, []string{features[0].ID, features[1].ID})
	for property, want := range map[string]string{"a": "x", "n": "1.50"} {
		got, ok := features[0].Text(property)
		assert.True(t, ok)
		assert.Equal(t, want, got)
	}
	for _, property := range []string{"b", "none"} {
		_, ok := features[0].Text(property)
		assert.False(t, ok, property)
	}
	at, err := features[0].Point()
	require.NoError(t, err)
	assert.Equal(t, orb.Point{-98.5, 28}, at)
	polygons, err := features[1].Polygons()
	require.NoError(t, err)
	assert.Equal(t, orb.MultiPolygon{{{{0, 0}, {1, 0}, {0, 1}, {0, 0}}}}, polygons)
}

// The library that the answers are written with reads these as places in the
// Gulf of Guinea or near it. This reader is here because it must not.
func TestArraysThatAGeneralReaderFillsWithZeros(t *testing.T) {
	for coordinates, zeroed := range map[string]orb.Point{`[]`: {0, 0}, `[1]`: {1, 0}} {
		text := `{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":` + coordinates + `}}`
		general, err := geojson.UnmarshalFeature([]byte(text))
		require.NoError(t, err)
		assert.Equal(t, zeroed, general.Geometry)

		features, _, err := read(t, text)
		require.NoError(t, err)
		_, err = features[0].Point()
		assert.EqualError(t, err, "a position lacks numbers; [longitude, latitude] is needed")
	}
}

func TestWhatTheGeneralLibraryWritesIsRead(t *testing.T) {
	c := geojson.NewFeatureCollection()
	want := []orb.Point{{-98.9912345, 28.0212345}, {180, -90}, {-180, 90}}
	for _, p := range want {
		c.Append(geojson.NewFeature(p))
	}
	text, err := c.MarshalJSON()
	require.NoError(t, err)
	features, _, err := read(t, string(text))
	require.NoError(t, err)
	for i, f := range features {
		got, err := f.Point()
		require.NoError(t, err)
		assert.Equal(t, want[i], got)
	}
}

func TestCoordinatesThatAreNotDegrees(t *testing.T) {
	assert.NoError(t, CheckLonLat(orb.Point{-180, 90}))
	assert.EqualError(t, CheckLonLat(orb.Point{500100.25, 1}), "500100.25 is not a longitude, -180 to 180 degrees")
	assert.EqualError(t, CheckLonLat(orb.Point{1, -90.5}), "-90.5 is not a latitude, -90 to 90 degrees")
}

func TestAnEarlierDraftsSystemIsNotObeyed(t *testing.T) {
	for crs, told := range map[string]bool{`"urn:ogc:def:crs:OGC:1.3:CRS84"`: false, `"EPSG:4326"`: false, `"EPSG:32614"`: true} {
		_, remarks, err := read(t, `{"type":"Point","coordinates":[1,2],"crs":{"type":"name","properties":{"name":`+crs+`}}}`)
		require.NoError(t, err)
		assert.Equal(t, told, len(remarks) == 1, crs)
	}
}

func TestALargeFileIsNotRead(t *testing.T) {
	var bad fault.List
	_, _, err := Read(&endless{}, "f.geojson", &bad)
	require.NoError(t, err)
	assert.EqualError(t, bad.Err(), "f.geojson: the file is larger than 64 MiB")
	_, _, err = Read(iotest.ErrReader(errors.New("the disk went away")), "f.geojson", &bad)
	assert.EqualError(t, err, "f.geojson: the disk went away")
}

// endless is a file that never ends.
type endless struct{}

func (*endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}
