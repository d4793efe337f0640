package survey

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"wetfeet/terrain"
	"wetfeet/terrain/triangle"

	"github.com/paulmach/orb"
)

// Triangles is ground as flat triangles between shots, with breaklines for
// edges: a plain surface that passes through every shot, makes no waves, and
// needs nothing fitted. It is the check on a [Model], and the choice where
// the breaklines say most of what there is to say.
//
// It knows its error only as one figure for the whole site: the root mean
// square by which shots are missed when they are left out.
type Triangles struct {
	Remarks []string // what was found on the way, one sentence each

	shots []Shot
	lines []Breakline
	rings [2][]orb.Ring
	mesh  *triangle.Mesh
	z     []float64 // of each node: the shots, then the vertices of lines
	kept  []bool    // nodes on breaklines
	left  Validation
}

// Triangulate makes triangles of shots in metres, with the lines, outline and
// holes of the options; the rest of them is for [Fit]. Parts of lines without
// heights take theirs from the triangles of all else, and are left out where
// that has none. Outside the convex hull of shots and lines all is void. What
// is wrong with shots or lines is ErrInput.
func Triangulate(shots []Shot, o Options) (*Triangles, error) {
	if len(shots) < 3 {
		return nil, tooFew(len(shots))
	}
	if err := errors.Join(CheckLines(o.Lines), near(shots, o.Lines)); err != nil {
		return nil, err
	}
	t := &Triangles{shots: shots, lines: o.Lines, rings: [2][]orb.Ring{o.Outline, o.Holes}}
	nodes := places(shots)
	for i, s := range shots {
		if math.IsNaN(s.Z) || math.IsInf(s.Z, 0) {
			return nil, faultf("%s has a height of %v; a number of metres is needed", s.called(i), s.Z)
		}
		t.z = append(t.z, s.Z)
	}
	nodes, edges, err := t.knot(nodes, o.Lines)
	if err != nil {
		return nil, err
	}
	t.kept = make([]bool, len(nodes))
	t.mesh, err = triangle.New(nodes, edges)
	if err != nil {
		return nil, fault(err.Error())
	}
	for _, e := range edges {
		t.kept[t.mesh.Same(e[0])], t.kept[t.mesh.Same(e[1])] = true, true
	}
	t.validate(nodes)
	return t, nil
}

// knot adds the vertices of the lines and the places where lines cross to the
// nodes, with their heights, and lists the parts of lines between as edges.
func (t *Triangles) knot(nodes []orb.Point, lines []Breakline) ([]orb.Point, [][2]int, error) {
	node := func(p orb.Point, z float64) int {
		nodes, t.z = append(nodes, p), append(t.z, z)
		return len(nodes) - 1
	}
	first := make([]int, len(lines)) // node of the first vertex of a line
	for i, l := range lines {
		if l.Z == nil {
			continue
		}
		first[i] = len(nodes)
		for j, p := range l.Line {
			node(p, l.Z[j])
		}
	}
	var bare *triangle.Mesh
	var known []float64
	for i, l := range lines {
		if l.Z != nil {
			continue
		}
		if bare == nil {
			var err error
			if bare, err = triangle.New(nodes, nil); err != nil {
				return nil, nil, fault(err.Error())
			}
			known = slices.Clone(t.z)
		}
		first[i] = len(nodes)
		for _, p := range l.Line {
			z, ok := bare.At(known, p)
			if !ok {
				z = math.NaN()
			}
			node(p, z)
		}
	}
	type stop struct {
		along float64
		node  int
	}
	stops := map[[2]int][]stop{} // by line and part
	eachCrossing(lines, func(a, b piece, at orb.Point) {
		z, ok := a.height(at)
		if !ok {
			z, ok = b.height(at)
		}
		if !ok {
			k := first[a.line] + a.part
			part := a
			part.za, part.zb = t.z[k], t.z[k+1]
			z, _ = part.height(at)
		}
		n := node(at, z)
		for _, s := range [2]piece{a, b} {
			along := math.Hypot(at[0]-s.a[0], at[1]-s.a[1])
			stops[[2]int{s.line, s.part}] = append(stops[[2]int{s.line, s.part}], stop{along, n})
		}
	})
	var edges [][2]int
	gone := 0
	for i, l := range lines {
		for j := range len(l.Line) - 1 {
			way := []int{first[i] + j}
			on := stops[[2]int{i, j}]
			slices.SortFunc(on, func(a, b stop) int { return cmp.Or(cmp.Compare(a.along, b.along), cmp.Compare(a.node, b.node)) })
			for _, s := range on {
				way = append(way, s.node)
			}
			way = append(way, first[i]+j+1)
			for k := 1; k < len(way); k++ {
				if math.IsNaN(t.z[way[k-1]]) || math.IsNaN(t.z[way[k]]) {
					gone++
					continue
				}
				edges = append(edges, [2]int{way[k-1], way[k]})
			}
		}
	}
	if gone > 0 {
		t.Remarks = append(t.Remarks, fmt.Sprintf("%d parts of lines without heights lie outside the shots and were left out", gone))
	}
	nodes, edges = t.drop(nodes, edges)
	return nodes, edges, nil
}

// drop leaves out nodes without a height.
func (t *Triangles) drop(nodes []orb.Point, edges [][2]int) ([]orb.Point, [][2]int) {
	to := make([]int, len(nodes))
	n := 0
	for i, p := range nodes {
		to[i] = n
		if !math.IsNaN(t.z[i]) {
			nodes[n], t.z[n] = p, t.z[i]
			n++
		}
	}
	t.z = t.z[:n]
	for i, e := range edges {
		edges[i] = [2]int{to[e[0]], to[e[1]]}
	}
	return nodes[:n], edges
}

