package site

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/terrain/quantity"

	"github.com/BurntSushi/toml"
	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// everything is a site file with every key there is.
const everything = `name  = "Heron Bend"            # invented
invented = true
units = "metric"
crs   = "EPSG:32614"

[ground]
dem            = "ground.tif"
spot_heights   = "survey.csv"
later          = ["survey.csv"]
lines          = "boundary.geojson"
surface        = "triangles"
cell           = "0.5 m"
boundary       = "boundary.geojson"
vertical_error = "5 cm"
error_range    = "15 m"

[soil]
texture      = "Sandy  loam"
hydrologic_group = "b"
infiltration = "12 mm/h"
cover        = "orchard, grassed, good"
water_table  = "0.9 m"
water_table_at = [500120.0, 3100080.0]
root_rot     = true

[storm]
rain     = "150 mm"
duration = "24 h"
month    = "Jan"
soil_temperature = "50 °F"
dormant  = true
moving_water = true

[season]
rain = "daily-rain.csv"

[[row]]
name    = "Long"
line    = [[500100.0, 3100020.0], [500190, 3100065.0]]
spacing = "7.5 ft"
pattern = ["Carya illinoinensis", "Sambucus canadensis", "-"]
gaps    = [["20 m", "24 m"], [30, 32.5]]

[[row]]
line    = [[500100.0, 3100030.0], [500150.0, 3100050.0], [500190.0, 3100075.0]]
spacing = 2.5
pattern = ["Asimina triloba"]
age     = "18 months"

[trees]
positions = "positions.csv"
age       = 5

[species]
table = "my-species.csv"

[species.rootstock]
"Malus domestica" = "M16"
pear = "Old Home"

[[tree]]
id  = "A-3"
age = 0
rootstock = "Annona glabra"
`

// folder makes a folder with the files that everything names.
func folder(t testing.TB) string {
	dir := t.TempDir()
	for _, name := range []string{"ground.tif", "survey.csv", "boundary.geojson", "daily-rain.csv", "positions.csv", "my-species.csv"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o644))
	}
	return dir
}

func write(t testing.TB, dir, text string) string {
	path := filepath.Join(dir, "site.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func TestReadTakesEveryKey(t *testing.T) {
	dir := folder(t)
	file := func(name string) File { return File{filepath.Join(dir, name), name} }
	depth, age, young, new, soil, yes := 0.9, 5.0, 1.5, 0.0, 10.0, true
	want := &Site{
		File: file("site.toml"), Name: "Heron Bend", Invented: true, Units: quantity.Metric, CRS: "EPSG:32614",
		Ground: Ground{DEM: file("ground.tif"), SpotHeights: file("survey.csv"), Later: []File{file("survey.csv")}, Lines: file("boundary.geojson"), Triangles: true, Boundary: file("boundary.geojson"), Cell: 0.5, VerticalError: 0.05, ErrorRange: 15},
		Soil: Soil{Known: Known{Texture: "sandy loam", HydrologicGroup: "B", Infiltration: 12, Cover: "orchard, grassed, good", RootRot: &yes},
			WaterTable: &depth, WaterTableAt: &orb.Point{500120, 3100080}},
		Storm:  Storm{Rain: 150, Duration: 24 * time.Hour, Month: time.January, SoilTemperature: &soil, Dormant: &yes, Moving: true},
		Told:   []Tree{{ID: "A-3", Where: `site.toml:61: tree "A-3"`, Age: &new, Rootstock: "Annona glabra"}},
		Season: Season{Rain: file("daily-rain.csv")},
		Trees:  Trees{Positions: file("positions.csv"), Age: &age},
		Species: Species{Table: file("my-species.csv"), Rootstocks: []Rootstock{
			{"Malus domestica", "M16", `site.toml:58: species, rootstock, "Malus domestica"`}, {"pear", "Old Home", `site.toml:59: species, rootstock, "pear"`},
		}},
		Rows: []planting.Row{
			{Name: "Long", Line: orb.LineString{{500100, 3100020}, {500190, 3100065}}, Spacing: 2.286,
				Pattern: []string{"Carya illinoinensis", "Sambucus canadensis", ""}, Gaps: [][2]float64{{20, 24}, {30, 32.5}}},
			{Name: "B", Line: orb.LineString{{500100, 3100030}, {500150, 3100050}, {500190, 3100075}}, Spacing: 2.5,
				Pattern: []string{"Asimina triloba"}, Age: &young},
		},
	}
	from, past := strings.Index(everything, "[storm]"), strings.Index(everything, "\n[season]")
	inline := func(lines int) string { // the rest, on the lines where it was
		return everything[:from] + strings.Repeat("\n", strings.Count(everything[from:past], "\n")-lines) + everything[past:]
	}
	const more = "month = 1, soil_temperature = 10, dormant = true, moving_water = true }\n"
	for name, text := range map[string]string{
		"as written":        everything,
		"carriage returns":  strings.ReplaceAll(everything, "\n", "\r\n"),
		"a byte order mark": "\ufeff" + everything,
		"an inline table":   "storm = { rain = \"150 mm\", duration = \"24 h\", " + more + inline(1),
		"dotted keys":       "storm.rain = \"15 cm\"\nstorm.duration = \"1 d\"\nstorm.month = \"january\"\nstorm.soil_temperature = \"10 C\"\nstorm.dormant = true\nstorm.moving_water = true\n" + inline(6),
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Read(write(t, dir, text))
			require.NoError(t, err)
			assert.Equal(t, want, got)
			assert.NoError(t, got.Check())
		})
	}
}

