package raster

import (
	"math"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// boundaryCRS is the system of the boundary's coordinates.
func (o Options) boundaryCRS() string {
	if o.BoundaryCRS == "" {
		return LonLatCRS
	}
	return o.BoundaryCRS
}

// boundarySpan is the longitudes and latitudes of the middle and the corners
// of the box around the boundary.
func boundarySpan(o Options) (middle orb.Point, corners []orb.Point, err error) {
	if err := checkBoundary(o.Boundary); err != nil {
		return middle, nil, err
	}
	t, err := NewTransform(o.boundaryCRS(), LonLatCRS)
	if err != nil {
		return middle, nil, err
	}
	defer t.Close()
	b := o.Boundary.Bound()
	points := []orb.Point{b.Center(), b.Min, b.Max, {b.Min[0], b.Max[1]}, {b.Max[0], b.Min[1]}}
	if err := t.Points(points); err != nil {
		return middle, nil, bad("the boundary has no place on Earth: %w", err)
	}
	return points[0], points[1:], nil
}

func checkBoundary(mp orb.MultiPolygon) error {
	for _, poly := range mp {
		for _, ring := range poly {
			if len(ring) < 3 {
				return bad("the boundary has a ring of %d points; a ring needs at least 3", len(ring))
			}
			for _, q := range ring {
				if !finite(q[0]) || !finite(q[1]) {
					return bad("the boundary has a point at %s", show(q))
				}
			}
		}
	}
	return nil
}

// splitEdges is how many parts an edge of the boundary is moved in. A line
// that is straight in degrees bows in metres: by 3 m in 10 km at latitude 60,
// and by a 64th of that with 8 parts.
const splitEdges = 8

// moveBoundary is the boundary in another system.
func moveBoundary(mp orb.MultiPolygon, t *Transform) (orb.MultiPolygon, error) {
	moved := make(orb.MultiPolygon, len(mp))
	for i, poly := range mp {
		for _, ring := range poly {
			fine := make(orb.Ring, 0, splitEdges*len(ring)+1)
			for j, a := range ring {
				b := ring[(j+1)%len(ring)] // a ring that is not closed is closed here
				if a == b {
					continue
				}
				for k := range splitEdges {
					f := float64(k) / splitEdges
					fine = append(fine, orb.Point{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])})
				}
			}
			if err := t.Points(fine); err != nil {
				return nil, err
			}
			moved[i] = append(moved[i], fine)
		}
	}
	return moved, nil
}

// cut voids every cell whose middle lies outside the polygons. A hole is
// outside; where polygons overlap the ground is inside.
func cut(g *terrain.Grid[float32], mp orb.MultiPolygon) {
	terrain.Bands(g.Rows, func(lo, hi int) {
		inside := make([]bool, g.Cols)
		var xs []float64
		for row := lo; row < hi; row++ {
			clear(inside)
			y := g.Centre(row, 0)[1]
			for _, poly := range mp {
				xs = crossings(xs[:0], poly, y)
				// Between an odd crossing and the next even one lies the
				// inside of the polygon, its holes being rings like any other.
				for i := 0; i+1 < len(xs); i += 2 {
					first := max(0, int(math.Ceil((xs[i]-g.West)/g.CellSize-0.5)))
					for c := first; c < g.Cols && g.West+(float64(c)+0.5)*g.CellSize < xs[i+1]; c++ {
						inside[c] = true
					}
				}
			}
			cells := g.Row(row)
			for c, in := range inside {
				if !in {
					cells[c] = terrain.Void()
				}
			}
		}
	})
}

// crossings appends where the rings of a polygon cross the line at y, in
// order. An edge owns its lower end and not its upper, so that a corner on
// the line is counted once.
func crossings(xs []float64, poly orb.Polygon, y float64) []float64 {
	for _, ring := range poly {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a[1] <= y) == (b[1] <= y) {
				continue
			}
			xs = append(xs, a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]))
		}
	}
	slices.Sort(xs)
	return xs
}
