package planting

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadCSVTakesTablesAsTheyCome(t *testing.T) {
	plain := []Position{
		{ID: "P1", Point: orb.Point{500100.5, 3100020}, Species: "Ficus carica"},
		{ID: "P2", Point: orb.Point{500103, 3100021.25}, Species: "Morus rubra"},
	}
	for name, text := range map[string]string{
		"plain":                        "id,x,y,species\nP1,500100.5,3100020,Ficus carica\nP2,500103,3100021.25,Morus rubra\n",
		"carriage returns":             "id,x,y,species\r\nP1,500100.5,3100020,Ficus carica\r\nP2,500103,3100021.25,Morus rubra",
		"carriage returns alone":       "id,x,y,species\rP1,500100.5,3100020,Ficus carica\rP2,500103,3100021.25,Morus rubra",
		"a byte order mark":            "\ufeffid,x,y,species\nP1,500100.5,3100020,Ficus carica\nP2,500103,3100021.25,Morus rubra\n",
		"semicolons, decimal commas":   "id;x;y;species\nP1;500100,5;3100020;Ficus carica\nP2;500103;3100021,25;Morus rubra\n",
		"tabs":                         "id\tx\ty\tspecies\nP1\t500100.5\t3100020\tFicus carica\nP2\t500103\t3100021.25\tMorus rubra\n",
		"another order and other case": "Species,Northing, Easting ,ID\nFicus carica,3100020,500100.5,P1\n\"Morus rubra\",3100021.25,500103,P2\n",
		"empty lines and separators":   "\n\nid,x,y,species\n\nP1,500100.5,3100020,Ficus carica\n,,,\nP2,500103,3100021.25,Morus rubra,,\n\n",
	} {
		t.Run(name, func(t *testing.T) {
			got, err := ReadCSV(strings.NewReader(text), "positions.csv")
			require.NoError(t, err)
			assert.Equal(t, &Table{Positions: plain}, got)
		})
	}
}

func TestReadCSVReadsUnitsRowsAndDegrees(t *testing.T) {
	got, err := ReadCSV(strings.NewReader("id,x_ft,y_ft,species,row,along_ft\nA-3,100,200,Ficus carica,A,15\n"), "p.csv")
	require.NoError(t, err)
	assert.True(t, got.Metres)
	p := got.Positions[0]
	assert.InDelta(t, 30.48, p.Point[0], 1e-12)
	assert.InDelta(t, 60.96, p.Point[1], 1e-12)
	assert.InDelta(t, 4.572, p.Along, 1e-12)
	assert.Equal(t, "A", p.Row)

	got, err = ReadCSV(strings.NewReader("id,lat,lon,species,note\n1,28.02,-98.99,Ficus carica,by the gate\n2,28.02,-98.99,Ficus carica,\n"), "p.csv")
	require.NoError(t, err)
	assert.True(t, got.LonLat)
	assert.Equal(t, orb.Point{-98.99, 28.02}, got.Positions[0].Point)
	assert.Equal(t, []string{
		`p.csv: columns not used: "note"`,
		`p.csv: 1 position stands on the spot of another, first "2" (line 3) on that of "1" (line 2)`,
	}, got.Remarks)
}

