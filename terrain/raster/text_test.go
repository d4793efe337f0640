package raster

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// saveText puts a text in a folder of the test.
func saveText(t testing.TB, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// Check N11: an Esri ASCII grid read back through GDAL 3.6.2, and the same
// grid by the middle of its corner cell. It has two rows, one less than Open
// takes, so the door behind it is asked.
func TestGeoreferenceOfATextGrid(t *testing.T) {
	for _, file := range []string{"corner.asc", "centre.asc"} {
		t.Run(file, func(t *testing.T) {
			s, err := enter("../../testdata/rasters/"+file, Options{})
			require.NoError(t, err)
			defer s.Close()
			s.clean.unit = 1
			pl := &place{rows: s.rows, cols: s.cols, gt: s.gt}
			p := &plan{}
			require.NoError(t, p.copyWindow(pl, 10))
			z, err := copyCells(s, p)
			require.NoError(t, err)
			assert.Equal(t, [2]float64{500005, 4000015}, [2]float64(z.Centre(0, 0)))
			assert.Equal(t, [2]float64{500025, 4000005}, [2]float64(z.Centre(1, 2)))
			assert.Equal(t, []float32{1, 2, 3, 4, -1, 6}, cellsOf(z))
		})
	}
}

// Check N10: keywords in any case, line breaks without meaning, -9999 for a
// void unless said otherwise.
func TestFormsOfATextGrid(t *testing.T) {
	const head = "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 2\n"
	want := []float32{1, 2, 3, 4, -1, 6, 7, 8, 9}
	for name, text := range map[string]string{
		"plain":                       head + "1 2 3\n4 -9999 6\n7 8 9\n",
		"capitals":                    strings.ToUpper(head) + "1 2 3\n4 -9999 6\n7 8 9\n",
		"all values on one line":      head + "1 2 3 4 -9999 6 7 8 9",
		"one value a line":            head + "1\n2\n3\n4\n-9999\n6\n7\n8\n9\n\n\n",
		"Windows line ends and tabs":  strings.ReplaceAll(head, "\n", "\r\n") + "1\t2\t3\r\n4\t-9999\t6\r\n7\t8\t9\r\n",
		"its own void":                head + "NODATA_value -1\n1 2 3\n4 -1.000 6\n7 8 9\n",
		"a void of NaN":               head + "NODATA_value nan\n1 2 3\n4 nan 6\n7 8 9\n",
		"NaN though it says a number": head + "NODATA_value -1\n1 2 3\n4 NaN 6\n7 8 9\n",
		"decimals":                    head + "1.0 2. +3\n4e0 -9999.0 .6e1\n70e-1 8.000000000000000000 9\n",
		"decimal commas":              head + "1,0 2,0 3,0\n4,0 -9999 6,0\n7,0 8,0 9,0\n",
		"dx and dy":                   strings.Replace(head, "cellsize 2", "dx 2\ndy 2", 1) + "1 2 3\n4 -9999 6\n7 8 9\n",
		"keywords in another order":   "nrows 3\nncols 3\ncellsize 2\nyllcorner 0\nxllcorner 0\n1 2 3\n4 -9999 6\n7 8 9\n",
	} {
		t.Run(name, func(t *testing.T) {
			g := mustOpen(t, saveText(t, "z.asc", text), Options{AllowLocal: true})
			assert.Equal(t, terrain.Frame{Rows: 3, Cols: 3, West: 0, North: 6, CellSize: 2}, g.Grid.Frame)
			assert.Equal(t, want, cellsOf(g.Grid))
		})
	}
	t.Run("with a system beside it", func(t *testing.T) {
		path := saveText(t, "z.asc", head+"1 2 3\n4 -9999 6\n7 8 9\n")
		sr, err := parseCRS("EPSG:32614")
		require.NoError(t, err)
		defer sr.Close()
		text, err := wellKnown(sr)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(strings.TrimSuffix(path, "asc")+"prj", []byte(text), 0o644))
		// At easting 0 the zone's metres are 0.3 % long, which is borne.
		assert.Equal(t, "EPSG:32614", mustOpen(t, path, Options{}).Grid.CRS)
	})
	t.Run("a part of it", func(t *testing.T) {
		var b strings.Builder
		fmt.Fprintf(&b, "ncols 30\nnrows 40\nxllcorner 0\nyllcorner 0\ncellsize 1\n")
		for r := range 40 {
			for c := range 30 {
				fmt.Fprintf(&b, "%v ", plane(r, c))
			}
		}
		g := mustOpen(t, saveText(t, "z.asc", b.String()), Options{AllowLocal: true, Boundary: rectangle(5, 10, 12, 20)})
		assert.Equal(t, wanted(10, 7, func(r, c int) float64 { return plane(r+20, c+5) }), cellsOf(g.Grid))
	})
}

