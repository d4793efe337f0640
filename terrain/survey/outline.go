package survey

import (
	"math"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// An outline is the convex hull of the shots, counter-clockwise, without the
// first corner repeated. Shots in a line have two corners, one place has one.
type outline []orb.Point

func newOutline(points []orb.Point) outline { return outline(terrain.ConvexHull(points)) }

// area is what the hull encloses, m².
func (o outline) area() float64 {
	sum := 0.0
	for i := 1; i+1 < len(o); i++ {
		sum += terrain.LeftOf(o[0], o[i], o[i+1])
	}
	return sum / 2
}

// distance is how far a point lies outside the hull, m; nothing inside.
func (o outline) distance(p orb.Point) float64 {
	if len(o) == 1 {
		return math.Hypot(p[0]-o[0][0], p[1]-o[0][1])
	}
	inside := len(o) > 2
	least := math.Inf(1)
	for i, a := range o {
		b := o[(i+1)%len(o)]
		if terrain.LeftOf(a, b, p) >= 0 {
			continue
		}
		inside = false
		least = min(least, toSegment(p, a, b))
	}
	switch {
	case inside:
		return 0
	case len(o) == 2: // on the line itself, but perhaps beyond its ends
		return toSegment(p, o[0], o[1])
	}
	return least
}

func toSegment(p, a, b orb.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	t = min(max(t, 0), 1)
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

// width is the least distance between two parallel lines with the hull
// between them, m: nearly nothing for shots in a line.
func (o outline) width() float64 {
	if len(o) < 3 {
		return 0
	}
	least := math.Inf(1)
	for i, a := range o {
		b := o[(i+1)%len(o)]
		far := 0.0
		for _, c := range o {
			far = max(far, terrain.LeftOf(a, b, c))
		}
		least = min(least, far/math.Hypot(b[0]-a[0], b[1]-a[1]))
	}
	return least
}