func TestReadCSVTellsEveryMistake(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"an empty file", " \n", "p.csv: the file is empty; needed are id,x,y,species or id,lon,lat,species"},
		{"a heading alone", "id,x,y,species\n", "p.csv: found no positions under the heading; one line each is needed"},
		{"no heading", "P1,1,2,Ficus carica\n", `p.csv, line 1: no column of id, x, y, species among "P1,1,2,Ficus carica"; needed are id,x,y,species or id,lon,lat,species`},
		{"half of the degrees", "id,lat,species\n1,2,x\n", `p.csv, line 1: no column of lon among "id,lat,species"; needed are id,x,y,species or id,lon,lat,species`},
		{"two columns of one kind", "id,x,y,species,easting\n", `p.csv, line 1, easting: is a second column of x beside "x"; keep one, or give this one another name`},
		{"a unit on one coordinate", "id,x_ft,y,species\n", `p.csv, line 1: only one of "x_ft" and "y" names its unit; name it in both, as in x_ft,y_ft, or in neither`},
		{"numbers that are none", "id,x,y,species\nP1,few,NaN,Ficus carica\nP2,0x10,1e999,Ficus carica\nP3,1_0,inf,Ficus carica\n",
			`p.csv, line 2, x: "few" is not a plain number such as 500100.25` + "\n" +
				`p.csv, line 2, y: "NaN" is not a plain number such as 500100.25` + "\n" +
				`p.csv, line 3, x: "0x10" is not a plain number such as 500100.25` + "\n" +
				`p.csv, line 3, y: "1e999" is not a plain number such as 500100.25` + "\n" +
				`p.csv, line 4, x: "1_0" is not a plain number such as 500100.25` + "\n" +
				`p.csv, line 4, y: "inf" is not a plain number such as 500100.25`},
		{"a decimal comma between commas", "id,x,y,species\nP1,500100,5,3100020,Ficus carica\n", "p.csv, line 2: found 5 values under 4 headings; a decimal comma needs semicolons between the columns"},
		{"mixed separators", "id,x,y,species\nP1;1;2;Ficus carica\n", "p.csv, line 2: found 1 value under 4 headings; it is divided by semicolons and the heading by commas"},
		{"missing values", "id,x,y,species\nP1,1,2\n,1,2,\n", "p.csv, line 2: found 3 values under 4 headings\np.csv, line 3, id: it is empty\np.csv, line 3, species: it is empty"},
		{"an ID twice", "id,x,y,species\nP1,1,2,a\nP2,3,4,b\nP1,5,6,c\n", `p.csv, line 4: the id "P1" is that of line 2 too; every position needs its own`},
		{"degrees out of range", "id,lon,lat,species\nP1,500100,3100020,a\nP2,28,-99,a\n",
			"p.csv, line 2: 500100 is not a longitude, -180 to 180 degrees\np.csv, line 3: -99 is not a latitude, -90 to 90 degrees"},
		{"metres out of range", "id,x,y,species\nP1,1e9,2,a\n", "p.csv, line 2: x or y lies beyond 100,000 km; no map system reaches so far"},
		{"a distance before the row", "id,x,y,species,along\nP1,1,2,a,-3\nP2,1,2,a,1e9\n",
			"p.csv, line 2: its distance along the row is -3 m; 0 to 100000000 m is possible\np.csv, line 3: its distance along the row is 1e+09 m; 0 to 100000000 m is possible"},
		{"quotes that do not match", "id,x,y,species\nP1,1,2,a\"b\nP2,x,2,a\n",
			"p.csv, line 2: its quotes do not match, at column 9\n" + `p.csv, line 3, x: "x" is not a plain number such as 500100.25`},
		{"an ID on two lines", "id,x,y,species\n\"P\n1\",1,2,a\n", "p.csv, line 2, id: it is broken by a control character"},
		{"UTF-16", "i\x00d\x00,\x00", "p.csv, line 1: found a zero byte; save the table as CSV in UTF-8"},
		{"another encoding", "id,x,y,species\nP1,1,2,\xe9rable\n", "p.csv, line 2: found bytes that are not UTF-8; save the table as CSV in UTF-8"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ReadCSV(strings.NewReader(tt.text), "p.csv")
			assert.EqualError(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
			assert.Nil(t, got)
		})
	}
	_, err := ReadCSV(iotest.ErrReader(errors.New("the disk went away")), "p.csv")
	assert.EqualError(t, err, "p.csv: the disk went away")
	assert.False(t, fault.IsInput(err), "not the fault of the file")
}

func point(properties, coordinates string) string {
	return `{"type":"Feature","properties":` + properties + `,"geometry":{"type":"Point","coordinates":` + coordinates + `}}`
}

func collection(features ...string) string {
	return `{"type":"FeatureCollection","features":[` + strings.Join(features, ",") + `]}`
}