// Trap: GDAL reads a word that is no number as 0, and leaves over what the
// header did not promise.
func TestMistakesInATextGrid(t *testing.T) {
	const head = "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 2\n"
	for name, tt := range map[string]struct{ text, want string }{
		"words": {head + "1 2 3\n4 abc 6\n7 8 1.2.3\n",
			"PATH: line 7: \"abc\" is not an elevation (row 2, column 2)\nPATH: line 8: \"1.2.3\" is not an elevation (row 3, column 3)"},
		"too few": {head + "1 2 3\n4 5 6\n7 8\n",
			"PATH: line 9: the file ends after 8 of the 9 values its header promises (3 columns by 3 rows)"},
		"too many": {head + "1 2 3\n4 5 6\n7 8 9\n10\n",
			"PATH: line 9: more values than the 9 its header promises (3 columns by 3 rows), from \"10\" on"},
		"too short to be": {head[:8] + "nrows 2000000000\n" + head[16:] + "1 2 3\n",
			"PATH: promises 3 columns by 2000000000 rows and is too short to hold them (66 bytes)"},
		"an infinite value": {head + "1 2 3\n4 inf 6\n7 8 9\n",
			"PATH: line 7: \"inf\" is not an elevation (row 2, column 2)"},
		"a hexadecimal value": {head + "1 2 3\n4 0x1p4 6\n7 8 9\n",
			"PATH: line 7: \"0x1p4\" is not an elevation (row 2, column 2)"},
		"an absurd value": {head + "1 2 3\n4 5 6\n7 99999 9\n",
			"PATH: line 8: row 3, column 2 (counted from 1 at the top left): 99999 m is not an elevation on Earth; if it marks a void, declare it: gdal_translate -a_nodata 99999 in out.tif"},
		"a header of words": {"ncols three\nnrows 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize -2\n1 2 3\n",
			"PATH: line 1: ncols: \"three\" is not a number\nPATH: line 3: nrows is given twice\nPATH: line 6: cellsize: -2 is not a length above 0"},
		"half a cell": {strings.Replace(head, "ncols 3", "ncols 3.5", 1) + "1 2 3\n",
			"PATH: line 1: ncols: 3.5 is not a whole number of cells, 1 or more"},
		"an unknown keyword": {head + "datum 7\n1 2 3\n",
			"PATH: line 6: \"datum\" is neither a number nor a keyword of an ASCII grid (ncols, nrows, xllcorner, xllcenter, yllcorner, yllcenter, cellsize, dx, dy, nodata_value)"},
		"no cell size": {strings.Replace(head, "cellsize 2\n", "", 1) + "1 2 3\n4 5 6\n7 8 9\n",
			"PATH: has no cellsize or dx in its header"},
		"nothing after the header": {head, "PATH: line 6: the file ends after its header, before the first of 9 values (3 columns by 3 rows)"},
		"all voids":                {head + strings.Repeat("-9999 ", 9), "PATH: has no elevation in any of its 9 cells: all are voids"},
		"a byte-order mark":        {"\ufeff" + head + "1 2 3\n4 5 6\n7 8 9\n", "PATH: begins with a byte-order mark; save it as plain text without one"},
	} {
		t.Run(name, func(t *testing.T) {
			path := saveText(t, "z.asc", tt.text)
			_, err := Open(path, Options{AllowLocal: true})
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, strings.ReplaceAll(tt.want, "PATH", path), err.Error())
		})
	}
	t.Run("many mistakes are counted", func(t *testing.T) {
		_, err := Open(saveText(t, "z.asc", "ncols 30\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 2\n1 "+strings.Repeat("x ", 89)), Options{AllowLocal: true})
		require.ErrorIs(t, err, ErrInput)
		lines := strings.Split(err.Error(), "\n")
		assert.Len(t, lines, 11)
		assert.True(t, strings.HasSuffix(lines[10], ": and 79 more"), lines[10])
	})
}