func TestBareNumbersFollowTheUnitsOfTheSite(t *testing.T) {
	s, err := parse("[ground]\ncell = 2\n[storm]\nrain = 6\nduration = \"1 d\"\n[soil]\ninfiltration = 0.3\n[[row]]\nline=[[-99,28],[-99,28.001]]\nspacing=7.5\npattern=[\"x\"]\n[other]\n", File{Name: "site.toml"})
	assert.EqualError(t, err, `site.toml:12: "other" is not a known key; the nearest is "tree", and known here are units, crs, origin, name, invented, ground, soil, storm, season, odds, learned, link, well, work, trees, tree, species and row`)
	assert.Nil(t, s)

	s, err = parse("units = \"feet\"\n[ground]\ncell = 2\n[storm]\nrain = 6\n[soil]\ninfiltration = 0.3\nwater_table = 0\n[[row]]\nline=[[-99,28],[-99,28.001]]\nspacing=7.5\npattern=[\"x\"]\n", File{Name: "site.toml"})
	require.NoError(t, err)
	assert.Equal(t, quantity.Feet, s.Units)
	assert.Equal(t, 0.6096, s.Ground.Cell)
	assert.InDelta(t, 152.4, s.Storm.Rain, 1e-12)
	assert.InDelta(t, 7.62, s.Soil.Infiltration, 1e-12)
	assert.Equal(t, 2.286, s.Rows[0].Spacing)
	assert.Equal(t, 0.0, *s.Soil.WaterTable, "water at the surface is not water unknown")
	assert.Empty(t, s.CRS)
}

const (
	rowOK  = "line = [[1, 2], [3, 4]]\nspacing = 2\npattern = [\"x\"]\n"
	length = `use a number and a unit, such as 15 ft, 4.5 m, 6 in or 150 mm`
)