func TestReadGeoJSONTakesPoints(t *testing.T) {
	text := "\ufeff" + collection(
		point(`{"id":"P1","species":"Ficus carica","row":"A","along_m":12.5}`, `[-98.99,28.02,61.5]`),
		point(`{"id":2,"species":" Morus rubra "}`, `[-98.98,28.02]`),
		`{"type":"Feature","id":"P3","properties":{"species":"Salix nigra"},"geometry":{"type":"Point","coordinates":[-98.97,28.02]}}`,
	)
	got, err := ReadGeoJSON(strings.NewReader(text), "p.geojson")
	require.NoError(t, err)
	assert.Equal(t, &Table{LonLat: true, Positions: []Position{
		{ID: "P1", Row: "A", Along: 12.5, Point: orb.Point{-98.99, 28.02}, Species: "Ficus carica"},
		{ID: "2", Point: orb.Point{-98.98, 28.02}, Species: "Morus rubra"},
		{ID: "P3", Point: orb.Point{-98.97, 28.02}, Species: "Salix nigra"},
	}}, got)

	alone, err := ReadGeoJSON(strings.NewReader(`{"type":"Feature","id":7,"properties":{"species":"Salix nigra"},"geometry":{"type":"Point","coordinates":[1,2]},"crs":{"properties":{"name":"EPSG:32614"}}}`), "p.geojson")
	require.NoError(t, err)
	assert.Equal(t, "7", alone.Positions[0].ID)
	assert.Equal(t, []string{`p.geojson: its "crs" member is not obeyed; coordinates are read as WGS 84 longitude and latitude, as RFC 7946 has it`}, alone.Remarks)
}

func TestReadGeoJSONTellsEveryMistake(t *testing.T) {
	const named = `{"id":"P","species":"x"}`
	for _, tt := range []struct{ name, text, want string }{
		{"an empty file", "", "p.geojson: the file is empty; a GeoJSON FeatureCollection is needed"},
		{"half a file", "{\n \"type\": \"Feat", "p.geojson, line 2, column 14: not GeoJSON: unexpected end of JSON input"},
		{"a list", "[1,2]", "p.geojson, line 1, column 1: not GeoJSON: a GeoJSON FeatureCollection is needed"},
		{"no type", "{}", `p.geojson: found no "type"; a GeoJSON FeatureCollection is needed`},
		{"another type", `{"type":"Topology"}`, `p.geojson: found type "Topology"; a GeoJSON FeatureCollection is needed`},
		{"no features", `{"type":"FeatureCollection"}`, `p.geojson: its FeatureCollection has no list of "features"`},
		{"null features", `{"type":"FeatureCollection","features":null}`, `p.geojson: its FeatureCollection has no list of "features"`},
		{"an empty list of features", collection(), "p.geojson: holds no features; a Point for each position is needed"},
		{"coordinates general readers fill with zeros", collection(point(named, `[]`), point(named, `[1]`), point(named, `[null,2]`), point(named, `null`), point(named, `["1","2"]`), point(named, `[[1,2]]`), point(named, `[1e999,2]`)),
			"p.geojson, feature 1: a position lacks numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 2: a position lacks numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 3: a position lacks numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 4: a position lacks numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 5: coordinates are not a list of numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 6: coordinates are not a list of numbers; [longitude, latitude] is needed\n" +
				"p.geojson, feature 7: coordinates are not a list of numbers; [longitude, latitude] is needed"},
		{"projected coordinates", collection(point(named, `[500100,3100020]`)), "p.geojson, feature 1: 500100 is not a longitude, -180 to 180 degrees"},
		{"a number JSON does not have", collection(point(named, `[NaN,2]`)), "p.geojson, line 1, column 139: not GeoJSON: invalid character 'N' looking for beginning of value"},
		{"features that are no points", collection(
			`{"type":"Feature","properties":`+named+`,"geometry":{"type":"LineString","coordinates":[[1,2],[3,4]]}}`,
			`{"type":"Feature","properties":`+named+`,"geometry":null}`,
			`{"type":"Feature","properties":`+named+`,"geometry":{"type":"GeometryCollection","geometries":[]}}`,
			`{"type":"Point","coordinates":[1,2]}`, `3`),
			"p.geojson, feature 1: found a LineString; a position is a Point\n" +
				"p.geojson, feature 2: has no geometry\n" +
				`p.geojson, feature 3: found geometry "GeometryCollection", which is not one that can be used` + "\n" +
				"p.geojson, feature 4: is not a GeoJSON Feature\n" +
				"p.geojson, feature 5: is not a GeoJSON Feature"},
		{"names missing", collection(point(`{}`, `[1,2]`), point(`null`, `[1,2]`), point(`{"id":"a","species":5}`, `[1,2]`), point(`{"id":"a\nb","species":"x"}`, `[1,2]`), point(`[]`, `[1,2]`)),
			"p.geojson, feature 1: has no id, neither as a property nor as its own\n" +
				"p.geojson, feature 1: has no property species with a name in it\n" +
				"p.geojson, feature 2: has no id, neither as a property nor as its own\n" +
				"p.geojson, feature 2: has no property species with a name in it\n" +
				"p.geojson, feature 3: has no property species with a name in it\n" +
				"p.geojson, feature 4: its id is broken by a control character\n" +
				"p.geojson, feature 5: its properties are not a JSON object"},
		{"an ID twice", collection(point(named, `[1,2]`), point(named, `[1,3]`)), `p.geojson, feature 2: the id "P" is that of feature 1 too; every position needs its own`},
		{"a distance in words", collection(point(`{"id":"a","species":"x","along_m":"far"}`, `[1,2]`)), "p.geojson, feature 1: its along_m is not a number of metres"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := ReadGeoJSON(strings.NewReader(tt.text), "p.geojson")
			assert.EqualError(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
			assert.Nil(t, got)
		})
	}
}

