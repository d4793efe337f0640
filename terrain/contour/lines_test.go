package contour_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is a ground whose elevations are f of the middles of its cells.
func made(rows, cols int, cell float64, f func(x, y float64) float64) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: cell, West: 100, North: 200})
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		z.Cells[i] = float32(f(p[0], p[1]))
	}
	return z
}

// rough is noise in quarters, so that levels meet cells exactly, ties are
// common and saddles many; one cell in eight is void.
func rough(rows, cols int, seed uint64, voids bool) *terrain.Grid[float32] {
	random := rand.New(rand.NewPCG(seed, 2))
	return made(rows, cols, 1, func(_, _ float64) float64 {
		v := float64(random.IntN(17)) / 4
		if voids && random.IntN(8) == 0 {
			return math.NaN()
		}
		return v
	})
}

// The contour of a plane is the straight line on which the plane has that
// height. The slopes are binary fractions: float32 holds them exactly.
func TestContourOfPlaneIsStraight(t *testing.T) {
	const east, north = 3.0 / 64, 1.0 / 64
	height := func(x, y float64) float64 { return east*(x-100) + north*(y-100) }
	z := made(50, 40, 2, height)
	lines := contour.Lines(z, []float64{1.1, 2.3, 3.7})
	require.Len(t, lines, 3)
	for i, want := range []float64{1.1, 2.3, 3.7} {
		l := lines[i]
		assert.Equal(t, want, l.Level)
		assert.False(t, l.Closed)
		for _, p := range l.Points {
			assert.InDelta(t, want, height(p[0], p[1]), 1e-12)
		}
		// From rim to rim: the first and last middles lie 1 m within the edge.
		first, last := l.Points[0], l.Points[len(l.Points)-1]
		for _, p := range []orb.Point{first, last} {
			rim := p[0] == 101 || p[0] == 179 || p[1] == 101 || p[1] == 199
			assert.True(t, rim, "%v is not on the rim of the middles", p)
		}
	}
}

// The contour of a cone is a circle. Between middles a cone is not straight:
// it lies below its chords by at most cell²/8r of slope, so the circle is
// right to that much.
func TestContourOfConeIsCircle(t *testing.T) {
	const slope = 0.25
	z := made(81, 81, 1, func(x, y float64) float64 { return 20 - slope*math.Hypot(x-140.5, y-159.5) })
	for _, radius := range []float64{8.3, 17.7, 31.1} {
		lines := contour.Lines(z, []float64{20 - slope*radius})
		require.Len(t, lines, 1)
		require.True(t, lines[0].Closed)
		assert.Equal(t, lines[0].Points[0], lines[0].Points[len(lines[0].Points)-1])
		for _, p := range lines[0].Points {
			assert.InDelta(t, radius, math.Hypot(p[0]-140.5, p[1]-159.5), 1/(8*radius)+1e-5)
		}
		// High ground on the left of a hill: counter-clockwise.
		assert.InDelta(t, math.Pi*radius*radius, signedArea(lines[0].Points), 0.01*math.Pi*radius*radius)
	}
}

func TestContourOfHollowRunsClockwise(t *testing.T) {
	z := made(21, 21, 1, func(x, y float64) float64 { return math.Hypot(x-110.5, y-189.5) })
	lines := contour.Lines(z, []float64{5})
	require.Len(t, lines, 1)
	assert.Less(t, signedArea(lines[0].Points), 0.0)
}

func signedArea(ring orb.LineString) float64 {
	sum := 0.0
	for i := 1; i < len(ring); i++ {
		sum += ring[i-1][0]*ring[i][1] - ring[i][0]*ring[i-1][1]
	}
	return sum / 2
}

