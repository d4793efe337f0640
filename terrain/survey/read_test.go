package survey

import (
	"errors"
	"io"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func read(t testing.TB, text string) *Table {
	t.Helper()
	table, err := ReadShots(strings.NewReader(text), "survey.csv")
	require.NoError(t, err)
	return table
}

func TestReadShots(t *testing.T) {
	one := func(x, y, z float64) []Shot { return []Shot{{Point: orb.Point{x, y}, Z: z, Line: 2}} }
	for _, tt := range []struct {
		name, text string
		want       []Shot
	}{
		{"plain", "x,y,z\n500100.5,3100020,12.34\n", one(500100.5, 3100020, 12.34)},
		{"columns in another order and case", "Elevation,NORTHING,Easting\n12.34,3100020,500100.5\n", one(500100.5, 3100020, 12.34)},
		{"byte order mark and carriage returns", "\ufeffx,y,z\r\n500100.5,3100020,12.34\r\n", one(500100.5, 3100020, 12.34)},
		{"carriage returns alone", "x,y,z\r500100.5,3100020,12.34\r", one(500100.5, 3100020, 12.34)},
		{"no line end at the end", "x,y,z\n500100.5,3100020,12.34", one(500100.5, 3100020, 12.34)},
		{"semicolons and decimal commas", "x;y;z\n500100,5;3100020;12,34\n", one(500100.5, 3100020, 12.34)},
		{"semicolons and decimal points", "x;y;z\n500100.5;3100020;12.34\n", one(500100.5, 3100020, 12.34)},
		{"tabs and spaces", "x\ty\tz\n 500100.5 \t3100020\t 12.34\n", one(500100.5, 3100020, 12.34)},
		{"quoted values", "\"x\",\"y\",\"z\"\n\"500100.5\",\"3100020\",\"12.34\"\n", one(500100.5, 3100020, 12.34)},
		{"bare separators at the ends of rows", "x,y,z,,\n500100.5,3100020,12.34,,\n,,,,\n", one(500100.5, 3100020, 12.34)},
		{"a plus sign and an exponent", "x,y,z\n+5.001005e5,3.10002E6,12.34\n", one(500100.5, 3100020, 12.34)},
		{"centimetres", "x,y,z_cm\n500100.5,3100020,1234\n", one(500100.5, 3100020, 12.34)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table := read(t, tt.text)
			assert.False(t, table.LonLat)
			require.Len(t, table.Shots, 1)
			got := table.Shots[0]
			assert.Equal(t, tt.want[0].Point, got.Point)
			assert.InDelta(t, tt.want[0].Z, got.Z, 1e-12)
			assert.Equal(t, 2, got.Line)
			assert.Empty(t, table.Remarks)
		})
	}
}

func TestReadShotsKeepsNamesErrorsAndTheRest(t *testing.T) {
	table := read(t, `# shot with a laser level, 3 March
name;x;y;z;sd_cm;code;note

# the bed
P1;1;2;3,5;1,5;bed;"first; with ""care"""
P2;4;5;6;;path;
`)
	assert.Equal(t, []string{"code", "note"}, table.Columns)
	assert.Equal(t, []Shot{
		{Point: orb.Point{1, 2}, Z: 3.5, Error: 0.015, Name: "P1", Line: 5, Extra: []string{"bed", `first; with "care"`}},
		{Point: orb.Point{4, 5}, Z: 6, Name: "P2", Line: 6, Extra: []string{"path", ""}},
	}, table.Shots)
}

func TestReadShotsInDegrees(t *testing.T) {
	table := read(t, "Latitude,Longitude,Height (m)\n36.25,-81.5,700\n")
	assert.True(t, table.LonLat)
	assert.Equal(t, orb.Point{-81.5, 36.25}, table.Shots[0].Point)
	assert.Equal(t, 700.0, table.Shots[0].Z)

	both := read(t, "x,y,z,lon,lat\n1,2,3,-81.5,36.25\n")
	assert.False(t, both.LonLat)
	assert.Equal(t, []string{"lon", "lat"}, both.Columns)
	assert.Equal(t, []string{"-81.5", "36.25"}, both.Shots[0].Extra)
	assert.Equal(t, []string{"the table has x,y and lon,lat: x,y are used, lon,lat are kept as text"}, both.Remarks)
}

