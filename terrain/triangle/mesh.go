package triangle

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// ErrInput marks every error that lies in the points or edges.
var ErrInput = errors.New("the points make no triangles")

// farthest is the largest coordinate, m, and finest the step it is held to:
// together they keep the exact arithmetic clear of overflow and underflow.
const (
	farthest = 1e8
	finest   = 1.0 / (1 << 40)
	mostSeen = math.MaxInt32 / 4 // points
)

// ghost is the vertex outside the hull: each edge of the hull has a triangle
// with it, so that every edge has two.
const ghost = -1

// A Mesh is a triangulation of points. It is not changed by use and may be
// used from several goroutines at once.
type Mesh struct {
	points []orb.Point
	same   []int32 // the first point at the place of each
	order  []int32 // in which the points were put in, one for each place

	// Triangle t has the corners corner[t], counter-clockwise. Across the edge
	// that corner i is not on lies the triangle next[t][i]; bit i of fixed[t]
	// says that the edge must stay.
	corner [][3]int32
	next   [][3]int32
	fixed  []uint8
	hidden []bool // cut away; nil for none

	at    []int32 // a triangle at each vertex
	last  int32   // a triangle of three points, where walks begin
	edges map[[2]int32]int32

	// Storage of insert: the triangles taken out and the edges of the hole,
	// the triangle that begins at each vertex, and the turn each was last
	// taken out in.
	cavity []int32
	rim    []side
	starts []int32
	mark   []int32
	turn   int32
}

// A side is an edge of a hole, from a to b with the hole to the left, and the
// triangle beyond it.
type side struct{ a, b, outer int32 }

// A fault is an error of the points.
type fault string

func (f fault) Error() string        { return string(f) }
func (f fault) Is(target error) bool { return target == ErrInput }

// A CrossingError says that two edges that are both to stay cross.
type CrossingError struct {
	First, Second int // places of the two among the edges
}

func (e *CrossingError) Error() string {
	return fmt.Sprintf("edges %d and %d cross; cut both where they do", e.First, e.Second)
}

// Is makes a CrossingError an ErrInput.
func (e *CrossingError) Is(target error) bool { return target == ErrInput }

// New triangulates points so that the edges, pairs of indices of points, are
// edges of triangles. Points at one place are one; a point on an edge cuts it
// in two. Fewer than three places, or all in a line, are ErrInput, and so are
// edges that cross elsewhere than at a point.
func New(points []orb.Point, edges [][2]int) (*Mesh, error) {
	if len(points) > mostSeen {
		return nil, fault(fmt.Sprintf("%d points; at most %d are taken", len(points), mostSeen))
	}
	m := &Mesh{points: slices.Clone(points), same: make([]int32, len(points)), at: make([]int32, len(points)), starts: make([]int32, len(points)+1)}
	for i, p := range points {
		for axis, v := range p {
			if !(math.Abs(v) <= farthest) {
				return nil, fault(fmt.Sprintf("point %d is at %v, %v; coordinates between -1e8 and 1e8 m are needed", i, p[0], p[1]))
			}
			if math.Abs(v) < 1<<13 { // beyond, numbers are coarser anyway
				m.points[i][axis] = math.RoundToEven(v/finest) * finest
			}
			m.points[i][axis] += 0 // no minus zero
		}
	}
	for i, e := range edges {
		if e[0] < 0 || e[1] < 0 || e[0] >= len(points) || e[1] >= len(points) {
			return nil, fault(fmt.Sprintf("edge %d joins points %d and %d of %d", i, e[0], e[1], len(points)))
		}
	}
	m.sort()
	if err := m.begin(); err != nil {
		return nil, err
	}
	for _, p := range m.order[3:] {
		m.insert(p)
	}
	m.cavity, m.rim, m.starts, m.mark = nil, nil, nil, nil
	m.edges = map[[2]int32]int32{}
	for i, e := range edges {
		if err := m.join(m.same[e[0]], m.same[e[1]], int32(i)); err != nil {
			return nil, err
		}
	}
	for t := range m.corner {
		if !m.isGhost(int32(t)) {
			m.last = int32(t)
			break
		}
	}
	return m, nil
}

// begin makes the first triangle: of the first point, the next, and the first
// that is not in a line with them.
func (m *Mesh) begin() error {
	if len(m.order) < 3 {
		return fault(fmt.Sprintf("%d places; at least 3 that are not in a line are needed", len(m.order)))
	}
	a, b := m.order[0], m.order[1]
	k := slices.IndexFunc(m.order[2:], func(c int32) bool {
		return orient(m.points[a], m.points[b], m.points[c]) != 0
	}) + 2
	if k < 2 {
		return fault(fmt.Sprintf("all %d places lie in a line; a few to its sides are needed", len(m.order)))
	}
	c := m.order[k]
	copy(m.order[3:k+1], m.order[2:k])
	m.order[2] = c
	if orient(m.points[a], m.points[b], m.points[c]) < 0 {
		a, b = b, a
	}
	n := 2*len(m.order) + 2
	m.corner, m.next = make([][3]int32, 0, n), make([][3]int32, 0, n)
	m.corner = append(m.corner, [3]int32{a, b, c}, [3]int32{ghost, c, b}, [3]int32{ghost, a, c}, [3]int32{ghost, b, a})
	m.next = append(m.next, [3]int32{1, 2, 3}, [3]int32{0, 3, 2}, [3]int32{0, 1, 3}, [3]int32{0, 2, 1})
	m.fixed, m.mark = make([]uint8, 4, n), make([]int32, 4, n)
	return nil
}