// scikit-image's marching squares, an independent program: see
// testdata/README.md. Both interpolate in double precision.
func TestLinesAgreeWithScikitImage(t *testing.T) {
	var ref struct {
		Rows, Cols int
		Z          []float64
		Lines      []struct {
			Level  float64
			Points [][2]float64
		}
	}
	text, err := os.ReadFile("testdata/hills.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &ref))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: ref.Rows, Cols: ref.Cols, CellSize: 1})
	for i, v := range ref.Z {
		z.Cells[i] = float32(v)
	}
	var levels []float64
	for _, l := range ref.Lines {
		if n := len(levels); n == 0 || levels[n-1] != l.Level {
			levels = append(levels, l.Level)
		}
	}
	got := contour.Lines(z, levels)
	require.Len(t, got, len(ref.Lines))
	for _, want := range ref.Lines {
		first, last := want.Points[0], want.Points[len(want.Points)-1]
		found := false
		for _, l := range got {
			if l.Level != want.Level || len(l.Points) != len(want.Points) || l.Closed != (first == last) {
				continue
			}
			matched := 0
			for _, p := range l.Points {
				for _, q := range want.Points {
					if math.Abs(p[0]-(q[1]+0.5)) < 1e-9 && math.Abs(-p[1]-(q[0]+0.5)) < 1e-9 {
						matched++
						break
					}
				}
			}
			found = found || matched == len(l.Points)
		}
		assert.True(t, found, "no line matches theirs of %d points at %v", len(want.Points), want.Level)
	}
}

// Each side of a known square with one end above the level and one below is
// crossed by exactly one line, at the point where straight ground has the
// level, and nothing else is.
func TestLinesCrossEachSideOnce(t *testing.T) {
	for seed := range uint64(40) {
		z := rough(13, 11, seed, seed%2 == 1)
		for _, level := range []float64{0.4, 1, 1.9, 2.5} {
			want := crossed(z, level)
			got := make(map[orb.Point]int)
			for _, l := range contour.Lines(z, []float64{level}) {
				points := l.Points
				if l.Closed {
					require.Equal(t, points[0], points[len(points)-1])
					points = points[1:]
				}
				for _, p := range points {
					got[p]++
				}
			}
			if level != 1 && level != 2.5 { // levels at which cells lie merge points
				require.Equal(t, want, got, "seed %d, level %v", seed, level)
			} else {
				for p := range got {
					require.Contains(t, want, p, "seed %d, level %v", seed, level)
				}
			}
		}
	}
}

// crossed lists the crossings from the definition.
func crossed(z *terrain.Grid[float32], level float64) map[orb.Point]int {
	want := make(map[orb.Point]int)
	known := func(r, c int) bool { // the square with this north-west corner
		if r < 0 || c < 0 || r >= z.Rows-1 || c >= z.Cols-1 {
			return false
		}
		for _, v := range []float32{z.At(r, c), z.At(r, c+1), z.At(r+1, c), z.At(r+1, c+1)} {
			if terrain.IsVoid(v) {
				return false
			}
		}
		return true
	}
	side := func(r, c, dr, dc int) {
		a, b := float64(z.At(r, c)), float64(z.At(r+dr, c+dc))
		if (a >= level) == (b >= level) {
			return
		}
		t := (level - a) / (b - a)
		if a < b { // the higher end counts from itself; see crossing
			t = 1 - (b-level)/(b-a)
		}
		p, q := z.Centre(r, c), z.Centre(r+dr, c+dc)
		point := orb.Point{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])}
		want[point]++
	}
	for r := range z.Rows {
		for c := range z.Cols {
			if c+1 < z.Cols && (known(r-1, c) || known(r, c)) {
				side(r, c, 0, 1)
			}
			if r+1 < z.Rows && (known(r, c-1) || known(r, c)) {
				side(r, c, 1, 0)
			}
		}
	}
	return want
}

// No two segments, of one level or of different ones, cross in their middles.
func TestLinesDoNotCross(t *testing.T) {
	levels := []float64{0.3, 0.9, 1.1, 1.6, 2.2, 2.9, 3.6}
	for seed := range uint64(20) {
		z := rough(9, 9, 100+seed, true)
		type segment struct{ a, b orb.Point }
		var all []segment
		for _, l := range contour.Lines(z, levels) {
			for i := 1; i < len(l.Points); i++ {
				all = append(all, segment{l.Points[i-1], l.Points[i]})
			}
		}
		side := func(s segment, p orb.Point) float64 {
			return (s.b[0]-s.a[0])*(p[1]-s.a[1]) - (s.b[1]-s.a[1])*(p[0]-s.a[0])
		}
		for i, s := range all {
			for _, o := range all[:i] {
				crossing := side(s, o.a)*side(s, o.b) < -1e-12 && side(o, s.a)*side(o, s.b) < -1e-12
				require.False(t, crossing, "seed %d: %v crosses %v", seed, s, o)
			}
		}
	}
}

