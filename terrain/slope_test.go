package terrain

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is ground from a formula of x, metres east, and y, metres north, of
// the centre of the grid.
func made(rows, cols int, cell float64, z func(x, y float64) float64) *Grid[float32] {
	g := NewGrid[float32](Frame{Rows: rows, Cols: cols, CellSize: cell})
	for i := range g.Cells {
		r, c := g.Cell(i)
		x, y := float64(c)-float64(cols-1)/2, float64(rows-1)/2-float64(r)
		g.Cells[i] = float32(z(x*cell, y*cell))
	}
	return g
}

func slopeOf(z *Grid[float32]) *Grid[float32] {
	s := NewGrid[float32](z.Frame)
	Slope(s, z)
	return s
}

// Horn (1981) worked on one window: dz/dx = −0.1125, dz/dy = 0.0925. gdaldem
// of GDAL 3.6.2 gives 14.5645 % for the same numbers.
func TestSlopeOfAWindow(t *testing.T) {
	z := NewGrid[float32](Frame{Rows: 3, Cols: 3, CellSize: 5})
	copy(z.Cells, []float32{101.2, 100.9, 100.1, 100.8, 100.3, 99.6, 100.5, 99.7, 99.5})
	assert.InDelta(t, math.Hypot(0.1125, 0.0925), slopeOf(z).At(1, 1), 2e-6, "float32 holds 101.2 to 4e-6 m")
	assert.InDelta(t, 0.1456451, slopeOf(z).At(1, 1), 2e-6)
}

// gdaldem slope -alg Horn of GDAL 3.6.2 on 6 × 6 cells of 2 m, degrees, the
// outer ring left out.
func TestSlopeOfASmallGrid(t *testing.T) {
	z := NewGrid[float32](Frame{Rows: 6, Cols: 6, CellSize: 2})
	copy(z.Cells, []float32{
		100, 99.76, 99.52, 99.28, 99.04, 98.8,
		100.21, 99.9, 99.47, 99.02, 98.64, 98.41,
		100.19, 99.86, 99.39, 98.88, 98.47, 98.24,
		99.87, 99.59, 99.25, 98.89, 98.58, 98.34,
		99.42, 99.22, 99.09, 98.97, 98.81, 98.57,
		99.11, 98.96, 98.95, 98.98, 98.91, 98.67,
	})
	want := [4][4]float64{
		{9.829718, 11.54501, 12.02377, 11.11753},
		{11.26356, 12.84303, 11.93978, 8.74392},
		{11.78277, 10.17084, 9.053676, 8.552294},
		{9.684847, 5.854836, 4.599674, 7.056015},
	}
	got := slopeOf(z)
	for r := range want {
		for c := range want[r] {
			degrees := math.Atan(float64(got.At(r+1, c+1))) * 180 / math.Pi
			assert.InDelta(t, want[r][c], degrees, 1e-3, "row %d, column %d", r+1, c+1)
		}
	}
}

// gdaldem slope -p -alg Horn of GDAL 3.6.2 on 120 × 90 cells with voids; see
// testdata/slope. It has no slope where a neighbour is missing; ours has.
func TestSlopeAgreesWithGDAL(t *testing.T) {
	z, want := readASCII(t, "testdata/slope/ground.asc"), readASCII(t, "testdata/slope/slope.asc")
	got := slopeOf(z)
	compared := 0
	for i, w := range want.Cells {
		require.Equal(t, IsVoid(z.Cells[i]), IsVoid(got.Cells[i]), "cell %d", i)
		if IsVoid(w) {
			continue
		}
		compared++
		// gdaldem adds in float32: a few steps of 4e-6 m over 8 cells of 2.5 m.
		require.InDelta(t, w/100, got.Cells[i], 2e-6, "cell %d", i)
	}
	assert.Greater(t, compared, 9900)
}

// readASCII reads an Esri ASCII grid, enough of it for the files here.
func readASCII(t *testing.T, path string) *Grid[float32] {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	words := strings.Fields(string(text))
	head := map[string]float64{}
	for ; len(words) > 1; words = words[2:] {
		v, err := strconv.ParseFloat(words[1], 64)
		if _, number := strconv.ParseFloat(words[0], 64); number == nil || err != nil {
			break
		}
		head[strings.ToLower(words[0])] = v
	}
	z := NewGrid[float32](Frame{Rows: int(head["nrows"]), Cols: int(head["ncols"]), CellSize: head["cellsize"]})
	require.Len(t, words, z.Len())
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 32)
		require.NoError(t, err)
		if z.Cells[i] = float32(v); v == head["nodata_value"] {
			z.Cells[i] = Void()
		}
	}
	return z
}

// A plane has one slope, known without a program: z = 50 + 0.03 x − 0.04 y
// has 5 %. Binary fractions near it, so that float32 holds them and the
// answer is exact, to the corners of the grid.
func TestSlopeOfAPlaneIsExactToTheRim(t *testing.T) {
	z := made(12, 17, 2, func(x, y float64) float64 { return 50 + 3.0/64*x - 4.0/64*y })
	for i, s := range slopeOf(z).Cells {
		assert.Equal(t, float32(5.0/64), s, "cell %d", i)
	}
	z = made(12, 17, 3, func(x, y float64) float64 { return 50 + 0.03*x - 0.04*y })
	for i, s := range slopeOf(z).Cells {
		assert.InDelta(t, 0.05, s, 1e-6, "cell %d", i)
	}
}

func TestSlopeBesideVoids(t *testing.T) {
	plane := func(x, y float64) float64 { return 3.0/64*x - 4.0/64*y }
	z := made(9, 9, 1, plane)
	for _, i := range []int{z.Index(4, 4), z.Index(4, 5), z.Index(0, 0), z.Index(6, 2)} {
		z.Cells[i] = Void()
	}
	for i, s := range slopeOf(z).Cells {
		if IsVoid(z.Cells[i]) {
			assert.True(t, IsVoid(s), "cell %d", i)
			continue
		}
		assert.Equal(t, float32(5.0/64), s, "a plane runs on beside voids: cell %d", i)
	}

	t.Run("a lone cell is level", func(t *testing.T) {
		assert.Equal(t, []float32{0}, slopeOf(made(1, 1, 1, plane)).Cells)
	})
	t.Run("a single row slopes along itself", func(t *testing.T) {
		for _, s := range slopeOf(made(1, 5, 1, plane)).Cells {
			assert.Equal(t, float32(3.0/64), s)
		}
	})
	t.Run("level ground has no slope", func(t *testing.T) {
		for _, s := range slopeOf(made(3, 3, 1, func(x, y float64) float64 { return 7 })).Cells {
			assert.Zero(t, s)
		}
	})
}

func TestSlopeRefusesGridsOfDifferentSize(t *testing.T) {
	assert.Panics(t, func() { Slope(NewGrid[float32](Frame{Rows: 2, Cols: 3}), NewGrid[float32](Frame{Rows: 3, Cols: 2})) })
}
