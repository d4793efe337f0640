package fieldbook

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain/survey"
)

// refused is what a book is refused with.
func refused(t testing.TB, text string) error {
	t.Helper()
	b, err := Read(strings.NewReader(text), "book.csv")
	if err == nil {
		_, err = b.Reduce(Options{})
	}
	require.Error(t, err, "%s", text)
	require.ErrorIs(t, err, ErrInput)
	require.ErrorIs(t, err, survey.ErrInput)
	return err
}

const levelHead = "point,bs,is,fs,level,along,offset,x,y,lon,lat\n"

func TestBadBooksAreRefusedInPlainWords(t *testing.T) {
	for name, tt := range map[string]struct{ text, want string }{
		"an empty file":                       {"", "found no sheet"},
		"columns and no rows":                 {"point,bs,is,fs,level\n", "found no rows"},
		"a spreadsheet saved as such":         {"PK\x03\x04rest", "save the sheet as CSV"},
		"bytes that are no text":              {"point,bs\xff\n", "not plain text"},
		"a line that names no columns":        {"4.52,3.11,2.00\n1,2,3\n", "names no columns"},
		"an unclosed line":                    {levelHead + "BM,1.5,,,10\nT1,1.4,,1.2,\nT2,1.1,,1.3,\nG,,,1.0,\n", "book.csv, line 5: an unclosed line: the line from BM ends on G (line 5) and closes on nothing (set-ups 1 to 3)"},
		"a fore sight before a back sight":    {levelHead + "BM,,,1.5,10\nT1,1.4,,1.2,\nBM,,,1.3,10\n", "line 2: a fore sight before a back sight"},
		"an intermediate sight first":         {levelHead + "G,,1.5,,\nBM,1.4,,,10\nBM,,,1.4,10\n", "line 2: an intermediate sight before a back sight"},
		"back and fore sights swapped":        {levelHead + "BM,,,1.5,10\nT1,1.2,,1.4,\nBM,1.3,,,\n", "bs and fs look swapped"},
		"a reading beyond the staff":          {levelHead + "BM,1.5,,,10\nG,,5.2,,\nBM,,,1.5,10\n", `line 3, is: "5.2" is 5.20 m, beyond the end of a staff of 5.00 m`},
		"levels typed where readings belong":  {levelHead + "BM,100.00,,,1.5\nG,,99.2,,\nBM,,,100,1.5\n", "columns look swapped"},
		"an impossible height":                {levelHead + "BM,1.5,,,12000\nG,,1,,\nBM,,,1.5,12000\n", "impossible height"},
		"one point":                           {"sheet: laser\ninstrument height: 10\npoint,reading\nG,1\n", "1 point with a height"},
		"no known level":                      {levelHead + "A,1.5,,,\nB,,,1.2,\n", "hangs on no known level"},
		"one name with two heights":           {"sheet: laser\ninstrument height: 10\npoint,reading\nG,1\nH,1.2\nG,1.5\n", "book.csv, line 6, point: G comes to 8.500 m, but to 9.000 m on line 4"},
		"two levels of one benchmark":         {levelHead + "BM,1.5,,,10\nG,,1.2,,\nBM,,,1.5,10.5\n", "a benchmark has one level"},
		"a bearing out of range":              {"sheet: points\npoint,x,y\nA,0,0\nbase: r, from A, bearing 400\n", "a whole circle is 0 to 360"},
		"a quadrant bearing out of range":     {"sheet: points\npoint,x,y\nA,0,0\nbase: r, from A, bearing N 95 E\n", "0 to 90 degrees"},
		"an offset without its side":          {"base: r, from A, bearing 0\npoint,along,offset\nG,5,3.2\n", "without its side"},
		"an unknown base point":               {"base: r, from A, bearing 0\npoint,along,offset\nG,5,3.2 L\n", `base: "A" is no point with a known position`},
		"an unknown second base point":        {"sheet: points\npoint,x,y\nA,0,0\nsheet: tape\nbase: r, from A, to Q\npoint,along,offset\nG,5,3.2 L\n", `"Q" is no point`},
		"a tape without a base line":          {"sheet: tape\npoint,along,offset\nG,5,3.2 L\n", "no base line"},
		"a base line from a point to itself":  {"base: r, from A, to a\npoint,along,offset\nG,5,3.2 L\n", "has no direction"},
		"an offset to both sides":             {"sheet: tape\nbase: r, from A, bearing 0\npoint,along,left,right\nG,5,1,2\n", "one side of the base line"},
		"a point taped to two places":         {"sheet: points\npoint,x,y,level\nA,0,0,1\nB,10,0,2\nsheet: tape\nbase: r, from A, to B\npoint,along,offset\nB,9,0\n", "B lies 1.00 m from where line 4 has it"},
		"degrees and metres in one book":      {"sheet: points\npoint,x,y\nA,0,0\nsheet: gnss\nheights: orthometric\npoint,lon,lat,height\nG,-96,29,10\nH,-96.1,29,10\n", "a book keeps to one of them"},
		"lon and lat swapped":                 {"heights: orthometric\npoint,lon,lat,height\nG,29.1,-96.4,10\nH,29.2,-96.5,10\n", "lon and lat look swapped"},
		"ellipsoidal heights among others":    {"point,lon,lat,ellipsoidal height\nG,-96,29,10\nsheet: laser\ninstrument height: 10\npoint,reading\nA,1\nB,2\n", "ellipsoidal heights"},
		"a fix nobody knows":                  {"heights: orthometric\npoint,lon,lat,height,fix\nG,-96,29,10,wobbly\n", `"wobbly" is not a kind of fix`},
		"an unknown directive":                {"unit: ft\n" + levelHead, `"unit:" is no directive`},
		"an unknown unit":                     {"units: cubits\n" + levelHead, "is not a unit: m, cm, mm, ft, in or usft"},
		"an unknown kind of sheet":            {"sheet: theodolite\n", "is not a kind of sheet"},
		"a sheet without its columns":         {"sheet: laser\npoint,along\nG,1\n", "a laser sheet needs a column reading"},
		"two columns of one thing":            {"point,bs,bs,fs,level\nA,1,1,1,1\n", "is a second column of bs"},
		"a reading that is no number":         {levelHead + "BM,1.5x,,,10\nBM,,,1.5,10\n", `line 2, bs: "1.5x" is not a length`},
		"a decimal comma between commas":      {levelHead + "BM,\"1,5\",,,10\nBM,,,1.5,10\n", "without commas"},
		"decimal commas and points mixed":     {"point;bs;fs;level\nBM;1,5;;10\nBM;;1.5;10\n", "a decimal point, but line 2 a decimal comma"},
		"two back sights from one set-up":     {levelHead + "BM,1.5,,,10\nA,1.4,,,\nBM,,,1.5,10\n", "a second back sight"},
		"a set-up with one reading":           {levelHead + "BM,1.5,,,10\n", "a reading is missing"},
		"two readings in one row":             {levelHead + "BM,1.5,1.2,,10\nBM,,,1.5,10\n", "a row holds one reading"},
		"a row without a reading":             {levelHead + "BM,1.5,,,10\nG,,,,,\nBM,,,1.5,10\n", "no reading"},
		"an order by length and no length":    {"order: third\n" + levelHead + "BM,1.5,,,10\nA,1.4,,1.5,\nBM,,,1.4,10\n", "needs the length levelled"},
		"half a position":                     {levelHead + "BM,1.5,,,10,,,5,\nBM,,,1.5,10\n", "half a position"},
		"a laser without a benchmark":         {"point,reading\nG,1\nH,1.2\n", "no benchmark is read"},
		"a laser that moved":                  {"point,reading,level\nBM,1,10\nG,1.1,\nBM,1.2,10\n", "line 4, reading: BM puts the plane of this set-up 0.200 m higher"},
		"a water level without a home":        {"point,home,reading\nG,1,1.2\n", "no home: line"},
		"a home nobody knows":                 {"sheet: water\nhome: Q\npoint,home,reading\nG,1,1.2\n", `"Q" has no known level`},
		"a grade without cut and fill":        {"sheet: laser\ngrade: 10\npoint,reading\nG,1\n", "goes with reads: cut/fill"},
		"a sloped tape shorter than its rise": {"sheet: points\npoint,x,y,level\nA,0,0,10\nsheet: laser\ninstrument height: 12\ntape: sloped\nbase: r, from A, bearing 0\npoint,reading,along,offset\nG,1,0.5,0\nH,1,5,0\n", "cannot rise"},
		"shots in one place at two heights":   {"sheet: laser\ninstrument height: 12\npoint,reading,x,y\nG,1,5,5\nH,2,5,5\n", "in the very place"},
	} {
		t.Run(name, func(t *testing.T) {
			assert.ErrorContains(t, refused(t, tt.text), tt.want)
		})
	}
}