func TestEveryMistakeSaysWhereAndWhatWouldDo(t *testing.T) {
	dir := folder(t)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "grids"), 0o755))
	for _, tt := range []struct{ name, text, want string }{
		{"a length in furlongs", "[[row]]\nline = [[1, 2], [3, 4]]\nspacing = \"2.5 furlongs\"\npattern = [\"x\"]\n",
			`site.toml:3: row "A", spacing: "2.5 furlongs" is not a length: ` + length},
		{"misspelt keys", "nmae = \"x\"\n[ground]\ndmn = 3\ncells = 3\nboundry = 3\n[[row]]\n" + rowOK + "spaceing = 1\n",
			`site.toml:1: "nmae" is not a known key; the nearest is "name"` + "\n" +
				`site.toml:3: ground: "dmn" is not a known key; the nearest is "dem"` + "\n" +
				`site.toml:4: ground: "cells" is not a known key; the nearest is "cell"` + "\n" +
				`site.toml:5: ground: "boundry" is not a known key; the nearest is "boundary"` + "\n" +
				`site.toml:10: row "A": "spaceing" is not a known key; the nearest is "spacing"`},
		{"keys in the wrong table", "spacing = 2\n[storm]\nrain = 100\ntexture = \"loam\"\n",
			`site.toml:1: "spacing" is not a known key; the nearest is "spacing" in [[row]]` + "\n" +
				`site.toml:4: storm: "texture" is not a known key; the nearest is "texture" in [soil]`},
		{"ten at once", "units = \"imperial\"\nname = 5\ninvented = \"yes\"\ncrs = \"UTM 14\"\n[ground]\ndem = \"grund.tif\"\nspot_heights = \"grids\"\ncell = 0\n[soil]\ntexture = \"sandy lome\"\nhydrologic_group = \"E\"\n[storm]\nrain = \"-1 in\"\nduration = 24\n",
			`site.toml:1: units: "imperial" is not a family of units: use "metric" or "feet"` + "\n" +
				`site.toml:2: name: found 5; the name of the site is needed` + "\n" +
				`site.toml:3: invented: found "yes"; true or false is needed, without quotes` + "\n" +
				`site.toml:4: crs: found "UTM 14"; a code such as "EPSG:32614" is needed, or nothing for longitude and latitude` + "\n" +
				`site.toml:6: ground, dem: there is no file "grund.tif"; there is "ground.tif"` + "\n" +
				`site.toml:7: ground, spot_heights: "grids" is a folder; a file is needed` + "\n" +
				`site.toml:8: ground, cell: is zero; it must be more, such as "0.5 m"` + "\n" +
				`site.toml:10: soil, texture: "sandy lome" is not a soil texture; the nearest is "sandy loam", and known are sand, loamy sand, sandy loam, loam, silt loam, silt, sandy clay loam, clay loam, silty clay loam, sandy clay, silty clay and clay` + "\n" +
				`site.toml:11: soil, hydrologic_group: found "E"; one of A, B, C, D, A/D, B/D or C/D is needed` + "\n" +
				`site.toml:13: storm, rain: "-1 in" is not a depth of rain: it is below zero` + "\n" +
				`site.toml:14: storm, duration: "24" is not a length of time: use a number and a unit, such as 24 h, 90 min or 2 d`},
		{"files that are not files", "[trees]\npositions = \"http://example.org/p.csv\"\n[species]\ntable = \"/dev/null\"\n[season]\nrain = \"\"\n",
			`site.toml:2: trees, positions: there is no file "http://example.org/p.csv": its folder is not there either` + "\n" +
				`site.toml:4: species, table: "/dev/null" is not a regular file` + "\n" +
				`site.toml:6: season, rain: is empty; the name of a file is needed`},
		{"numbers that are none", "[ground]\ncell = nan\nvertical_error = inf\nerror_range = true\n[soil]\ninfiltration = 2020-01-01\nwater_table = [1, 2]\n",
			`site.toml:2: ground, cell: found NaN; a number and a unit are needed, such as "0.5 m"` + "\n" +
				`site.toml:3: ground, vertical_error: found +Inf; a number and a unit are needed, such as "5 cm"` + "\n" +
				`site.toml:4: ground, error_range: found true; a number and a unit are needed, such as "15 m"` + "\n" +
				`site.toml:6: soil, infiltration: found a date; a number and a unit are needed, such as "12 mm/h"` + "\n" +
				`site.toml:7: soil, water_table: found a list of 2; a number and a unit are needed, such as "0.9 m"`},
		{"tables that are none", "ground = \"ground.tif\"\nsoil = 3\nrow = 4\n",
			`site.toml:1: ground: found "ground.tif"; a table is needed` + "\n" + `site.toml:2: soil: found 3; a table is needed` + "\n" + `site.toml:3: row: found 4; rows are tables headed [[row]]`},
		{"one bracket", "[row]\n" + rowOK, `site.toml:1: row: a row is headed [[row]], with two brackets on each side`},
		{"rows that are none", "row = [1, \"x\"]\n", `site.toml:1: row: found 1; a row is a table headed [[row]]` + "\n" + `site.toml:1: row: found "x"; a row is a table headed [[row]]`},
		{"an empty row", "[[row]]\n" + rowOK + "[[row]]\n",
			`site.toml:5: row "B": has no line; every row needs line, spacing and pattern` + "\n" +
				`site.toml:5: row "B": has no spacing; every row needs line, spacing and pattern` + "\n" +
				`site.toml:5: row "B": has no pattern; every row needs line, spacing and pattern`},
		{"a name twice", "[[row]]\n" + rowOK + "[[row]]\nname = \"A\"\n" + rowOK, `site.toml:5: row "A": has the name of the row of line 1; every row needs its own`},
		{"lines that are none", "[[row]]\nline = [[1, 2]]\nspacing = 2\npattern = [\"x\"]\n[[row]]\nline = [[1, 2], [1, 2]]\nspacing = 2\npattern = [\"x\"]\n[[row]]\nline = [[1, 2],\n  [3, \"4\"]]\nspacing = 2\npattern = [\"x\"]\n[[row]]\nline = [1, 2, 3]\nspacing = 2\npattern = [\"x\"]\n[[row]]\nline = [[1, 2, 3], [4, 5, 6]]\nspacing = 2\npattern = [\"x\"]\n",
			`site.toml:2: row "A", line: found a list of one; two points apart from each other are needed, [[x, y], [x, y]]` + "\n" +
				`site.toml:6: row "B", line: found a list of 2; two points apart from each other are needed, [[x, y], [x, y]]` + "\n" +
				`site.toml:11: row "C", line, point 2: found "4" among the coordinates; two numbers are needed, [x, y]` + "\n" +
				`site.toml:15: row "D", line, point 1: found 1; two numbers are needed, [x, y]` + "\n" +
				`site.toml:19: row "E", line, point 1: found a list of 3; two numbers are needed, [x, y]`},
		{"metres without a system", "[[row]]\nline = [[500100.25, 3100020], [500190, 3100065]]\nspacing = 2\npattern = [\"x\"]\n",
			`site.toml:2: row "A", line, point 1: [500100.25, 3100020] is not longitude and latitude in degrees; for other coordinates give the site a crs, such as "EPSG:32614"`},
		{"coordinates off the earth", "crs = \"EPSG:32614\"\n[soil]\nwater_table = 1\nwater_table_at = [1e9, nan]\n",
			`site.toml:4: soil, water_table_at: [1000000000, NaN] is no place; no map system reaches beyond 100,000 km`},
		{"a place without a depth", "[soil]\nwater_table_at = [1, 2]\n", `site.toml:1: soil: says where the water table was seen but not how deep; give water_table too`},
		{"patterns that are none", "[[row]]\nline = [[1, 2], [3, 4]]\nspacing = 2\npattern = \"x\"\n[[row]]\nline = [[1, 2], [3, 4]]\nspacing = 2\npattern = [\"-\", \"\"]\n[[row]]\nline = [[1, 2], [3, 4]]\nspacing = 2\npattern = [\"x\",\n\n  4]\n",
			`site.toml:4: row "A", pattern: found "x"; a list of species is needed, such as ["Carya illinoinensis", "Sambucus canadensis"]` + "\n" +
				`site.toml:8: row "B", pattern: names no species; a list of species is needed, such as ["Carya illinoinensis", "Sambucus canadensis"]` + "\n" +
				`site.toml:14: row "C", pattern, entry 2: found 4; the name of a species is needed, or "-" for an empty place`},
		{"gaps that are none", "[[row]]\n" + rowOK + "gaps = [\n  [\"24 m\", \"20 m\"],\n  [\"20 m\"],\n  [\"20 m\", \"far\"],\n  5]\n",
			`site.toml:6: row "A", gaps, gap 1: ends where it begins or before, at 20.00 m; from and to are needed, such as ["20 m", "24 m"]` + "\n" +
				`site.toml:7: row "A", gaps, gap 2: found a list of one; from and to are needed, such as ["20 m", "24 m"]` + "\n" +
				`site.toml:8: row "A", gaps, gap 3: "far" is not a length: ` + length + "\n" +
				`site.toml:9: row "A", gaps, gap 4: found 5; from and to are needed, such as ["20 m", "24 m"]`},
		{"more places than can be", "crs = \"EPSG:32614\"\n[[row]]\nline = [[0, 0], [100000, 0]]\nspacing = \"1 mm\"\npattern = [\"x\"]\n",
			`site.toml:2: row "A": the rows up to this one have more than 1000000 places; is its spacing right?`},
		{"more places in degrees", "[[row]]\nline = [[0, 0], [1, 0]]\nspacing = \"1 mm\"\npattern = [\"x\"]\n",
			`site.toml:1: row "A": the rows up to this one have more than 1000000 places; is its spacing right?`},
		{"not TOML", "name = \"x\"\n[ground\ndem = 1\n", "site.toml:2: expected '.' or ']' to end table name, but got '\\n' instead"},
		{"a key twice", "name = \"x\"\n\nname = \"y\"\n", "site.toml:3: Key 'name' has already been defined"},
		{"an unclosed string", "name = \"x\n", "site.toml:1: strings cannot contain newlines"},
		{"lists without end", "name = " + strings.Repeat("[", 100000), "site.toml: nests too deep; at most 32 deep is read"},
		{"tables without end", strings.Repeat("a.", 100000) + "a = 1", "site.toml: nests too deep; at most 32 deep is read"},
		{"a large file", strings.Repeat("# no\n", 1<<18), "site.toml: is larger than 1 MiB; is this a site file?"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Read(write(t, dir, tt.text))
			assert.EqualError(t, err, tt.want)
			assert.True(t, fault.IsInput(err))
			assert.Nil(t, got)
		})
	}
}

