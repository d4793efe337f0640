package triangle

import (
	"math"
	"runtime"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPlaneIsReadExactly(t *testing.T) {
	points := scattered(300, 3)
	plane := func(p orb.Point) float64 { return 17 + 0.03*(p[0]-500_000) - 0.01*(p[1]-3_000_000) }
	z := make([]float64, len(points))
	for i, p := range points {
		z[i] = plane(p)
	}
	m, err := New(points, [][2]int{{0, 1}})
	require.NoError(t, err)
	f := terrain.Frame{Rows: 50, Cols: 60, West: 499_990, North: 3_000_100, CellSize: 2}
	g := m.Grid(z, f)
	known := 0
	for i, v := range g.Cells {
		p := f.Centre(f.Cell(i))
		want, ok := m.At(z, p)
		assert.Equal(t, ok, !terrain.IsVoid(v), "%v", p)
		if ok {
			known++
			assert.InDelta(t, plane(p), want, 1e-9)
			assert.InDelta(t, plane(p), v, 1e-6) // half a float32 step at 17 m
		}
	}
	assert.Greater(t, known, 2000)
	for i, p := range points {
		got, ok := m.At(z, p)
		assert.True(t, ok)
		assert.InDelta(t, z[i], got, 1e-9, "through the points")
	}
}

func TestGridIsTheSameAtAnyNumberOfThreads(t *testing.T) {
	points := lattice(20) // cell centres lie on edges
	z := make([]float64, len(points))
	for i, p := range points {
		z[i] = math.Sin(p[0]) + math.Cos(3*p[1])
	}
	m, err := New(points, nil)
	require.NoError(t, err)
	f := terrain.Frame{Rows: 80, Cols: 80, West: -0.125, North: 19.125, CellSize: 0.25}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want := m.Grid(z, f)
	for _, threads := range []int{2, 7} {
		runtime.GOMAXPROCS(threads)
		got := m.Grid(z, f)
		for i, v := range want.Cells {
			require.Equal(t, math.Float32bits(v), math.Float32bits(got.Cells[i]))
		}
	}
}

func TestCarvingHidesWhatLiesOutsideAndInHoles(t *testing.T) {
	points := lattice(11)
	ring := func(x0, y0, x1, y1 int) (orb.Ring, [][2]int) {
		corners := []int{y0*11 + x0, y0*11 + x1, y1*11 + x1, y1*11 + x0}
		var r orb.Ring
		var edges [][2]int
		for i, c := range corners {
			r = append(r, points[c])
			edges = append(edges, [2]int{c, corners[(i+1)%4]})
		}
		return r, edges
	}
	outline, kept := ring(1, 1, 9, 8)
	house, walls := ring(3, 3, 5, 6)
	m, err := New(points, append(kept, walls...))
	require.NoError(t, err)
	m.Carve([]orb.Ring{outline}, []orb.Ring{house})
	z := make([]float64, len(points))
	f := terrain.Frame{Rows: 20, Cols: 20, West: 0, North: 10, CellSize: 0.5}
	g := m.Grid(z, f)
	assert.Equal(t, (8*7-2*3)*4, terrain.Known(g), "quarter square metres within the outline and not in the house")
	_, ok := m.At(z, orb.Point{4, 4})
	assert.False(t, ok)
	_, ok = m.At(z, orb.Point{2, 2})
	assert.True(t, ok)
	assert.Len(t, m.Triangles(), 2*(8*7-2*3))
}

func TestInsideIsTheParityOfSides(t *testing.T) {
	star := orb.Ring{{0, 0}, {10, 0}, {10, 10}, {5, 2}, {0, 10}, {0, 0}}
	for p, want := range map[orb.Point]bool{
		{5, 1}: true, {5, 3}: false, {1, 5}: true, {9, 5}: true, {-1, 5}: false, {11, 0}: false, {5, 20}: false,
	} {
		assert.Equal(t, want, Inside(star, p), "%v", p)
	}
	west, east := orb.Ring{{0, 0}, {5, 0}, {5, 9}, {0, 9}}, orb.Ring{{5, 9}, {5, 0}, {9, 0}, {9, 9}}
	p := orb.Point{5, 4}
	assert.NotEqual(t, Inside(west, p), Inside(east, p), "a shared side belongs to one of two")
}

func TestAroundGoesRoundAPoint(t *testing.T) {
	m, err := New([]orb.Point{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {2, 2}, {2, 2}}, nil)
	require.NoError(t, err)
	ring, closed := m.Around(5)
	assert.True(t, closed)
	assert.ElementsMatch(t, []int{0, 1, 2, 3}, ring)
	assert.Equal(t, 4, m.Same(5))
	_, closed = m.Around(0)
	assert.False(t, closed)
}

func BenchmarkGrid(b *testing.B) {
	points := scattered(100_000, 1)
	m, err := New(points, nil)
	require.NoError(b, err)
	z := make([]float64, len(points))
	f := terrain.Frame{Rows: 1000, Cols: 1000, West: 500_000, North: 3_000_100, CellSize: 0.1}
	for b.Loop() {
		m.Grid(z, f)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1e6, "ns/cell")
}
