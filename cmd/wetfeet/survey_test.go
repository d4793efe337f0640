package main

import (
	"bytes"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/cmd/internal/heronbend"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A level book typed in inches along a row, by two commands: a ground and a
// contour plan, then flagged trees.
func TestBookBecomesGroundPlanAndFlaggedTrees(t *testing.T) {
	out := filepath.Join(t.TempDir(), "survey")
	status, stdout, stderr := wetfeet(t, "survey", heronBend+"level-book.csv", "-o", out)
	require.Equal(t, exitOK, status, stderr)
	assert.Contains(t, stdout, "60 spot heights")
	assert.Contains(t, stdout, "Closing round from BM1")
	assert.Contains(t, string(read(t, out, "survey.html")), "above the datum of the book: BM1 = 318.000 ft", "the plan and the page say what levels are above")
	assert.Equal(t, []string{".wetfeet-manifest", "booking.txt", "contour-plan.pdf", "contour-plan.png", "error.tif", "ground.tif", "shots.csv", "survey.html"}, written(t, out))
	_, err := png.DecodeConfig(bytes.NewReader(read(t, out, "contour-plan.png")))
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(read(t, out, "contour-plan.pdf"), []byte("%PDF-")))

	// The ground is that of the invented orchard, but for the level the book
	// starts from, to two centimetres beside the shots.
	g, err := raster.Open(filepath.Join(out, "ground.tif"), raster.Options{})
	require.NoError(t, err)
	var off []float64
	for _, station := range []float64{1, 5, 9, 15, 18} {
		along := station * 24 * 0.3048
		row := heronbend.Rows()[4].Line
		p := row[0]
		p[0] += along * (row[1][0] - row[0][0]) / 140
		p[1] += along * (row[1][1] - row[0][1]) / 140
		z, ok := terrain.AtPoint(g.Grid, p)
		require.True(t, ok)
		off = append(off, float64(z)-heronbend.Ground(p[0], p[1]))
	}
	for _, d := range off[1:] {
		assert.InDelta(t, off[0], d, 0.02)
	}

	status, stdout, stderr = wetfeet(t, "assess", heronBend+"heron-bend-book.toml", "-o", filepath.Join(t.TempDir(), "answer"))
	require.Equal(t, exitOK, status, stderr)
	assert.Contains(t, stdout, "E-12")
}

func TestEveryTemplateIsABookThatReduces(t *testing.T) {
	for _, kind := range fieldbook.Templates() {
		t.Run(kind, func(t *testing.T) {
			status, text, stderr := wetfeet(t, "survey", "--template", kind)
			require.Equal(t, exitOK, status, stderr)
			book, err := fieldbook.Read(strings.NewReader(text), kind)
			require.NoError(t, err)
			reduced, err := book.Reduce(fieldbook.Options{})
			require.NoError(t, err)

			// As it is, without a word of where its grid lies.
			path := filepath.Join(t.TempDir(), "book.csv")
			require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
			out := filepath.Join(t.TempDir(), "out")
			status, stdout, stderr := wetfeet(t, "survey", path, "-o", out)
			require.Equal(t, exitOK, status, stderr)
			assert.Regexp(t, `(?m)^Hold the staff next at\n  E `, stdout)
			head := "x_m,y_m,z_m,error_m,name\n"
			if reduced.LonLat {
				head = "lon,lat,z_m,error_m,name\n"
			}
			assert.True(t, strings.HasPrefix(string(read(t, out, "shots.csv")), head))
		})
	}
	status, _, stderr := wetfeet(t, "survey", "--template", "sextant")
	assert.Equal(t, exitUsage, status)
	assert.Contains(t, stderr, "sextant")
}

func TestSurveySaysTheSameEveryTime(t *testing.T) {
	dir := t.TempDir()
	first, again := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	for i, out := range []string{first, again} {
		restore := restoreThreads(i + 1)
		status, _, stderr := wetfeet(t, "survey", heronBend+"survey.csv", "--crs", "EPSG:32614", "--error", "1 cm", "-o", out)
		restore()
		require.Equal(t, exitOK, status, stderr)
	}
	for _, name := range written(t, first) {
		assert.Equal(t, read(t, first, name), read(t, again, name), name)
	}
}

