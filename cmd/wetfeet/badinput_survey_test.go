package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Slips growers make in books, tables and lines of a survey: each is told by
// its place in exactly these words, with the status for bad input, and nothing
// is written.
func TestBadSurveysAreToldExactly(t *testing.T) {
	f := badFolder{t.TempDir()}
	template := func(kind string) string {
		_, text, _ := wetfeet(t, "survey", "--template", kind)
		return text
	}
	level, laser := template("level"), template("laser")
	swap := func(name, text, old, now string) {
		require.Contains(t, text, old, name)
		f.write(t, name, strings.Replace(text, old, now, 1))
	}
	swap("open.csv", level, "BM1,   ,           ,           4' 0 5/8\",  ,       ,       ,         ,        back on the slab\n", "")
	swap("beyond.csv", level, `5' 2 1/2"`, `25' 2 1/2"`)
	swap("inches.csv", level, `5' 4"`, `5' 14"`)
	swap("fore.csv", level, `BM1,   4' 6",      ,           ,         `, `BM1,   ,           ,           4' 6",    `)
	swap("columns.csv", level, "point, bs,         is,", "point, is,         bs,")
	swap("name.csv", level, "A4, ", "A1, ")
	swap("base.csv", level, "from A, to B", "from A, to Q")
	swap("foot.csv", level, `5' 3",      ,`, `6' 3",      ,`)
	swap("sheet.csv", level, "sheet: level", "sheet: lvel")
	swap("bearing.csv", laser, "bearing N 60 E\nset-up", "bearing N 160 E\nset-up")
	f.write(t, "none.csv", "x,y,z\n")
	f.write(t, "one.csv", "x,y,z\n500000,3100000,96\n")
	f.write(t, "pair.csv", "x,y,z\n500000,3100000,96\n500010,3100000,96\n")
	f.write(t, "line.csv", "x,y,z\n500000,3100000,96\n500010,3100010,96\n500020,3100020,96\n")
	f.write(t, "heights.csv", "x,y,z\n500000,3100000,9600\n500010,3100000,-99999\n500000,3100010,96\n")
	f.write(t, "twice.csv", "name,x,y,z\nA,500000,3100000,96\nA,500000,3100000,97.1\nB,500010,3100000,96\n")
	f.write(t, "degrees.csv", "x,y,z\n-99.2500,29.5000,1\n-99.2501,29.5001,1\n-99.2502,29.5000,1\n")
	f.write(t, "turned.csv", "lon,lat,z\n29.5000,-99.2500,1\n")
	f.write(t, "good.csv", "x,y,z\n500000,3100000,96\n500040,3100000,96\n500000,3100040,96\n500040,3100040,96\n500020,3100025,96\n")
	const lines = `{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::32614"}},"features":[
{"type":"Feature","properties":{"name":"d1","kind":"ditch"},"geometry":{"type":"LineString","coordinates":[[500000,3100020,95],[500040,3100020,95]]}},
{"type":"Feature","properties":{"name":"b1","kind":"bank"},"geometry":{"type":"LineString","coordinates":[[500020,3100000,96],[500020,3100040,96]]}}]}`
	f.write(t, "cross.geojson", lines)
	f.write(t, "nowhere.geojson", strings.Replace(lines, "::32614", "::999999", 1))
	before := written(t, f.dir)
	for _, tt := range []struct{ name, args, want string }{
		{"a loop that is left open", "open.csv", `open.csv, line 41, page 2: an unclosed line: the line from BM1 ends on D3 (page 2, line 41) and closes on nothing (set-ups 1 to 2); carry it back to a known level, or write closing: open if there is no going back`},
		{"a reading beyond the staff", "beyond.csv", `beyond.csv, line 33, page 1, is: "25' 2 1/2\"" is 25.21 ft, beyond the end of a staff of 16.00 ft; a longer staff is declared as staff: 8 m (or 25 ft)`},
		{"more inches than a foot has", "inches.csv", `inches.csv, line 35, page 1, is: "5' 14\"" is not a length: 14 inches are a foot or more; write the feet and what is left, or inches alone`},
		{"a fore sight before a back sight", "fore.csv", strings.Join([]string{
			`fore.csv, line 31, page 1: a fore sight before a back sight; a set-up begins with a back sight onto a known or turning point`,
			`bs and fs look swapped: the first reading of a set-up, onto a known or turning point, is its back sight`,
		}, "\n")},
		{"back and intermediate sights under each other's names", "columns.csv", `columns.csv, line 37, page 1, is: an intermediate sight beside a fore sight; a row holds one reading, or the fore and back sight of a turning point`},
		{"one name for two points", "name.csv", strings.Join([]string{
			`name.csv, line 39, page 2, point: A1 comes to 99.133 ft, but to 99.398 ft on page 1, line 32 (0.098 ft is allowed); give a second point a second name, or correct a reading`,
			`name.csv, line 39, page 2: A1 lies 60.00 ft from where page 1, line 32 has it, more than the 0.33 ft a tape allows; give a second point a second name, or correct one`,
		}, "\n")},
		{"a base line to a point nobody knows", "base.csv", `base.csv, line 28, base: "Q" is no point with a known position; give its x and y (or lon and lat) on a points sheet`},
		{"a staff misread by a foot", "foot.csv", strings.Join([]string{
			`foot.csv, page 2, line 42: the levelling round from BM1 misses by -1.010 ft where 0.023 ft is allowed, order construction (5 mm √set-ups) over 2 set-ups`,
			`most likely wrong: set-up 2, fore sight onto BM1 (page 2, line 42), "4' 0 5/8\"": 1.010 ft too high; a round foot: a staff misread by one foot?`,
			`it may also be: set-up 1, back sight onto BM1 (page 1, line 31), "4' 6\"": 1.010 ft too low; a round foot: a staff misread by one foot?`,
			`it may also be: set-up 2, back sight onto TP1 (page 1, line 37), "4' 9 1/2\"": 1.010 ft too low; a round foot: a staff misread by one foot?`,
			`it may also be: set-up 1, fore sight onto TP1 (page 1, line 37), "6' 3\"": 1.010 ft too high; a round foot: a staff misread by one foot?`,
		}, "\n")},
		{"a kind of sheet that is none", "sheet.csv", `sheet.csv, line 27, sheet: "lvel" is not a kind of sheet: level, laser, water, tape, gnss or points`},
		{"a bearing beyond its quadrant", "bearing.csv", `bearing.csv, line 16, base: "N 160 E" is not a bearing: the angle of a quadrant bearing is 0 to 90 degrees`},
		{"no shot", "none.csv", `none.csv: found no shots under the header; one line each is needed`},
		{"one shot", "one.csv --crs EPSG:32614", `one.csv: 1 shot; a surface needs at least 3 that are not in a line`},
		{"two shots", "pair.csv --crs EPSG:32614", `pair.csv: 2 shots; a surface needs at least 3 that are not in a line`},
		{"all shots in a line", "line.csv --crs EPSG:32614", `line.csv: all 3 shots lie in a line, within 0 m over 28.3 m; a few to its sides are needed`},
		{"impossible heights", "heights.csv --crs EPSG:32614", strings.Join([]string{
			`heights.csv, line 2, z: "9600" is not a height between -1000 and 9000 m`,
			`heights.csv, line 3, z: "-99999" is not a height between -1000 and 9000 m`,
		}, "\n")},
		{"one place with two heights", "twice.csv --crs EPSG:32614", `twice.csv, line 3: height 97.100 m at the place where line 2 has 96.000 m: more than 3 times their error apart; correct one or leave it out`},
		{"degrees in a system of metres", "degrees.csv --crs EPSG:32614", `degrees.csv: x and y look like degrees: all 3 shots lie within 0.0002 by 0.0001 of each other, but the system is WGS 84 / UTM zone 14N: if they are degrees, name the columns lon and lat`},
		{"longitude and latitude exchanged", "turned.csv", strings.Join([]string{
			`turned.csv, line 2, lat: "-99.2500" is not a latitude, -90 to 90 degrees`,
			`lon and lat look swapped: the header is to read lat,lon if latitude comes first`,
		}, "\n")},
		{"breaklines that cross at two heights", "good.csv --crs EPSG:32614 --lines DIR/cross.geojson", `line "d1" (cross.geojson, feature 1) crosses line "b1" (cross.geojson, feature 2) at 500020.00, 3100020.00, at heights 95.000 and 96.000 m; one place has one height: mend one, or end it there`},
		{"lines in a system nobody knows", "good.csv --crs EPSG:32614 --lines DIR/nowhere.geojson", `nowhere.geojson: "EPSG:999999" is not a coordinate system known here; write an authority and a number, such as EPSG:32614 for UTM zone 14 north or EPSG:4326 for longitude and latitude, or the system's well-known text`},
		{"lines of a known place beside a grid of its own", "good.csv --lines DIR/cross.geojson", `cross.geojson is in EPSG:32614, but good.csv is on a grid of its own: say with --crs or --origin where the grid lies`},
		{"a book that is not there", "missing.csv", `there is no file DIR/missing.csv`},
		{"a folder for a book", ".", `DIR/. is a folder; a file of spot heights or a field book is needed`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			args := strings.Fields("survey DIR/" + tt.args + " -o DIR/out")
			for i := range args {
				args[i] = strings.ReplaceAll(args[i], "DIR/", f.dir+string(filepath.Separator))
			}
			status, stdout, stderr := wetfeet(t, args...)
			got := strings.ReplaceAll(strings.TrimSuffix(stderr, "\n"), f.dir+string(filepath.Separator), "DIR/")
			assert.Equal(t, "wetfeet: "+tt.want, got)
			assert.Equal(t, exitInput, status)
			assert.Empty(t, stdout)
		})
	}
	assert.Equal(t, before, written(t, f.dir), "nothing was written, and the grower's own files stay")
}
