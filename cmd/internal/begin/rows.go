package begin

import (
	"math"
	"slices"

	"wetfeet/cmd/internal/planting"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Bounds of rows that are laid for a grower to begin with.
const (
	mostTrees  = 2000
	longestRow = 250.0 // m
)

// A layout is what rows are laid by.
type layout struct {
	spacing, apart float64 // m
	rows           int     // asked for; 0 is as many as fit
}

// rows lays rows on the known cells of a ground, and within hull where there
// is one, along the longer side of the smallest rectangle around them. Each
// lies on the longest stretch of its line that is known, half the distance of
// two rows away from what is not, at the sides and the ends. Fit is how many
// there is room for; where that is more than are wanted, or than hold so many
// trees, those nearest to the middle are laid. Cut reports whether a row was
// longer than is laid.
func (l layout) lay(g *terrain.Grid[float32], hull orb.Ring) (rows []orb.LineString, fit int, cut bool) {
	around := hull
	if around == nil {
		around = terrain.ConvexHull(corners(g))
	}
	if len(around) < 3 {
		return nil, 0, false
	}
	r := rectangle(around)
	known := func(p orb.Point) bool {
		row, col, ok := g.Locate(p)
		return ok && !terrain.IsVoid(g.At(row, col)) && (hull == nil || inside(hull, p))
	}
	margin := l.apart / 2
	n := int(r.wide / l.apart)
	order := make([]int, n) // from the middle outwards
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return abs(2*i-n+1) - abs(2*j-n+1) })
	step := max(g.CellSize/2, r.long/20_000)
	laid := map[int]orb.LineString{}
	trees := 0
	for _, i := range order {
		t := (r.wide-float64(n-1)*l.apart)/2 + float64(i)*l.apart
		from, to := r.stretch(t, margin, step, known)
		from, to = from+margin, to-margin
		if to-from < l.spacing {
			continue
		}
		fit++
		if trees >= mostTrees || l.rows > 0 && len(laid) == l.rows {
			continue
		}
		if to-from > longestRow {
			middle := (from + to) / 2
			from, to, cut = middle-longestRow/2, middle+longestRow/2, true
		}
		places := math.Floor((to-from)/l.spacing + 1e-9)
		to = from + places*l.spacing + planting.EndSlack // whatever the coordinates are rounded to
		if trees += int(places) + 1; trees > mostTrees && len(laid) > 0 {
			continue
		}
		laid[i] = orb.LineString{r.at(from, t), r.at(to, t)}
	}
	for i := range n {
		if line, ok := laid[i]; ok {
			rows = append(rows, line)
		}
	}
	return rows, fit, cut
}

func abs(i int) int { return max(i, -i) }

// A box is a rectangle in any direction.
type box struct {
	corner      orb.Point // where s and t are 0
	along, over orb.Point // unit vectors of the longer side and of the other
	long, wide  float64   // m
}

func (b box) at(s, t float64) orb.Point {
	return orb.Point{
		b.corner[0] + float64(s*b.along[0]) + float64(t*b.over[0]),
		b.corner[1] + float64(s*b.along[1]) + float64(t*b.over[1]),
	}
}

// stretch is the longest part of the line at t that is known to both sides.
func (b box) stretch(t, margin, step float64, known func(orb.Point) bool) (from, to float64) {
	begun := math.NaN()
	for s := 0.0; ; s += step {
		last := s > b.long
		ok := !last && known(b.at(s, t)) && known(b.at(s, t-0.99*margin)) && known(b.at(s, t+0.99*margin))
		switch {
		case ok && math.IsNaN(begun):
			begun = s
		case !ok && !math.IsNaN(begun):
			if s-step-begun > to-from {
				from, to = begun, s-step
			}
			begun = math.NaN()
		}
		if last {
			return from, to
		}
	}
}

// corners are those of the first and last known cell of each row of cells.
func corners(g *terrain.Grid[float32]) []orb.Point {
	var out []orb.Point
	for r := range g.Rows {
		first, last, ok := terrain.KnownSpan(g.Row(r))
		if !ok {
			continue
		}
		north := g.North - float64(r)*g.CellSize
		west, east := g.West+float64(first)*g.CellSize, g.West+float64(last+1)*g.CellSize
		out = append(out, orb.Point{west, north}, orb.Point{east, north}, orb.Point{west, north - g.CellSize}, orb.Point{east, north - g.CellSize})
	}
	return out
}

// inside reports whether a point lies in a convex ring that is not closed.
func inside(hull orb.Ring, p orb.Point) bool {
	for i := range hull {
		if terrain.LeftOf(hull[i], hull[(i+1)%len(hull)], p) < 0 {
			return false
		}
	}
	return true
}

// rectangle is the smallest around a convex ring: one side of it lies along
// a side of the ring (Freeman and Shapira 1975, from memory). It begins at its
// western end, or, where it runs north and south, at its southern.
func rectangle(hull orb.Ring) box {
	var best box
	least := math.Inf(1)
	for i := range hull {
		a, b := hull[i], hull[(i+1)%len(hull)]
		length := math.Hypot(b[0]-a[0], b[1]-a[1])
		if length == 0 {
			continue
		}
		u := orb.Point{(b[0] - a[0]) / length, (b[1] - a[1]) / length}
		r := boxAlong(hull, u)
		if area := r.long * r.wide; area < least*(1-1e-9) {
			best, least = r, area
		}
	}
	return best
}

// boxAlong is the rectangle around a ring with sides along u and across.
func boxAlong(hull orb.Ring, u orb.Point) box {
	reach := func(u orb.Point) (low, high float64) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, p := range hull {
			d := float64((p[0]-hull[0][0])*u[0]) + float64((p[1]-hull[0][1])*u[1])
			low, high = min(low, d), max(high, d)
		}
		return low, high
	}
	v := orb.Point{-u[1], u[0]}
	a, b := reach(u)
	c, d := reach(v)
	if d-c > b-a {
		u, v = v, orb.Point{-u[0], -u[1]}
		a, b, c, d = c, d, -b, -a
	}
	if u[0] < -1e-9 || math.Abs(u[0]) <= 1e-9 && u[1] < 0 {
		u, v = orb.Point{-u[0], -u[1]}, orb.Point{-v[0], -v[1]}
		a, b, c, d = -b, -a, -d, -c
	}
	// Rows are counted from the north, or, where they run north and south,
	// from the west.
	v, c, d = orb.Point{-v[0], -v[1]}, -d, -c
	o := hull[0]
	return box{
		corner: orb.Point{o[0] + float64(a*u[0]) + float64(c*v[0]), o[1] + float64(a*u[1]) + float64(c*v[1])},
		along:  u, over: v, long: b - a, wide: d - c,
	}
}