// NIST Special Publication 811 (2008), appendix B.6 and B.8: the international
// foot is 0.3048 m, the inch 2.54 cm and the yard 0.9144 m exactly, the US
// survey foot 1200/3937 m exactly, printed as 0.3048006 m.
func TestUnitsOfColumns(t *testing.T) {
	for _, tt := range []struct {
		column string
		metres float64
	}{
		{"z", 1}, {"z_m", 1}, {"Z [m]", 1}, {"elevation (metres)", 1}, {"height_cm", 0.01}, {"z_mm", 0.001},
		{"z_ft", 0.3048}, {"Elev (ft)", 0.3048}, {"z feet", 0.3048}, {"z_in", 0.0254}, {"alt_yd", 0.9144},
		{"z_usft", 1200.0 / 3937}, {"z_us_ft", 1200.0 / 3937}, {"ELEV_FTUS", 1200.0 / 3937},
		{"height (US survey feet)", 1200.0 / 3937},
	} {
		table := read(t, "x,y,"+tt.column+"\n0,0,1000\n")
		assert.InDelta(t, 1000*tt.metres, table.Shots[0].Z, 1e-12, "%s", tt.column)
	}
	survey := read(t, "x,y,z_usft\n0,0,1\n").Shots[0].Z
	assert.InDelta(t, 0.3048006, survey, 5e-8)
	// A mix-up of the two feet moves a state-plane easting of 2,000,000 ft by
	// 1.219202 m (worked from the two definitions).
	feet := read(t, "x_usft,y_ft,z\n2000000,2000000,1\n").Shots[0].Point
	assert.InDelta(t, 1.219202, feet[0]-feet[1], 1e-6)
}

// Every kind of bad file, and what is said about it.
// A value of a table may carry its own unit, whatever that of its column is. 1 ft
// is 0.3048 m and 1 in 0.0254 m exactly, so 32' 9 3/4" is 9.7536 m + 0.24765 m.
func TestValuesThatCarryTheirUnit(t *testing.T) {
	table := read(t, "x_ft,y_ft,z_ft\n10,24' 6\",32' 9 3/4\"\n3 m,5,\"32\u2032 9.75\u2033\"\n0,0,-2 ft\n")
	assert.InDelta(t, 3.048, table.Shots[0].Point[0], 1e-12)
	assert.InDelta(t, 7.4676, table.Shots[0].Point[1], 1e-12)
	assert.InDelta(t, 10.00125, table.Shots[0].Z, 1e-12)
	assert.InDelta(t, 3, table.Shots[1].Point[0], 1e-12)
	assert.InDelta(t, 10.00125, table.Shots[1].Z, 1e-12)
	assert.InDelta(t, -0.6096, table.Shots[2].Z, 1e-12)
	_, err := ReadShots(strings.NewReader("lon,lat,z\n-99 ft,29.5,1\n"), "survey.csv")
	assert.ErrorContains(t, err, `lon: "-99 ft" is not a plain number`)
}