// validate leaves out one shot after the other. Without a shot its neighbours
// are joined anew, and only they: their own little triangulation says what
// the height would be. Shots on the hull or on breaklines are not left out.
func (t *Triangles) validate(nodes []orb.Point) {
	off := make([]float64, len(t.shots))
	terrain.Bands(len(t.shots), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			off[i] = math.NaN()
			ring, closed := t.mesh.Around(i)
			if !closed || t.kept[t.mesh.Same(i)] || t.mesh.Same(i) != i {
				continue
			}
			around, z := make([]orb.Point, len(ring)), make([]float64, len(ring))
			for k, n := range ring {
				around[k], z[k] = nodes[n], t.z[n]
			}
			if m, err := triangle.New(around, nil); err == nil {
				if v, ok := m.At(z, nodes[i]); ok {
					off[i] = t.z[i] - v
				}
			}
		}
	})
	t.left = t.sumUp(off)
}

// sumUp is the validation of some residuals, NaN those that nothing foretells:
// they are not in the means. The deviation of all is the root mean square of
// the rest.
func (t *Triangles) sumUp(off []float64) Validation {
	v := Validation{}
	var squares, sizes, sum, n float64
	for i, s := range t.shots {
		v.Residuals = append(v.Residuals, Residual{Shot: s, Predicted: s.Z - off[i], Off: off[i]})
		if e := off[i]; e == e {
			squares += e * e
			sizes += math.Abs(e)
			sum += e
			n++
		}
	}
	v.RMSE, v.MAE, v.Mean = math.Sqrt(squares/n), sizes/n, sum/n
	var inside float64
	for i := range v.Residuals {
		r := &v.Residuals[i]
		r.SD = v.RMSE
		r.Standardised = r.Off / r.SD
		if math.Abs(r.Standardised) <= ninety {
			inside += 1 / n
		}
	}
	v.MSDR, v.Coverage = squares/n/(v.RMSE*v.RMSE), inside
	return v
}

// Blocks leaves out the shots of one of k parts of the site after another, and
// predicts them from triangles of all others. Those that then lie outside all
// triangles have NaN and are not in the means.
func (t *Triangles) Blocks(k int) (Validation, error) {
	blocks, err := parts(t.shots, k)
	if err != nil {
		return Validation{}, err
	}
	off := make([]float64, len(t.shots))
	foretold := 0
	for _, b := range blocks {
		rest, err := Triangulate(allBut(t.shots, b), Options{Lines: unhooked(t.lines, t.shots, b, Spacing(t.shots))})
		for _, i := range b {
			if off[i] = math.NaN(); err == nil {
				z, _ := rest.Predict(t.shots[i].Point)
				off[i] = t.shots[i].Z - z
			}
			if off[i] == off[i] {
				foretold++
			}
		}
	}
	if foretold == 0 {
		return Validation{}, fmt.Errorf("no shot of any of %d blocks lies among the triangles of the others", len(blocks))
	}
	return t.sumUp(off), nil
}

// LeaveOneOut is how well shots are predicted from those around them. Those
// on the hull or on breaklines have NaN and are not in the means; the
// deviation of all is the root mean square of the rest.
func (t *Triangles) LeaveOneOut() Validation { return t.left }

// Shots are the shots the triangles were made from, in the order they were
// given.
func (t *Triangles) Shots() []Shot { return t.shots }

// Mesh is the triangulation itself, of the shots first and then the vertices
// and crossings of lines.
func (t *Triangles) Mesh() *triangle.Mesh { return t.mesh }

// Predict is the height of the ground at a point and the figure of error of
// the whole site, m; NaN where the triangles do not cover it.
func (t *Triangles) Predict(p orb.Point) (z, sd float64) {
	if t.voids(p) {
		return math.NaN(), math.NaN()
	}
	z, ok := t.mesh.At(t.z, p)
	if !ok {
		return math.NaN(), math.NaN()
	}
	return z, t.left.RMSE
}

// Covers reports whether a point lies on a triangle, within the outline and in
// no hole.
func (t *Triangles) Covers(p orb.Point) bool {
	_, ok := t.mesh.Locate(p)
	return ok && !t.voids(p)
}

// voids reports whether a point lies outside the outline or in a hole.
func (t *Triangles) voids(p orb.Point) bool { return !within(t.rings, p) }

// within reports whether a point lies inside any outline, where there are
// some, and in no hole.
func within(rings [2][]orb.Ring, p orb.Point) bool {
	inside := func(r orb.Ring) bool { return triangle.Inside(r, p) }
	return (len(rings[0]) == 0 || slices.ContainsFunc(rings[0], inside)) && !slices.ContainsFunc(rings[1], inside)
}

// Grid draws the triangles at the middle of each cell of a frame in the system
// of the shots, and beside them their one figure of error.
func (t *Triangles) Grid(f terrain.Frame) (z, sd *terrain.Grid[float32]) {
	z, sd = t.Heights(f), terrain.NewGrid[float32](f)
	for i, v := range z.Cells {
		sd.Cells[i] = float32(t.left.RMSE)
		if v != v {
			sd.Cells[i] = terrain.Void()
		}
	}
	return z, sd
}

// Heights is the surface of Grid alone.
func (t *Triangles) Heights(f terrain.Frame) *terrain.Grid[float32] {
	z := t.mesh.Grid(t.z, f)
	if len(t.rings[0])+len(t.rings[1]) == 0 {
		return z
	}
	terrain.Bands(f.Rows, func(lo, hi int) {
		for row := lo; row < hi; row++ {
			cells := z.Row(row)
			for col := range cells {
				if t.voids(f.Centre(row, col)) {
					cells[col] = terrain.Void()
				}
			}
		}
	})
	return z
}
