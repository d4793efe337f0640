package triangle

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scattered are places without order on a square of 100 m.
func scattered(n int, seed uint64) []orb.Point {
	r := rand.New(rand.NewPCG(seed, 1))
	points := make([]orb.Point, n)
	for i := range points {
		points[i] = orb.Point{500_000 + 100*r.Float64(), 3_000_000 + 100*r.Float64()}
	}
	return points
}

// lattice are n by n places a metre apart: every small circle has four points.
func lattice(n int) []orb.Point {
	var points []orb.Point
	for i := range n {
		for j := range n {
			points = append(points, orb.Point{float64(j), float64(i)})
		}
	}
	return points
}

func bigFloat(v float64) *big.Float { return new(big.Float).SetPrec(2000).SetFloat64(v) }

// inCircleSlowly and orientSlowly are the determinants in 2000 bits.
func inCircleSlowly(a, b, c, d orb.Point) int {
	sub := func(x, y *big.Float) *big.Float { return new(big.Float).SetPrec(2000).Sub(x, y) }
	mul := func(x, y *big.Float) *big.Float { return new(big.Float).SetPrec(2000).Mul(x, y) }
	row := func(p orb.Point) (x, y, l *big.Float) {
		x, y = sub(bigFloat(p[0]), bigFloat(d[0])), sub(bigFloat(p[1]), bigFloat(d[1]))
		return x, y, new(big.Float).SetPrec(2000).Add(mul(x, x), mul(y, y))
	}
	ax, ay, al := row(a)
	bx, by, bl := row(b)
	cx, cy, cl := row(c)
	det := mul(al, sub(mul(bx, cy), mul(cx, by)))
	det.Sub(det, mul(bl, sub(mul(ax, cy), mul(cx, ay))))
	return det.Add(det, mul(cl, sub(mul(ax, by), mul(bx, ay)))).Sign()
}

func orientSlowly(a, b, c orb.Point) int {
	sub := func(x, y float64) *big.Float { return new(big.Float).SetPrec(2000).Sub(bigFloat(x), bigFloat(y)) }
	left := new(big.Float).SetPrec(2000).Mul(sub(a[0], c[0]), sub(b[1], c[1]))
	return left.Sub(left, new(big.Float).SetPrec(2000).Mul(sub(a[1], c[1]), sub(b[0], c[0]))).Sign()
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// Points nearly and exactly in a line and on a circle, where plain arithmetic
// gets the sign wrong.
func TestPredicatesAreExact(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	wrong := 0
	for range 3000 {
		base := orb.Point{500_000 * r.Float64(), 3_000_000 * r.Float64()}
		at := func(x, y float64) orb.Point { return orb.Point{base[0] + x, base[1] + y} }
		hair := math.Ldexp(r.Float64()-0.5, -30-r.IntN(25))
		a, b, c, d := at(0, 0), at(10, 0), at(10, 10), at(0, 10+hair)
		if r.IntN(3) == 0 {
			d = at(5, 5+5*math.Sqrt2+hair)
		}
		assert.Equal(t, inCircleSlowly(a, b, c, d), sign(inCircle(a, b, c, d)), "%v %v %v %v", a, b, c, d)
		mid := orb.Point{(a[0] + c[0]) / 2, (a[1]+c[1])/2 + hair}
		assert.Equal(t, orientSlowly(a, c, mid), sign(orient(a, c, mid)), "%v %v %v", a, c, mid)
		// A few last places off a line: the example of Kettner, L., Mehlhorn, K.,
		// Pion, S., Schirra, S., Yap, C. (2008). Classroom examples of robustness
		// problems in geometric computations. Computational Geometry 40, 61–78.
		near := orb.Point{0.5 + float64(r.IntN(256))/(1<<53), 0.5 + float64(r.IntN(256))/(1<<53)}
		p, q := orb.Point{12, 12}, orb.Point{24, 24}
		assert.Equal(t, orientSlowly(near, p, q), sign(orient(near, p, q)), "%v", near)
		if plain := (near[0]-q[0])*(p[1]-q[1]) - (near[1]-q[1])*(p[0]-q[0]); sign(plain) != orientSlowly(near, p, q) {
			wrong++
		}
	}
	assert.Positive(t, wrong, "the cases are hard enough for plain arithmetic to fail")
}

// assertDelaunay checks from the definition: the triangles turn left, fill
// the hull once, and no circle holds a point that can be seen from inside
// without looking across a kept edge.
func assertDelaunay(t *testing.T, m *Mesh) {
	t.Helper()
	type edge [2]int
	across := map[edge][]int{} // the far corner of the triangles at an edge
	area := 0.0
	for _, c := range m.Triangles() {
		a, b, d := m.points[c[0]], m.points[c[1]], m.points[c[2]]
		require.Equal(t, 1, orientSlowly(a, b, d), "turns left")
		area += ((b[0]-a[0])*(d[1]-a[1]) - (b[1]-a[1])*(d[0]-a[0])) / 2
		for i := range 3 {
			e := edge{min(c[i], c[(i+1)%3]), max(c[i], c[(i+1)%3])}
			across[e] = append(across[e], c[(i+2)%3])
		}
	}
	hull := 0.0
	for e, far := range across {
		require.LessOrEqual(t, len(far), 2)
		a, b, c := m.points[e[0]], m.points[e[1]], m.points[far[0]]
		if orient(a, b, c) < 0 {
			a, b = b, a
		}
		if len(far) == 1 {
			o := m.points[m.order[0]]
			hull += ((a[0]-o[0])*(b[1]-o[1]) - (a[1]-o[1])*(b[0]-o[0])) / 2
			for _, v := range m.order {
				require.LessOrEqual(t, orientSlowly(b, a, m.points[v]), 0, "the hull is convex")
			}
			continue
		}
		if _, kept := m.edges[[2]int32{int32(e[0]), int32(e[1])}]; !kept {
			// Lawson: where every edge that is not kept is so, all is.
			require.LessOrEqual(t, inCircleSlowly(a, b, c, m.points[far[1]]), 0, "an empty circle at edge %v", e)
		}
	}
	assert.InDelta(t, hull, area, 1e-6*math.Abs(area)+1e-9, "the triangles fill the hull")
}

func TestTriangulationIsDelaunay(t *testing.T) {
	circle := func(n int) []orb.Point {
		var points []orb.Point
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			points = append(points, orb.Point{10 * c, 10 * s})
		}
		return points
	}
	line := append([]orb.Point{{50, 1}}, make([]orb.Point, 60)...)
	for i := range 60 {
		line[i+1] = orb.Point{float64(i), 0}
	}
	for name, points := range map[string][]orb.Point{
		"scattered": scattered(400, 1), "a square lattice": lattice(15), "a circle": circle(64),
		"one point off a line": line, "twice the same": append(scattered(100, 2), scattered(100, 2)...),
		"the least": {{0, 0}, {1, 0}, {0, 1}}, "very small": {{0, 0}, {1e-9, 0}, {0, 1e-9}, {1e-9, 1.5e-9}},
		"very large": {{-1e8, 0}, {1e8, 1e-9}, {0, 1e8}, {3, -1e8}, {0, 0}},
	} {
		t.Run(name, func(t *testing.T) {
			m, err := New(points, nil)
			require.NoError(t, err)
			assertDelaunay(t, m)
			if name == "scattered" { // the whole definition: every circle, every point
				for _, c := range m.Triangles() {
					for v := range points {
						require.LessOrEqual(t, inCircleSlowly(m.points[c[0]], m.points[c[1]], m.points[c[2]], m.points[v]), 0)
					}
				}
			}
		})
	}
}