func (m *Mesh) isGhost(t int32) bool {
	c := &m.corner[t]
	return c[0] == ghost || c[1] == ghost || c[2] == ghost
}

// conflicts reports whether a point lies inside the circle of a triangle. The
// circle of a ghost is the outer side of its edge of the hull, and that edge.
func (m *Mesh) conflicts(t int32, p orb.Point) bool {
	c := &m.corner[t]
	for i := range 3 {
		if c[i] != ghost {
			continue
		}
		a, b := m.points[c[(i+1)%3]], m.points[c[(i+2)%3]]
		o := orient(a, b, p)
		return o > 0 || o == 0 && between(a, b, p)
	}
	return inCircle(m.points[c[0]], m.points[c[1]], m.points[c[2]], p) > 0
}

// between reports whether p, in a line with a and b, lies between them.
func between(a, b, p orb.Point) bool {
	if a[0] != b[0] {
		return min(a[0], b[0]) < p[0] && p[0] < max(a[0], b[0])
	}
	return min(a[1], b[1]) < p[1] && p[1] < max(a[1], b[1])
}

// insert adds a vertex: the triangles whose circle holds it are taken out,
// and the hole is closed with triangles that meet at the vertex.
func (m *Mesh) insert(v int32) {
	p := m.points[v]
	first := m.walk(p, m.last)
	m.turn++
	m.cavity, m.rim = append(m.cavity[:0], first), m.rim[:0]
	m.mark[first] = m.turn
	for k := 0; k < len(m.cavity); k++ {
		t := m.cavity[k]
		for i, u := range m.next[t] {
			switch {
			case m.mark[u] == m.turn:
			case m.conflicts(u, p):
				m.mark[u] = m.turn
				m.cavity = append(m.cavity, u)
			default:
				m.rim = append(m.rim, side{m.corner[t][(i+1)%3], m.corner[t][(i+2)%3], u})
			}
		}
	}
	for k, e := range m.rim {
		var t int32
		if k < len(m.cavity) {
			t = m.cavity[k]
		} else {
			t = int32(len(m.corner))
			m.corner, m.next = append(m.corner, [3]int32{}), append(m.next, [3]int32{})
			m.fixed, m.mark = append(m.fixed, 0), append(m.mark, 0)
		}
		m.corner[t] = [3]int32{v, e.a, e.b}
		m.next[t][0] = e.outer
		m.next[e.outer][m.off(e.outer, e.b, e.a)] = t
		m.starts[e.a+1] = t
		if e.a != ghost && e.b != ghost {
			m.last = t
		}
		if e.a != ghost {
			m.at[e.a] = t
		}
		m.at[v] = t
	}
	for _, e := range m.rim {
		t, u := m.starts[e.a+1], m.starts[e.b+1]
		m.next[t][1], m.next[u][2] = u, t
	}
}

// off is the corner of a triangle that is not on its edge from a to b.
func (m *Mesh) off(t, a, b int32) int {
	c := &m.corner[t]
	for i := range 3 {
		if c[(i+1)%3] == a && c[(i+2)%3] == b {
			return i
		}
	}
	panic("triangle: neighbours that share no edge")
}

// walk goes from a triangle toward a point, each time across an edge the
// point lies beyond, and ends in the triangle that holds it, or in a ghost.
//
// Among Delaunay triangles that always ends. Among constrained ones it might
// go in circles: the edges are tried in turn, from another one at each step,
// and after very many steps every triangle is asked.
func (m *Mesh) walk(p orb.Point, t int32) int32 {
	for step := range 4*len(m.corner) + 8 {
		c := &m.corner[t]
		if c[0] == ghost || c[1] == ghost || c[2] == ghost {
			return t
		}
		moved := false
		for k := range 3 {
			i := (step + k) % 3
			if orient(m.points[c[(i+1)%3]], m.points[c[(i+2)%3]], p) < 0 {
				t, moved = m.next[t][i], true
				break
			}
		}
		if !moved {
			return t
		}
	}
	for t := range m.corner {
		c := &m.corner[t]
		if !m.isGhost(int32(t)) && orient(m.points[c[0]], m.points[c[1]], p) >= 0 &&
			orient(m.points[c[1]], m.points[c[2]], p) >= 0 && orient(m.points[c[2]], m.points[c[0]], p) >= 0 {
			return int32(t)
		}
	}
	return int32(slices.IndexFunc(m.corner, func(c [3]int32) bool { return slices.Contains(c[:], ghost) }))
}