func TestASiteFileThatIsNotThere(t *testing.T) {
	dir := folder(t)
	write(t, dir, "")
	_, err := Read(filepath.Join(dir, "sit.toml"))
	assert.EqualError(t, err, `there is no file "`+filepath.Join(dir, "sit.toml")+`"; there is "site.toml"`)
	assert.True(t, fault.IsInput(err))
	_, err = Read(dir)
	assert.EqualError(t, err, `"`+dir+`" is a folder; a file is needed`)
	_, err = Find(dir, "a\x00b")
	assert.EqualError(t, err, `"a\x00b" is not the name of a file`)
	assert.True(t, fault.IsInput(err))
}

func TestCheckSaysWhatASiteLacks(t *testing.T) {
	err := (&Site{}).Check()
	assert.EqualError(t, err, "the site: names no ground; give [ground] a dem, spot_heights or both\nthe site: names no trees; give it a [[row]], or [trees] positions")
	assert.True(t, fault.IsInput(err))
	assert.NoError(t, (&Site{Ground: Ground{SpotHeights: File{"/x", "x"}}, Trees: Trees{Positions: File{"/y", "y"}}}).Check())
}

// The table of keys that gives advice and the readers of those keys must
// agree, or a good key would be refused or a refused one advised.
func TestEveryKeyThatIsAdvisedIsRead(t *testing.T) {
	for _, table := range tables {
		heading := strings.TrimPrefix(table.where, " in ") + "\n"
		if !strings.HasPrefix(heading, "[") {
			heading = ""
		}
		_, err := parse(heading+"qqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqq = 1\n", File{Name: "site.toml"})
		require.Error(t, err)
		told, _, _ := strings.Cut(err.Error(), "\n")
		for line := range strings.Lines(err.Error()) {
			if strings.Contains(line, "known here are ") {
				told = strings.TrimSpace(line)
			}
		}
		_, known, _ := strings.Cut(told, "known here are ")
		got := strings.FieldsFunc(strings.ReplaceAll(known, " and ", ", "), func(r rune) bool { return r == ',' || r == ' ' })
		assert.ElementsMatch(t, table.keys, got, table.where)
	}
}