func TestBadFilesAreExplained(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "survey.csv: the file is empty; needed are a line that names the columns, x,y,z or lon,lat,z, and a line for each shot"},
		{"remarks alone", "# nothing here\n\n", "survey.csv: the file is empty; needed are a line that names the columns, x,y,z or lon,lat,z, and a line for each shot"},
		{"header alone", "x,y,z\n", "survey.csv: found no shots under the header; one line each is needed"},
		{"no header", "500100,3100020,12.3\n", "survey.csv, line 1: found numbers where the columns are to be named, as x,y,z or lon,lat,z"},
		{"no height", "x,y,depth\n1,2,3\n", "survey.csv, line 1: no column of z among x,y,depth; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft"},
		{"latitude without longitude", "lat,z\n1,2\n", "survey.csv, line 1: no column of lon among lat,z; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft"},
		{"an unknown unit", "x,y,z_cubits\n1,2,3\n", `survey.csv, line 1, z_cubits: "cubits" is not a unit known here; units are m, cm, mm, km, ft, in, yd, usft (US survey foot)
survey.csv, line 1: no column of z among x,y,z_cubits; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft`},
		{"two heights", "x,y,z,elev_ft\n1,2,3,4\n", `survey.csv, line 1, elev_ft: is a second column of z beside "z"; keep one, or give this one another name`},
		{"columns divided by spaces", "x y z\n1 2 3\n", `survey.csv, line 1: found the one column "x y z"; the first line names the columns, x,y,z or lon,lat,z, divided by commas, semicolons or tabs`},
		{"two separators in the header", "x;y,z\n1;2;3\n", "survey.csv, line 1: found commas and semicolons between the columns; use one kind throughout"},
		{"another separator further down", "x,y,z\n1,2,3\n4;5;6\n", "survey.csv, line 3: semicolons between values, but commas in the header; use one kind throughout"},
		{"commas under semicolons", "x;y;z\n1,2,3\n", "survey.csv, line 2: commas between values, but semicolons in the header; use one kind throughout"},
		{"decimal commas in a file of commas", "x,y,z\n500100,5,3100020,0,12,3\n", "survey.csv, line 2: 6 values where the header names 3 columns; decimal commas need columns divided by semicolons or tabs"},
		{"a quoted decimal comma in a file of commas", "x,y,z\n1,2,\"12,3\"\n", `survey.csv, line 2, z: "12,3" is not a plain number such as 12.34`},
		{"decimal commas and points", "x;y;z\n1;2;3,5\n4;5;6.5\n", `survey.csv, line 3, z: "6.5" has a decimal point, but line 2 a decimal comma; use one throughout`},
		{"thousands set apart", "x;y;z\n500.100,5;2;3\n", `survey.csv, line 2, x: "500.100,5" is not a plain number such as 12.34`},
		{"a value missing", "x,y,z\n1,2\n", "survey.csv, line 2: 2 values where the header names 3 columns"},
		{"a quote not closed", "x,y,z,note\n1,2,3,\"oops\n", "survey.csv, line 2: a double quote is not closed on its line"},
		{"a quote not closed in the header", "x,y,z,\"note\n1,2,3,4\n", "survey.csv, line 1: a double quote is not closed on its line"},
		{"text, nothing, NaN and Inf for numbers", "x,y,z\nabc,2,3\n1,,3\n1,2,NaN\n1,-Inf,3\n0x10,2,3\n1_0,2,3\n", `survey.csv, line 2, x: "abc" is not a plain number such as 12.34
survey.csv, line 3, y: is empty, not a plain number such as 12.34
survey.csv, line 4, z: "NaN" is not a plain number such as 12.34
survey.csv, line 5, y: "-Inf" is not a plain number such as 12.34
survey.csv, line 6, x: "0x10" is not a plain number such as 12.34
survey.csv, line 7, x: "1_0" is not a plain number such as 12.34`},
		{"a number beyond all numbers", "x,y,z\n1,2,1e999\n", `survey.csv, line 2, z: "1e999" is not a plain number such as 12.34`},
		{"impossible heights and places", "x,y,z_ft\n1,2,98000\n1e12,2,3\n", `survey.csv, line 2, z_ft: "98000" is not a height between -1000 and 9000 m
survey.csv, line 3, x: "1e12" is not a coordinate between -1e8 and 1e8 m`},
		{"an error of nothing", "x,y,z,error_cm\n1,2,3,0\n4,5,6,-1\n", `survey.csv, line 2, error_cm: "0" is not an error above 0 and up to 100 m; leave it empty where it is not known
survey.csv, line 3, error_cm: "-1" is not an error above 0 and up to 100 m; leave it empty where it is not known`},
		{"longitude and latitude swapped", "lon,lat,z\n36.25,-101.5,700\n36.26,-101.6,701\n", `survey.csv, line 2, lat: "-101.5" is not a latitude, -90 to 90 degrees
survey.csv, line 3, lat: "-101.6" is not a latitude, -90 to 90 degrees
lon and lat look swapped: the header is to read lat,lon if latitude comes first`},
		{"metres called degrees", "lon,lat,z\n500100,45,700\n", `survey.csv, line 2, lon: "500100" is not a longitude, -180 to 180 degrees`},
		{"one place, two heights", "x,y,z\n1,2,12.00\n5,5,12\n1,2,12.50\n", "survey.csv, line 4: height 12.500 m at the place where line 2 has 12.000 m: more than 3 times their error apart; correct one or leave it out"},
		{"another kind of file", "\x89PNG\r\n\x1a\n\x00\x00\x00", `survey.csv, line 1: found the one column "` + "\ufffd" + `PNG"; the first line names the columns, x,y,z or lon,lat,z, divided by commas, semicolons or tabs`},
		{"a file with zero bytes", "x,y,z\x00\n", "survey.csv, line 1: this is not plain text; save the table as CSV in UTF-8"},
		{"text of two bytes a letter", "\xff\xfex\x00,\x00", "survey.csv, line 1: this is not plain text; save the table as CSV in UTF-8"},
		{"an endless line", "x,y,z\n1,2,3\n" + strings.Repeat("9", maxLine+1), "survey.csv, line 3: the line is longer than 65536 bytes; is this a table of spot heights?"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table, err := ReadShots(strings.NewReader(tt.text), "survey.csv")
			require.EqualError(t, err, tt.want)
			assert.Nil(t, table)
			assert.ErrorIs(t, err, ErrInput)
			file, ok := errors.AsType[*FileError](err)
			require.True(t, ok)
			assert.NotEmpty(t, file.Mistakes)
		})
	}
}

func TestManyMistakesAreCounted(t *testing.T) {
	_, err := ReadShots(strings.NewReader("x,y,z\n"+strings.Repeat("1,2,three\n", 57)), "survey.csv")
	told := strings.Split(err.Error(), "\n")
	require.Len(t, told, 21)
	assert.Equal(t, `survey.csv, line 21, z: "three" is not a plain number such as 12.34`, told[19])
	assert.Equal(t, "and 37 more mistakes like these", told[20])
}