// Numbers are read by one division; strconv, which is right to the last digit,
// is the definition.
func TestNumbersAreReadToTheLastDigit(t *testing.T) {
	for i := range 20000 {
		whole := (i * 7919) % 1000003
		for _, text := range []string{
			fmt.Sprintf("%d.%03d", whole, i%1000), fmt.Sprintf("-%d.%07d", whole%12000, i*491%10000000),
			fmt.Sprintf("%d", whole), fmt.Sprintf("%de-%d", whole, i%9), fmt.Sprintf(".%06d", whole%1000000),
		} {
			want, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			got, ok := number([]byte(text))
			require.True(t, ok, text)
			require.Equal(t, want, got, text)
		}
	}
	for _, text := range []string{"", "-", "+", ".", "-.", ",", "1,", "1.2.3", "1,2,3", "1-2", "abc", "inf", "-Infinity", "0x10", "1_000", "1e", "1e999", "٣"} {
		_, ok := number([]byte(text))
		assert.False(t, ok, text)
	}
	v, ok := number([]byte("-NaN"))
	assert.True(t, ok && math.IsNaN(v))
}

// The buffer ends where it ends; no word may be cut by it.
func TestWordsAcrossTheEdgeOfTheBuffer(t *testing.T) {
	var b bytes.Buffer
	var want []string
	for i := range 40000 {
		want = append(want, fmt.Sprintf("%d.%d", i, i%97))
		b.WriteString(want[i])
		b.WriteString([]string{" ", "\n", "\r\n", "  \t"}[i%4])
	}
	words := newTokens(&b)
	for _, w := range want {
		require.Equal(t, w, string(words.next()))
	}
	assert.Nil(t, words.next())
	assert.NoError(t, words.fault())
	assert.Equal(t, 1+40000/2, words.line)
}

func TestOtherTextFormatsAreScanned(t *testing.T) {
	const surfer = "DSAA\n3 3\n0 20\n0 20\n1 9\n7 8 9\n4 5 6\n1 2 3\n"
	t.Run("a Surfer grid has its southern row first", func(t *testing.T) {
		g := mustOpen(t, saveText(t, "z.grd", surfer), Options{AllowLocal: true})
		assert.Equal(t, []float32{1, 2, 3, 4, 5, 6, 7, 8, 9}, cellsOf(g.Grid))
		assert.Equal(t, terrain.Frame{Rows: 3, Cols: 3, West: -5, North: 25, CellSize: 10}, g.Grid.Frame)
	})
	for name, tt := range map[string]struct{ text, want string }{
		"a word":   {strings.Replace(surfer, "5", "abc", 1), "line 7: \"abc\" is not a number"},
		"too few":  {strings.TrimSuffix(surfer, "3\n"), "line 8: the file ends after 8 of the 9 values its header promises (3 columns by 3 rows)"},
		"too many": {surfer + "10\n", "line 9: more values than the 9 its header promises (3 columns by 3 rows), from \"10\" on"},
	} {
		t.Run("a Surfer grid with "+name, func(t *testing.T) {
			path := saveText(t, "z.grd", tt.text)
			_, err := Open(path, Options{AllowLocal: true})
			require.ErrorIs(t, err, ErrInput)
			assert.Equal(t, path+": "+tt.want, err.Error())
		})
	}
	t.Run("a USGS DEM with a letter among its numbers", func(t *testing.T) {
		f := fixture{rows: 12, cols: 12, crs: "EPSG:26714", dtype: godal.Int16, gt: [6]float64{500000, 30, 0, 4000000, 0, -30}}
		path := f.translate(t, "z.dem", "USGSDEM")
		g := mustOpen(t, path, Options{})
		assert.Contains(t, cellsOf(g.Grid), float32(plane(7, 4)))
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		at := 1024 + bytes.Index(b[1024:], []byte(" 174 "))
		require.Greater(t, at, 1024)
		b[at+2] = 'o'
		require.NoError(t, os.WriteFile(path, b, 0o644))
		_, err = Open(path, Options{})
		require.ErrorIs(t, err, ErrInput)
		assert.Equal(t, fmt.Sprintf("%s: byte %d: 'o' is no part of a number", path, at+3), err.Error())
	})
}
