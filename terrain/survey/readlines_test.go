package survey

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const linesFile = `{"type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32614"}}, "features": [
 {"type": "Feature", "properties": {"name": "main ditch", "kind": "ditch bottom", "error": 0.02},
  "geometry": {"type": "LineString", "coordinates": [[500100, 3100000, 12.5], [500100, 3100050, 12.4], [500100, 3100050, 12.4], [500101, 3100100, 12.3]]}},
 {"type": "Feature", "id": 7, "properties": {"code": "TB1", "z_ft": [40, 41]},
  "geometry": {"type": "MultiLineString", "coordinates": [[[500110, 3100000], [500110, 3100100]], [[500120, 3100000], [500120, 3100100]]]}},
 {"type": "Feature", "properties": {"kind": "wall", "z": null}, "geometry": {"type": "LineString", "coordinates": [[500130, 3100000], [500130, 3100100]]}},
 {"type": "Feature", "properties": {"name": "pool", "z_m": 11}, "geometry": {"type": "LineString", "coordinates": [[500140, 3100000], [500150, 3100000]]}},
 {"type": "Feature", "properties": {"kind": "outline"}, "geometry": {"type": "Polygon", "coordinates": [[[500000, 3100000], [500200, 3100000], [500200, 3100200], [500000, 3100000]], [[500100, 3100010], [500110, 3100010], [500105, 3100015], [500100, 3100010]]]}},
 {"type": "Feature", "properties": {"kind": "house"}, "geometry": {"type": "MultiPolygon", "coordinates": [[[[500050, 3100010], [500060, 3100010], [500055, 3100015], [500050, 3100010]]]]}},
 {"type": "Feature", "properties": null, "geometry": {"type": "Point", "coordinates": [500050, 3100010]}},
 {"type": "Feature", "properties": null, "geometry": null}
]}`

func TestReadLines(t *testing.T) {
	f, err := ReadLines(strings.NewReader("\ufeff"+linesFile), "ditches.geojson")
	require.NoError(t, err)
	assert.False(t, f.LonLat)
	assert.Equal(t, "EPSG:32614", f.CRS)
	require.Len(t, f.Lines, 5)
	assert.Equal(t, Breakline{
		Name: "main ditch", Kind: Ditch, Error: 0.02, Where: "ditches.geojson, feature 1",
		Line: orb.LineString{{500100, 3100000}, {500100, 3100050}, {500101, 3100100}}, Z: []float64{12.5, 12.4, 12.3},
	}, f.Lines[0], "a vertex written twice is kept once")
	assert.Equal(t, "TB1", f.Lines[1].Name)
	assert.Equal(t, Bank, f.Lines[1].Kind)
	assert.InDeltaSlice(t, []float64{40 * 0.3048, 41 * 0.3048}, f.Lines[2].Z, 1e-12)
	assert.Equal(t, Wall, f.Lines[3].Kind)
	assert.Nil(t, f.Lines[3].Z, "a height of null is none, not sea level")
	assert.Equal(t, []float64{11, 11}, f.Lines[4].Z)
	assert.Len(t, f.Outline, 1)
	assert.Len(t, f.Holes, 2)
	assert.Equal(t, []string{"feature 8 has no geometry and was passed over", "1 points among the lines were passed over"}, f.Remarks)
	require.NoError(t, f.Transform(func(p orb.Point) (orb.Point, error) { return orb.Point{p[0] - 500000, p[1] - 3100000}, nil }))
	assert.Equal(t, orb.Point{100, 50}, f.Lines[0].Line[1])
	assert.Equal(t, orb.Point{200, 200}, f.Outline[0][2])
	assert.EqualError(t, f.Transform(func(orb.Point) (orb.Point, error) { return orb.Point{}, errors.New("no way") }), "no way")
}

// RFC 7946, section 4: coordinates are longitude and latitude.
func TestLinesAreInDegreesUnlessTheyCannotBe(t *testing.T) {
	for text, lonLat := range map[string]bool{
		`{"type":"LineString","coordinates":[[-99.1,28.0],[-99.2,28.1]]}`:                                                                                       true,
		`{"type":"LineString","coordinates":[[500100,3100000],[500110,3100000]]}`:                                                                               false,
		`{"type":"LineString","coordinates":[[1,2],[3,4]],"crs":{"properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}}}`:                                       true,
		`{"type":"Feature","properties":{},"geometry":{"type":"LineString","coordinates":[[1,2],[3,4]]},"crs":{"properties":{"name":"local metres"}}}`:          false,
		`{"type":"GeometryCollection","geometries":[{"type":"LineString","coordinates":[[1,2],[3,4]]},{"type":"LineString","coordinates":[[1,2,0],[3,91,0]]}]}`: false,
	} {
		f, err := ReadLines(strings.NewReader(text), "f")
		require.NoError(t, err, text)
		assert.Equal(t, lonLat, f.LonLat, text)
	}
}