// A metre misread on one staff is told with what it looks like.
func TestMisreadStaffIsPointedOut(t *testing.T) {
	text := string(read(t, heronBend, "survey.csv"))
	lines := strings.Split(text, "\n")
	cells := strings.Split(lines[60], ",")
	cells[2] = "97" + cells[2][2:] // 96.xxx becomes 97.xxx
	lines[60] = strings.Join(cells, ",")
	path := filepath.Join(t.TempDir(), "misread.csv")
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o644))
	out := filepath.Join(t.TempDir(), "out")
	status, stdout, stderr := wetfeet(t, "survey", path, "--crs", "EPSG:32614", "--error", "1 cm", "-o", out)
	require.Equal(t, exitOK, status, stderr)
	assert.Contains(t, string(read(t, out, "contour-plan.pdf")), "/MediaBox [0 0 841.89 595.28]", "A4 in metres")
	feet := filepath.Join(t.TempDir(), "feet")
	status, _, stderr = wetfeet(t, "survey", path, "--crs", "EPSG:32614", "--error", "1 cm", "--feet", "-o", feet)
	require.Equal(t, exitOK, status, stderr)
	assert.Contains(t, string(read(t, feet, "contour-plan.pdf")), "/MediaBox [0 0 792.00 612.00]", "Letter in feet")
	assert.Regexp(t, `line 61: \d\.\d\d ft too high`, stderr)
	assert.Contains(t, stdout, "Look again at")
	assert.Contains(t, stdout, "line 61")
	assert.Contains(t, stdout, "1.0")
	assert.Contains(t, stdout, "too high")
}

func TestBadBooksAreToldAndNothingIsWritten(t *testing.T) {
	dir := t.TempDir()
	book := string(read(t, heronBend, "level-book.csv"))
	for _, tt := range []struct{ name, text, want string }{
		{"a staff misread by a foot at a turning point", strings.Replace(book, "back on the nail", "back on the nail", 1), ""},
		{"a loop that is left open", strings.Join(strings.Split(book, "\n")[:45], "\n"), "closing: open"},
		{"a reading beyond the staff", strings.Replace(book, "5' 0 7/8\"", "25' 0 7/8\"", 1), "staff"},
		{"a unit that is none", strings.Replace(book, "units: ft", "units: cubit", 1), "cubit"},
		{"a word for a reading", strings.Replace(book, "5' 0 7/8\"", "low", 1), "low"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.want == "" {
				tt.text, tt.want = misreadTurningPoint(t, book), "TP"
			}
			path := filepath.Join(dir, "book.csv")
			require.NoError(t, os.WriteFile(path, []byte(tt.text), 0o644))
			out := filepath.Join(dir, "out")
			status, stdout, stderr := wetfeet(t, "survey", path, "-o", out)
			assert.Equal(t, exitInput, status, stderr)
			assert.Contains(t, stderr, tt.want)
			assert.Empty(t, stdout)
			assert.NoDirExists(t, out)
		})
	}
}

// misreadTurningPoint puts a foot too much into the fore sight of TP2.
func misreadTurningPoint(t *testing.T, book string) string {
	t.Helper()
	lines := strings.Split(book, "\n")
	for i, line := range lines {
		if cells := strings.Split(line, ","); cells[0] == "TP2" {
			fore := strings.TrimSpace(cells[3])
			require.NotEmpty(t, fore)
			cells[3] = " " + string(fore[0]+1) + fore[1:]
			lines[i] = strings.Join(cells, ",")
			return strings.Join(lines, "\n")
		}
	}
	t.Fatal("no TP2 in the book")
	return ""
}

// A mound built since the first survey is found by the second and stands in
// the ground; the rest stays.
func TestLaterSurveyOfAMoundIsMerged(t *testing.T) {
	dir := t.TempDir()
	var b strings.Builder
	b.WriteString("x,y,z\n")
	middle := heronbend.Rows()[0].Line[0] // where row A begins
	for i := -2; i <= 2; i++ {
		for k := -2; k <= 2; k++ {
			x, y := middle[0]+30+2*float64(i), middle[1]+2*float64(k)
			fmt.Fprintf(&b, "%.2f,%.2f,%.3f\n", x, y, heronbend.Ground(x, y)+0.5)
		}
	}
	mound := filepath.Join(dir, "mound.csv")
	require.NoError(t, os.WriteFile(mound, []byte(b.String()), 0o644))
	levelAt := func(args ...string) float64 {
		out := filepath.Join(dir, fmt.Sprint("out", len(args)))
		status, _, stderr := wetfeet(t, append([]string{"survey", heronBend + "survey.csv", "--crs", "EPSG:32614", "--error", "1 cm", "-o", out}, args...)...)
		require.Equal(t, exitOK, status, stderr)
		g, err := raster.Open(filepath.Join(out, "ground.tif"), raster.Options{})
		require.NoError(t, err)
		p := middle
		p[0] += 30
		z, ok := terrain.AtPoint(g.Grid, p)
		require.True(t, ok)
		return float64(z)
	}
	before, after := levelAt(), levelAt("--later", mound)
	assert.InDelta(t, 0.5, after-before, 0.1)
	assert.NotContains(t, string(read(t, filepath.Join(dir, "out2"), "survey.html")), "1970", "no day is made up")
}