// flat notes every path of a decoded document.
func flat(path string, v any, visit func(string)) {
	visit(path)
	switch v := v.(type) {
	case map[string]any:
		for k, child := range v {
			flat(under(path, k), child, visit)
		}
	case []any:
		for i, child := range v {
			flat(element(path, i), child, visit)
		}
	case []map[string]any:
		for i, child := range v {
			flat(element(path, i), child, visit)
		}
	}
}

func TestLinesOfAllKindsOfKeysAndStrings(t *testing.T) {
	text := `# comment with "quotes' and [brackets
a.b = 1
"c d" = """
two
lines \" """ # 3 to 5
'e' = '''
''''   # a quote before the end
[t.u]
k = { x = 1, y = [ 1, # one
  2, { z = "}" } ] }
[[r]]
n = "#"
[[r.s]]
n = 1
[[r]]
n = 2`
	at, err := locate(text)
	require.NoError(t, err)
	for path, line := range map[string]int{
		"\x00a\x00b": 2, "\x00c d": 3, "\x00e": 6, "\x00t\x00u": 8, "\x00t\x00u\x00k\x00y\x011": 10, "\x00t\x00u\x00k\x00y\x012\x00z": 10,
		"\x00r\x010": 11, "\x00r\x010\x00n": 12, "\x00r\x010\x00s\x010\x00n": 14, "\x00r\x011": 15, "\x00r\x011\x00n": 16,
	} {
		assert.Equal(t, line, at[path], "%q", path)
	}
	var m map[string]any
	_, err = toml.Decode(text, &m)
	require.NoError(t, err)
	flat("", m, func(path string) {
		if path != "" {
			assert.Contains(t, at, path, "%q", path)
		}
	})
}