func TestRepeatsAreSettled(t *testing.T) {
	t.Run("a shot written twice is kept once", func(t *testing.T) {
		table := read(t, "x,y,z\n1,2,3\n4,5,6\n1,2,3.000\n1,2,3\n")
		assert.Equal(t, []Shot{{Point: orb.Point{1, 2}, Z: 3, Line: 2}, {Point: orb.Point{4, 5}, Z: 6, Line: 3}}, table.Shots)
		assert.Equal(t, []string{"line 4 repeats the shot of line 2: kept once", "line 5 repeats the shot of line 2: kept once"}, table.Remarks)
	})
	t.Run("heights that agree are averaged", func(t *testing.T) {
		table := read(t, "x,y,z\n1,2,3.00\n1,2,3.06\n1,2,3.03\n")
		require.Len(t, table.Shots, 1)
		assert.InDelta(t, 3.03, table.Shots[0].Z, 1e-12)
		assert.Zero(t, table.Shots[0].Error)
		assert.Equal(t, []string{"lines 2, 3 and 4 have heights for one place that agree within 3 times their error: averaged to 3.030 m"}, table.Remarks)
	})
	t.Run("weighed by their errors", func(t *testing.T) {
		table := read(t, "x,y,z,error\n1,2,3.0,0.1\n1,2,3.3,0.2\n")
		assert.InDelta(t, 3.06, table.Shots[0].Z, 1e-12) // weights 100 and 25
		assert.InDelta(t, 0.0894427191, table.Shots[0].Error, 1e-9)
	})
	t.Run("many are told in short", func(t *testing.T) {
		table := read(t, "x,y,z\n"+strings.Repeat("1,2,3\n", 30))
		require.Len(t, table.Remarks, 11)
		assert.Equal(t, "and 19 more like this", table.Remarks[10])
	})
}

func TestPlacesThatLookLikeDegreesAreTold(t *testing.T) {
	table := read(t, "x,y,z\n-81.5000,36.2500,700\n-81.4990,36.2502,701\n-81.4995,36.2510,702\n")
	assert.Equal(t, "x and y look like degrees: all 3 shots lie within 0.0010 by 0.0010 of each other", table.LooksLikeDegrees())
	assert.Empty(t, read(t, "x,y,z\n0,0,1\n10,0,2\n0,10,3\n").LooksLikeDegrees(), "a local system of metres")
	assert.Empty(t, read(t, "lon,lat,z\n-81.5,36.25,1\n-81.499,36.25,2\n-81.5,36.251,3\n").LooksLikeDegrees(), "degrees, and said to be")
}

func TestReadShotsStopsAtItsLimits(t *testing.T) {
	if testing.Short() {
		t.Skip("reads millions of shots")
	}
	t.Run("rows", func(t *testing.T) {
		rows := io.MultiReader(strings.NewReader("x,y,z\n"), &repeat{row: func(i int) string { return strconv.Itoa(i) + ",2,3\n" }, n: maxRows + 5})
		_, err := ReadShots(rows, "survey.csv")
		require.EqualError(t, err, "survey.csv, line 1000002: more than 1000000 shots; thin them, or cut the file in parts")
	})
	t.Run("bytes", func(t *testing.T) {
		remark := "# " + strings.Repeat("x", 60_000) + "\n"
		_, err := ReadShots(io.MultiReader(strings.NewReader("x,y,z\n"), &repeat{row: func(int) string { return remark }, n: 5000}), "survey.csv")
		require.EqualError(t, err, "survey.csv: the file is larger than 256 MiB")
	})
	t.Run("columns", func(t *testing.T) {
		_, err := ReadShots(strings.NewReader("x,y,z"+strings.Repeat(",a", 300)+"\n"), "survey.csv")
		require.EqualError(t, err, "survey.csv, line 1: 303 columns; at most 200 are read")
	})
}

// repeat is a long file that is made as it is read.
type repeat struct {
	row   func(i int) string
	n, at int
	rest  string
}

func (r *repeat) Read(p []byte) (int, error) {
	if r.rest == "" {
		if r.at == r.n {
			return 0, io.EOF
		}
		r.rest = r.row(r.at)
		r.at++
	}
	n := copy(p, r.rest)
	r.rest = r.rest[n:]
	return n, nil
}

// A disk that fails is the machine's fault and not the file's.
func TestReadErrorIsNotTheFilesFault(t *testing.T) {
	broken := errors.New("disk on fire")
	_, err := ReadShots(io.MultiReader(strings.NewReader("x,y,z\n1,2,abc\n"), iotest.ErrReader(broken)), "survey.csv")
	require.EqualError(t, err, "survey.csv: disk on fire")
	assert.ErrorIs(t, err, broken)
	assert.NotErrorIs(t, err, ErrInput)
}