// sound holds what is promised of every table that could be read.
func sound(t *testing.T, table *Table, err error) {
	if err != nil {
		assert.Nil(t, table)
		assert.True(t, fault.IsInput(err))
		return
	}
	assert.NotEmpty(t, table.Positions)
	assert.NoError(t, CheckIDs(table.Positions))
	for _, p := range table.Positions {
		assert.Empty(t, checkText(p.ID))
		assert.Empty(t, checkText(p.Species))
		for _, v := range []float64{p.Point[0], p.Point[1], p.Along} {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0))
		}
		if table.LonLat {
			assert.LessOrEqual(t, math.Abs(p.Point[0]), 180.0)
			assert.LessOrEqual(t, math.Abs(p.Point[1]), 90.0)
		}
	}
}

func FuzzReadCSV(f *testing.F) {
	for _, s := range []string{
		"id,x,y,species\nP1,500100.5,3100020,Ficus carica\n",
		"\ufeffid;lon;lat;species;row;along_ft\r\n1;-98,99;28;a;A;7,5\r\n",
		"id\tx_ft\ty_ft\tspecies\n\"a\"\"b\"\t1\t2\tc\n",
		"id,x,y,species\n\"P\n1\",1,2,a\n", "id,x,y,species,along\n1,1,1,a,1e308\n", "\r\r\r", ";;;;", "\"",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := ReadCSV(strings.NewReader(string(data)), "p.csv")
		sound(t, table, err)
	})
}

func FuzzReadGeoJSON(f *testing.F) {
	for _, s := range []string{
		collection(point(`{"id":"P1","species":"Ficus carica","row":"A","along_m":12.5}`, `[-98.99,28.02,61.5]`)),
		collection(point(`{"id":1e400,"species":"a"}`, `[]`), point(`{}`, `[1]`)),
		`{"type":"Feature","id":7,"properties":null,"geometry":{"type":"Point","coordinates":[1,2]}}`,
		`{"type":"Point","coordinates":[1,2]}`, `{"type":"FeatureCollection","features":{}}`, `[[[[`, `{"features":[null]}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := ReadGeoJSON(strings.NewReader(string(data)), "p.geojson")
		sound(t, table, err)
	})
}