func TestBadLinesAreAllTold(t *testing.T) {
	feature := func(properties, kind, coordinates string) string {
		return `{"type":"Feature","properties":` + properties + `,"geometry":{"type":"` + kind + `","coordinates":` + coordinates + `}}`
	}
	all := []struct{ feature, want string }{
		{feature(`{}`, "LineString", `[[1,2]]`), "1 positions; at least 2 are needed"},
		{feature(`{}`, "LineString", `[[1],[2,3]]`), "vertex 1 has 1 numbers; [x, y] or [x, y, z] is needed"},
		{feature(`{}`, "LineString", `[[1,2,3],[4,5]]`), "vertex 2 has 2 numbers and vertex 1 3; a height belongs to all vertices or to none"},
		{feature(`{}`, "LineString", `[[1,2,null],[4,5,6]]`), "its coordinates are no list of positions, [x, y] or [x, y, z] each"},
		{feature(`{}`, "LineString", `[[1,2,9999],[4,5,6]]`), "vertex 1: height 9999 is not a height between -1000 and 9000 m"},
		{feature(`{}`, "LineString", `[[1,2],[1,2]]`), "all its vertices are at one place; a line needs two"},
		{feature(`{}`, "LineString", `[[1,2,3],[1,2,4],[5,5,5]]`), "vertices 1 and 2 are at one place with heights 3 and 4; keep one"},
		{feature(`{"z":[1,2,3]}`, "LineString", `[[1,2],[3,4]]`), `property "z" has 3 heights for 2 vertices`},
		{feature(`{"z":"low"}`, "LineString", `[[1,2],[3,4]]`), `property "z" is "low"; a number, or a list with one for each vertex, is needed`},
		{feature(`{"z":1}`, "LineString", `[[1,2,5],[3,4,5]]`), `heights in the positions and in the property "z"; keep one of them`},
		{feature(`{"error":"2 cm"}`, "LineString", `[[1,2],[3,4]]`), "error NaN is not above 0 and up to 100 m; leave it out where it is not known"},
		{feature(`{"kind":"lake?"}`, "Polygon", `[[[0,0],[1,0],[1,1],[0,0]]]`), `a polygon of kind "lake?"; "outline" is the area to draw, "house", "pond" or "hole" is left out of it`},
		{feature(`{"kind":"pond"}`, "Polygon", `[[[0,0],[1,0],[1,1],[0,1]]]`), "ring 1 does not end where it begins"},
		{feature(`{}`, "Circle", `[]`), `its type is "Circle"; LineString, MultiLineString, Polygon or MultiPolygon is needed`},
		{`{"type":"Line"}`, `its type is "Line", not "Feature"`},
		{`7`, "is no feature; an object with a type and a geometry is needed"},
	}
	var features, want []string
	for i, f := range all {
		features = append(features, f.feature)
		want = append(want, "f.geojson: feature "+string(rune('0'+(i+1)/10))+string(rune('0'+(i+1)%10))+": "+f.want)
	}
	_, err := ReadLines(strings.NewReader(`{"type":"FeatureCollection","features":[`+strings.Join(features, ",")+`]}`), "f.geojson")
	require.ErrorIs(t, err, ErrInput)
	assert.Equal(t, strings.ReplaceAll(strings.Join(want, "\n"), "feature 0", "feature "), err.Error())
	for text, want := range map[string]string{
		"{\n\"type\": \"LineString\",\n\"coordinates\": [[1,2],\n}": "f.geojson, line 4: this is not GeoJSON: invalid character '}' looking for beginning of value",
		"[]":                           "f.geojson, line 1: a JSON array; GeoJSON is an object with a type",
		`{"type":"FeatureCollection"}`: "f.geojson: a FeatureCollection without features; a list of lines is needed",
		`{"type":"FeatureCollection","features":[]}`: "f.geojson: found no lines and no areas; LineString features are needed",
		`{"type":"Point","coordinates":[1,2]}`:       "f.geojson: found no lines and no areas; LineString features are needed",
		"":                                           "f.geojson, line 1: this is not GeoJSON: unexpected end of JSON input",
	} {
		_, err := ReadLines(strings.NewReader(text), "f.geojson")
		assert.EqualError(t, err, want)
		assert.ErrorIs(t, err, ErrInput)
	}
}