// scipy 1.10.1 (Debian 12), scipy.spatial.Delaunay and LinearNDInterpolator.
func TestTrianglesAndHeightsAreThoseOfScipy(t *testing.T) {
	for _, tt := range []struct {
		name      string
		points    []orb.Point
		z         []float64
		triangles [][]int
		at        []orb.Point
		want      []float64
		printed   float64
	}{
		{
			"six points",
			[]orb.Point{{0, 0}, {4, 0}, {5, 3}, {2, 5}, {-1, 3}, {2, 2}}, []float64{10, 11, 12, 13, 11, 9},
			[][]int{{0, 1, 5}, {0, 4, 5}, {1, 2, 5}, {2, 3, 5}, {3, 4, 5}},
			[]orb.Point{{1, 1}, {3, 1}, {3, 3}, {1, 3.5}, {0.5, 2}}, []float64{9.5, 10, 10.0 + 8.0/9, 11 + 2.0/9, 9.9375}, 1e-9,
		},
		{
			"five spot heights",
			[]orb.Point{{0, 0}, {10, 0}, {0, 10}, {10, 10}, {4, 6}}, []float64{100, 100.6, 100.3, 101.2, 100.1},
			[][]int{{0, 1, 4}, {0, 2, 4}, {1, 3, 4}, {2, 3, 4}},
			[]orb.Point{{5, 5}, {2, 3}, {8, 2}}, []float64{100.1833, 100.05, 100.4333}, 5e-5,
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, err := New(tt.points, nil)
			require.NoError(t, err)
			var got [][]int
			for _, c := range m.Triangles() {
				corners := c[:]
				slices.Sort(corners)
				got = append(got, corners)
			}
			slices.SortFunc(got, slices.Compare)
			assert.Equal(t, tt.triangles, got)
			for i, p := range tt.at {
				z, ok := m.At(tt.z, p)
				assert.True(t, ok)
				assert.InDelta(t, tt.want[i], z, tt.printed, "%v", p)
			}
		})
	}
}

