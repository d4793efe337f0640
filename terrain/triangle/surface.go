package triangle

import (
	"cmp"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Triangles lists the triangles that are not hidden as indices of points,
// counter-clockwise, the smallest first, in rising order.
func (m *Mesh) Triangles() [][3]int {
	var out [][3]int
	for t, c := range m.corner {
		if m.isGhost(int32(t)) || m.hidden != nil && m.hidden[t] {
			continue
		}
		k := 0
		for i := range 3 {
			if c[i] < c[k] {
				k = i
			}
		}
		out = append(out, [3]int{int(c[k]), int(c[(k+1)%3]), int(c[(k+2)%3])})
	}
	slices.SortFunc(out, func(a, b [3]int) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]), cmp.Compare(a[2], b[2]))
	})
	return out
}

// Same is the point that stands for each: itself, or the first of the points
// at its place.
func (m *Mesh) Same(point int) int { return int(m.same[point]) }

// Around lists the points that an edge joins to a point, counter-clockwise,
// and whether they go all the way round: for a point on the hull they do not.
func (m *Mesh) Around(point int) (ring []int, closed bool) {
	v := m.same[point]
	first := m.at[v]
	closed = true
	for t := first; ; {
		k := m.cornerAt(t, v)
		if c := m.corner[t][(k+1)%3]; c == ghost {
			closed = false
		} else {
			ring = append(ring, int(c))
		}
		if t = m.next[t][(k+1)%3]; t == first {
			return ring, closed
		}
	}
}

// Carve hides the triangles whose middle lies outside every outline, where
// there are any, or inside a hole. Rings are closed or not, in any direction.
// For the cut to run along a ring, its sides have to be edges of the mesh.
func (m *Mesh) Carve(outlines, holes []orb.Ring) {
	m.hidden = make([]bool, len(m.corner))
	for t, c := range m.corner {
		if m.isGhost(int32(t)) {
			continue
		}
		a, b, d := m.points[c[0]], m.points[c[1]], m.points[c[2]]
		middle := orb.Point{a[0] + ((b[0]-a[0])+(d[0]-a[0]))/3, a[1] + ((b[1]-a[1])+(d[1]-a[1]))/3}
		inside := func(r orb.Ring) bool { return Inside(r, middle) }
		m.hidden[t] = len(outlines) > 0 && !slices.ContainsFunc(outlines, inside) || slices.ContainsFunc(holes, inside)
	}
}

// Inside reports whether a point lies inside a ring, closed or not, in any
// direction, by the parity of the sides a ray to the east crosses. A point on
// a side belongs to the ring or not such that of two rings that share the
// side it belongs to exactly one.
func Inside(r orb.Ring, p orb.Point) bool {
	in := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if (a[1] > p[1]) == (b[1] > p[1]) {
			continue
		}
		if a[1] > b[1] {
			a, b = b, a
		}
		if orient(a, b, p) > 0 {
			in = !in
		}
	}
	return in
}

// Locate is the triangle that holds a point, as indices of points
// counter-clockwise, if one does that is not hidden.
func (m *Mesh) Locate(p orb.Point) (corners [3]int, ok bool) {
	t, ok := m.locate(p, m.last)
	if !ok {
		return corners, false
	}
	for i, v := range m.corner[t] {
		corners[i] = int(v)
	}
	return corners, true
}

func (m *Mesh) locate(p orb.Point, from int32) (int32, bool) {
	t := m.walk(p, from)
	return t, !m.isGhost(t) && (m.hidden == nil || !m.hidden[t])
}

// At is the height of a point on the triangles, for a height z of each
// point, and whether the point lies on one. Of points at one place the height
// of the first counts.
func (m *Mesh) At(z []float64, p orb.Point) (float64, bool) {
	t, ok := m.locate(p, m.last)
	if !ok {
		return 0, false
	}
	return m.plane(z, t, p), true
}

// plane is the height at p of the plane through a triangle.
func (m *Mesh) plane(z []float64, t int32, p orb.Point) float64 {
	c := m.corner[t]
	o, a, b := m.points[c[0]], m.points[c[1]], m.points[c[2]]
	ax, ay, bx, by := a[0]-o[0], a[1]-o[1], b[0]-o[0], b[1]-o[1]
	px, py := p[0]-o[0], p[1]-o[1]
	area := float64(ax*by) - float64(ay*bx)
	toA := (float64(px*by) - float64(py*bx)) / area
	toB := (float64(ax*py) - float64(ay*px)) / area
	return z[c[0]] + (float64(toA*(z[c[1]]-z[c[0]])) + float64(toB*(z[c[2]]-z[c[0]])))
}

// Grid reads the heights at the middle of each cell of a frame in the system
// of the points; cells on no triangle are void. The result is the same at any
// number of threads. It panics unless there is one height for each point.
func (m *Mesh) Grid(z []float64, f terrain.Frame) *terrain.Grid[float32] {
	if len(z) != len(m.points) {
		panic("triangle: heights and points differ in number")
	}
	g := terrain.NewGrid[float32](f)
	terrain.Bands(f.Rows, func(lo, hi int) {
		for row := lo; row < hi; row++ {
			// Each row begins anew: which of two triangles a point on their edge is
			// read from then does not depend on the threads.
			from := m.last
			cells := g.Row(row)
			for col := range cells {
				p := f.Centre(row, col)
				t := m.walk(p, from)
				if m.isGhost(t) {
					cells[col] = terrain.Void()
					from = m.next[t][slices.Index(m.corner[t][:], ghost)]
					continue
				}
				from = t
				if m.hidden != nil && m.hidden[t] {
					cells[col] = terrain.Void()
					continue
				}
				cells[col] = float32(m.plane(z, t, p))
			}
		}
	})
	return g
}