func TestAllMistakesAreToldAtOnceByPageAndLine(t *testing.T) {
	err := refused(t, `units: m
point,bs,is,fs,level,page
BM,1.5,,,10,1
G1,,many,,,1
G2,,9.3,,,2
G3,,-1,,,2
BM,,,1.5,20000,3
`)
	var file *survey.FileError
	require.True(t, errors.As(err, &file))
	var at []string
	for _, m := range file.Mistakes {
		at = append(at, strings.SplitN(m.Error(), ": ", 2)[0])
	}
	assert.Equal(t, []string{"book.csv, line 4, page 1, is", "book.csv, line 5, page 2, is", "book.csv, line 6, page 2, is", "book.csv, line 7, page 3, level"}, at)
}

// A round of four set-ups over a flat bed; one figure is spoilt.
const flatLoop = `point,bs,is,fs,level
BM,1.482,,,10
G1,,1.512,,
G2,,1.505,,
T1,1.377,,1.498,
G3,,1.391,,
G4,,1.402,,
T2,1.526,,1.385,
G5,,1.540,,
G6,,1.533,,
T3,1.436,,1.529,
G7,,1.420,,
BM,,,1.410,
`

func TestTheReadingMostLikelyWrong(t *testing.T) {
	reduced(t, flatLoop)
	for name, tt := range map[string]struct {
		was, is string
		setUp   int
		why     string
	}{
		"a back sight a metre too high":     {"T2,1.526,", "T2,2.526,", 3, "a round metre"},
		"a fore sight a metre too low":      {",,1.498,", ",,0.498,", 1, "a round metre"},
		"a fore sight a decimetre too high": {",,1.529,", ",,1.629,", 3, "a round decimetre"},
		"digits exchanged":                  {"T1,1.377,,1.498,", "T1,1.737,,1.498,", 2, "two digits exchanged, 1.737 for 1.377?"},
		"feet read as metres":               {"T2,1.526,", "T2,5.007 m,", 3, "beyond the end"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(flatLoop, tt.was, tt.is, 1)
			require.NotEqual(t, flatLoop, text)
			err := refused(t, text)
			var miss *MisclosureError
			if !errors.As(err, &miss) {
				assert.ErrorContains(t, err, tt.why)
				return
			}
			assert.Equal(t, tt.setUp, miss.Suspects[0].SetUp, "%v", err)
			assert.Contains(t, miss.Suspects[0].Why, tt.why, "%v", err)
			t.Log("\n" + err.Error())
		})
	}
}