func FuzzSite(f *testing.F) {
	for _, s := range []string{
		everything, wet, "", "[[row]]\n" + rowOK, "units = \"feet\"\n[[row]]\nline=[[-99,28],[-99,28.001]]\nspacing=7.5\npattern=[\"x\"]\ngaps=[[1,2]]\n",
		"a = \"\\", "[[a]]\n[a.b]\n[[a]]\nb.c = 1", "row = [{name = \"x\"}, 3]", "ground.cell = 1\nground.\"cel l\" = '''\n'''", "x = [[[[[[", "crs=1\n[soil]\nwater_table_at=[1,2]",
	} {
		f.Add(s)
	}
	dir := folder(f)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := parse(text, File{filepath.Join(dir, "site.toml"), "site.toml"})
		if err != nil {
			assert.Nil(t, s)
			assert.True(t, fault.IsInput(err))
			assert.Regexp(t, `^site\.toml(:[0-9]+)?: `, err.Error())
			return
		}
		total := 0.0
		for _, r := range s.Rows {
			assert.NotEmpty(t, r.Name)
			assert.Positive(t, r.Spacing)
			assert.GreaterOrEqual(t, len(r.Line), 2)
			assert.NotEmpty(t, r.Pattern)
			for _, g := range r.Gaps {
				assert.Less(t, g[0], g[1])
			}
			if s.CRS != "" {
				total += planting.Places(planting.Length(r.Line)*0.3048, r.Spacing)
			}
		}
		assert.LessOrEqual(t, total, float64(planting.MaxPositions))
		// Whatever reads well has a line for every key.
		var m map[string]any
		_, err = toml.Decode(strings.TrimPrefix(text, "\ufeff"), &m)
		assert.NoError(t, err)
		at, err := locate(strings.TrimPrefix(text, "\ufeff"))
		assert.NoError(t, err)
		flat("", m, func(path string) {
			if path != "" {
				assert.Contains(t, at, path, "%q", path)
			}
		})
	})
}

func TestOriginTakesTapedCoordinates(t *testing.T) {
	const file = `units = "feet"
origin = [-99.25, 29.5]
[ground]
spot_heights = "levels.csv"
[[row]]
line = [[10, 20], [210, 20]]
spacing = 15
pattern = ["Ficus carica"]
`
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "levels.csv"), []byte("x_ft,y_ft,z_ft\n"), 0o644))
	path := filepath.Join(dir, "site.toml")
	require.NoError(t, os.WriteFile(path, []byte(file), 0o644))
	s, err := Read(path)
	require.NoError(t, err)
	require.NotNil(t, s.Origin)
	assert.Equal(t, orb.Point{-99.25, 29.5}, *s.Origin)
	assert.InDeltaSlice(t, []float64{3.048, 6.096}, s.Rows[0].Line[0][:], 1e-9)
	assert.InDelta(t, 4.572, s.Rows[0].Spacing, 1e-9)

	require.NoError(t, os.WriteFile(path, []byte("crs = \"EPSG:32614\"\n"+file), 0o644))
	_, err = Read(path)
	assert.ErrorContains(t, err, "site.toml:3: origin: a site has either a crs or an origin")
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(file, "[-99.25, 29.5]", "[500100, 29.5]", 1)), 0o644))
	_, err = Read(path)
	assert.ErrorContains(t, err, "site.toml:2: origin: [500100, 29.5] is not longitude and latitude in degrees; for other coordinates")
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(file, "[-99.25, 29.5]", "[29.5, -99.25]", 1)), 0o644))
	_, err = Read(path)
	assert.ErrorContains(t, err, "site.toml:2: origin: [29.5, -99.25] is not longitude and latitude in degrees; they look swapped: longitude comes first")
}