func TestCodesJoinShotsToLines(t *testing.T) {
	table, err := ReadShots(strings.NewReader(`name,x,y,z,code,error_cm
1,0,0,10,DB1,1
2,5,5,11,,
3,0,10,9.9,db1 ,2
4,20,0,11,top of bank,
5,0,20,9.8,DB1,1
6,20,10,11,-,
7,20,20,11.1,Top of Bank,
8,40,20,11.1,XYZ,
`), "f.csv")
	require.NoError(t, err)
	lines, remarks, err := table.LinesByCode("Code")
	require.NoError(t, err)
	assert.Equal(t, []Breakline{
		{Name: "DB1", Kind: Ditch, Where: "from line 2", Error: 0.02, Line: orb.LineString{{0, 0}, {0, 10}, {0, 20}}, Z: []float64{10, 9.9, 9.8}},
		{Name: "top of bank", Kind: Bank, Where: "from line 5", Line: orb.LineString{{20, 0}, {20, 20}}, Z: []float64{11, 11.1}},
	}, lines)
	assert.Equal(t, []string{`only the shot of line 9 has the code "XYZ": one shot makes no line`}, remarks)
	_, _, err = table.LinesByCode("string")
	assert.EqualError(t, err, `no column "string" of codes among "code"`)
	assert.ErrorIs(t, err, ErrInput)
	_, err = Fit(table.Shots, Options{Lines: lines})
	require.NoError(t, err)
}

func TestKindOf(t *testing.T) {
	for text, want := range map[string]Kind{
		"Ditch bottom": Ditch, "DB12": Ditch, "drains": Ditch, "top of bank": Bank, "bed edge": Bed, "road crown": Crown, "kerb": Wall, "fence": Other, "": Other,
	} {
		assert.Equal(t, want, KindOf(text), text)
	}
}

// Whatever the bytes, sound lines come out or an error that says whose fault
// it is; and few lines make a surface or say why not.
func FuzzReadLines(f *testing.F) {
	f.Add([]byte(linesFile))
	f.Add([]byte(`{"type":"LineString","coordinates":[[1,2,3],[4,5,6]],"crs":7}`))
	f.Add([]byte(`{"type":"Feature","properties":{"z":[1,2],"name":3},"geometry":{"type":"MultiLineString","coordinates":[[[1,2],[3,4]],[[1e7,-1e7],[0,0]]]}}`))
	f.Add([]byte(`{"type":"GeometryCollection","geometries":[{"type":"GeometryCollection","geometries":[]}]}`))
	f.Add([]byte(`{"type":"FeatureCollection","features":[null,{},{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[]]}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		lines, err := ReadLines(bytes.NewReader(data), "f.geojson")
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			return
		}
		vertices := 0
		for _, l := range lines.Lines {
			require.GreaterOrEqual(t, len(l.Line), 2)
			require.True(t, l.Z == nil || len(l.Z) == len(l.Line))
			for i, p := range l.Line {
				vertices++
				require.True(t, math.Abs(p[0]) <= 1e8 && math.Abs(p[1]) <= 1e8)
				if l.Z != nil {
					require.True(t, l.Z[i] >= -1000 && l.Z[i] <= 9000)
				}
			}
		}
		if vertices > 40 {
			return
		}
		shots := scattered(6, 1)
		o := Options{Lines: lines.Lines, Outline: lines.Outline, Holes: lines.Holes, Covariance: &Covariance{Matern32, 0.04, 25, 0.0004}}
		if m, err := Fit(shots, o); err == nil {
			z, sd := m.Predict(shots[0].Point)
			assert.False(t, math.IsNaN(z) || math.IsInf(z, 0) || sd < 0)
		} else {
			require.ErrorIs(t, err, ErrInput)
		}
		if _, err := Triangulate(shots, o); err != nil {
			require.ErrorIs(t, err, ErrInput)
		}
	})
}