func TestFixesOfPoorQualityAreLeftOutAndSaid(t *testing.T) {
	r := reduced(t, `heights: orthometric
point,lon,lat,height,vertical error,fix
A,-96.4,29.1,10,0.02,fixed
B,-96.4,29.2,10,0.25,fixed
C,-96.4,29.3,10,,single
D,-96.4,29.4,10,0.06,float
E,-96.4,29.5,10,,
`)
	var names []string
	for _, s := range r.Shots {
		names = append(names, s.Name)
	}
	assert.Equal(t, []string{"A", "D", "E"}, names)
	remarks := strings.Join(r.Remarks, "\n")
	assert.Contains(t, remarks, "B and C: left out")
	assert.Contains(t, remarks, "D: kept, though the fix is not a fixed one")
	assert.Zero(t, r.Shots[2].Error)
}

func TestTheGrowersOwnLevelsAreHeldAgainstTheReadings(t *testing.T) {
	r := reduced(t, "point,bs,is,fs,level,rl\nBM,1.5,,,10,10\nG,,1.2,,,10.40\nH,,1.3,,,10.20\nBM,,,1.5,,10\n")
	assert.Contains(t, strings.Join(r.Remarks, "\n"), "line 3: the book has a reduced level of 10.400 m for G, these readings give 10.300 m")
	assert.NotContains(t, strings.Join(r.Remarks, "\n"), "for H")
}

func TestCutAndFillUpAndDown(t *testing.T) {
	r := reduced(t, "sheet: laser\nreads: cut/fill\ngrade: 100.00\npoint,reading\nA,C 0.12\nB,F 0.05\nC,0.03\nD,-0.03\nE,fill 2\"\n")
	got := levels(r)
	for name, want := range map[string]float64{"A": 100.12, "B": 99.95, "C": 100.03, "D": 99.97, "E": 100 - 0.0508} {
		assert.InDelta(t, want, got[name], 1e-9, name)
	}
	r = reduced(t, "sheet: laser\nreads: up\npoint,reading,level\nBM,1.2,50\nA,1.5,\n")
	assert.InDelta(t, 50.3, levels(r)["A"], 1e-9)
}

func TestSlopedTape(t *testing.T) {
	// A 3-4-5 triangle: 5 m up the slope, 3 m of rise, 4 m on the map.
	r := reduced(t, "sheet: points\npoint,x,y,level\nA,0,0,10\nsheet: laser\nstaff: 5 m\ntape: sloped\nbase: r, from A, bearing E\ninstrument height: 14\npoint,reading,along,offset\nG,1,5,0\nH,4,2,0\n")
	assert.InDelta(t, 4, r.Shots[0].Point[0], 1e-12)
	assert.InDelta(t, 2, r.Shots[1].Point[0], 1e-12)
}