func TestKeptEdgesAreThere(t *testing.T) {
	for seed := range uint64(40) {
		points := scattered(60, seed)
		r := rand.New(rand.NewPCG(seed, 9))
		var edges [][2]int
		for range 60 { // those that cross none before
			a, b := r.IntN(len(points)), r.IntN(len(points))
			crosses := slices.ContainsFunc(edges, func(e [2]int) bool {
				p, q, u, v := points[a], points[b], points[e[0]], points[e[1]]
				return orient(p, q, u)*orient(p, q, v) < 0 && orient(u, v, p)*orient(u, v, q) < 0
			})
			if a != b && !crosses {
				edges = append(edges, [2]int{a, b})
			}
		}
		m, err := New(points, edges)
		require.NoError(t, err, "seed %d", seed)
		for _, e := range edges {
			_, _, ok := m.find(int32(e[0]), int32(e[1]))
			assert.True(t, ok, "seed %d, edge %v", seed, e)
		}
		assertDelaunay(t, m)
		before := m.Triangles()
		again, err := New(points, edges)
		require.NoError(t, err)
		assert.Equal(t, before, again.Triangles(), "the same again")
	}
}

func TestEdgeThroughPointsIsCutThere(t *testing.T) {
	points := lattice(9)
	m, err := New(points, [][2]int{{0, 80}, {2, 2}, {18, 26}}) // a diagonal, nothing, a row
	require.NoError(t, err)
	for i := range 8 {
		_, _, ok := m.find(int32(10*i), int32(10*i+10))
		assert.True(t, ok, "part %d of the diagonal", i)
		_, _, ok = m.find(int32(18+i), int32(19+i))
		assert.True(t, ok, "part %d of the row", i)
	}
	assertDelaunay(t, m)
}

func TestBadPointsAndEdgesAreRefused(t *testing.T) {
	square := []orb.Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	for _, tt := range []struct {
		name   string
		points []orb.Point
		edges  [][2]int
		want   string
	}{
		{"none", nil, nil, "0 places; at least 3 that are not in a line are needed"},
		{"three at two places", []orb.Point{{0, 0}, {1, 1}, {0, 0}}, nil, "2 places; at least 3 that are not in a line are needed"},
		{"a line", []orb.Point{{0, 0}, {1, 2}, {3, 6}, {2, 4}}, nil, "all 4 places lie in a line; a few to its sides are needed"},
		{"no number", []orb.Point{{0, 0}, {1, math.NaN()}, {3, 6}}, nil, "point 1 is at 1, NaN; coordinates between -1e8 and 1e8 m are needed"},
		{"edges that cross", square, [][2]int{{0, 1}, {0, 2}, {3, 1}}, "edges 1 and 2 cross; cut both where they do"},
		{"an edge to nowhere", square, [][2]int{{0, 4}}, "edge 0 joins points 0 and 4 of 4"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := New(tt.points, tt.edges)
			require.EqualError(t, err, tt.want)
			assert.ErrorIs(t, err, ErrInput)
		})
	}
}

// Whatever the places, what comes out is a triangulation.
func FuzzNew(f *testing.F) {
	f.Add([]byte{0, 0, 4, 0, 4, 4, 0, 4, 2, 2, 1, 1}, true)
	f.Add([]byte{0, 0, 1, 0, 2, 0, 3, 0, 3, 1, 3, 2, 3, 3, 0, 3, 0, 1, 2, 1}, false)
	f.Add([]byte("the quick brown fox jumps over the lazy dog and back again"), true)
	f.Fuzz(func(t *testing.T, data []byte, coarse bool) {
		data = data[:min(len(data), 120)]
		var points []orb.Point
		for i := 0; i+1 < len(data); i += 2 {
			p := orb.Point{float64(data[i] % 16), float64(data[i+1] % 16)}
			if !coarse { // hairs apart
				p[0] += float64(data[i]) * 1e-13
				p[1] += 1e6 + float64(data[i+1])/3
			}
			points = append(points, p)
		}
		var edges [][2]int
		for i := range points {
			if i%3 == 0 && len(edges) < 12 {
				edges = append(edges, [2]int{i, (i * 7) % len(points)})
			}
		}
		m, err := New(points, edges)
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			if m, err = New(points, nil); err != nil {
				return
			}
		}
		assertDelaunay(t, m)
		for _, p := range m.points {
			_, ok := m.Locate(p)
			assert.True(t, ok, "every point lies on a triangle")
		}
	})
}

func BenchmarkNew(b *testing.B) {
	for _, n := range []int{100, 3000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("points=%d", n), func(b *testing.B) {
			points := scattered(n, 1)
			b.ReportAllocs()
			for b.Loop() {
				_, err := New(points, nil)
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/point")
		})
	}
	b.Run("a lattice of 316 by 316", func(b *testing.B) {
		points := lattice(316)
		for b.Loop() {
			_, err := New(points, nil)
			require.NoError(b, err)
		}
	})
}