func TestSaddleGoesByTheMean(t *testing.T) {
	for _, tt := range []struct {
		name  string
		cells []float32
		joins bool // the high corners
	}{
		{"mean above the level joins the high corners", []float32{3, 0, 0, 3}, true},
		{"mean at the level joins them too", []float32{2, 0, 0, 2}, true},
		{"mean below the level parts them", []float32{1.5, 0, 0, 1.5}, false},
		{"the other diagonal", []float32{0, 3, 3, 0}, true},
		{"the other diagonal parted", []float32{0, 1.5, 1.5, 0}, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			z := &terrain.Grid[float32]{Frame: terrain.Frame{Rows: 2, Cols: 2, CellSize: 1}, Cells: tt.cells}
			lines := contour.Lines(z, []float64{1})
			require.Len(t, lines, 2)
			// A joined saddle has its middle above: on the left of both lines.
			middle := orb.Point{1, -1}
			for _, l := range lines {
				require.Len(t, l.Points, 2)
				a, b := l.Points[0], l.Points[1]
				left := (b[0]-a[0])*(middle[1]-a[1])-(b[1]-a[1])*(middle[0]-a[0]) > 0
				assert.Equal(t, tt.joins, left)
			}
		})
	}
}

func TestLinesEndAtVoids(t *testing.T) {
	z := made(9, 9, 1, func(x, y float64) float64 {
		if x == 104.5 && y == 195.5 {
			return math.NaN()
		}
		return y
	})
	lines := contour.Lines(z, []float64{195})
	require.Len(t, lines, 2)
	for _, l := range lines {
		assert.False(t, l.Closed)
		for _, p := range l.Points {
			assert.Equal(t, 195.0, p[1])
			assert.False(t, p[0] > 103.5 && p[0] < 105.5, "line through a void at %v", p)
		}
	}
}

func TestLinesOfNothing(t *testing.T) {
	flat := made(5, 5, 1, func(_, _ float64) float64 { return 7 })
	for _, tt := range []struct {
		name   string
		z      *terrain.Grid[float32]
		levels []float64
	}{
		{"no levels", flat, nil},
		{"ground exactly at the level", flat, []float64{7}},
		{"levels above and below the ground", flat, []float64{6, 8}},
		{"a single row", made(1, 9, 1, func(x, _ float64) float64 { return x }), []float64{104}},
		{"all void", made(5, 5, 1, func(_, _ float64) float64 { return math.NaN() }), []float64{1}},
		{"no cells", made(0, 0, 1, nil), []float64{1}},
	} {
		t.Run(tt.name, func(t *testing.T) { assert.Empty(t, contour.Lines(tt.z, tt.levels)) })
	}
	t.Run("a summit exactly at the level is no line", func(t *testing.T) {
		z := made(5, 5, 1, func(x, y float64) float64 { return -math.Abs(x-102.5) - math.Abs(y-197.5) })
		assert.Empty(t, contour.Lines(z, []float64{0}))
	})
}

func TestLinesRefusesLevelsThatDoNotRise(t *testing.T) {
	z := made(3, 3, 1, func(x, _ float64) float64 { return x })
	assert.PanicsWithValue(t, "contour: level 1 follows 1", func() { contour.Lines(z, []float64{1, 1}) })
	assert.Panics(t, func() { contour.Lines(z, []float64{1, math.NaN()}) })
}

func TestLinesComeInReadingOrder(t *testing.T) {
	z := made(31, 31, 1, func(x, y float64) float64 { return math.Sin(x/2) * math.Cos(y/2) })
	levels := []float64{-0.5, 0, 0.5}
	lines := contour.Lines(z, levels)
	require.Equal(t, lines, contour.Lines(z, levels))
	for i := 1; i < len(lines); i++ {
		a, b := lines[i-1], lines[i]
		require.LessOrEqual(t, a.Level, b.Level)
		if a.Level == b.Level {
			require.False(t, a.Closed && !b.Closed, "a ring before an open line")
		}
	}
}

func FuzzLines(f *testing.F) {
	f.Add([]byte{9, 9, 9, 9, 1, 9, 9, 5, 9}, 3, 5.0)
	f.Add([]byte{0, 4, 4, 0, 255, 4}, 2, 2.0)
	f.Fuzz(func(t *testing.T, heights []byte, cols int, level float64) {
		if cols < 1 || cols > 64 || len(heights) > 1<<10 || math.IsNaN(level) {
			return
		}
		rows := len(heights) / cols
		z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: 1})
		for i := range z.Cells {
			z.Cells[i] = float32(heights[i])
			if heights[i] == 255 {
				z.Cells[i] = terrain.Void()
			}
		}
		for _, l := range contour.Lines(z, []float64{level}) {
			require.GreaterOrEqual(t, len(l.Points), 2)
			require.Equal(t, l.Closed, l.Closed && l.Points[0] == l.Points[len(l.Points)-1])
			for i, p := range l.Points {
				_, _, ok := z.Locate(p)
				require.True(t, ok, "%v is off the ground", p)
				if i > 0 {
					require.NotEqual(t, l.Points[i-1], p)
				}
			}
		}
	})
}
