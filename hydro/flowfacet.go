package hydro

import "math"

// facets are the eight triangles around a cell, each with its direct and its
// diagonal neighbour, anticlockwise from the one between east and north-east.
var facets = [8]struct{ direct, diagonal int }{
	{4, 2}, {1, 2}, {1, 0}, {3, 0}, {3, 5}, {6, 5}, {6, 7}, {4, 7},
}

// routeFacet sends each cell down the steepest of the eight facets and splits
// its water between the two neighbours whose directions enclose the fall, by
// how close each is to it. A facet that lacks a corner offers the other one.
func (f *Flow) routeFacet() {
	f.direct = make([]float32, f.Len())
	survey(f.z, func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64) {
		n, angle, slope := steepestFacet(centre, &[8]float64{z0, z1, z2, z3, z4, z5, z6, z7})
		if slope == 0 {
			return
		}
		direct := 1 - angle/(math.Pi/4)
		if direct > 0 {
			f.receivers[i] |= 1 << facets[n].direct
		}
		if direct < 1 {
			f.receivers[i] |= 1 << facets[n].diagonal
		}
		f.direct[i] = float32(direct)
	})
	f.descendFlatsSteepest()
}

// steepestFacet is the steepest facet, its fall in elevation per cell, and
// the angle of the fall from the direct neighbour towards the diagonal one,
// 0 to π/4. The slope is 0 where no neighbour is lower. The first in the
// order of facets wins a tie.
func steepestFacet(centre float64, around *[8]float64) (facet int, angle, slope float64) {
	best, alongside := 0.0, 0.0
	for n, t := range facets {
		s1 := centre - around[t.direct]
		s2 := around[t.direct] - around[t.diagonal]
		along := 0.0 // the tangent of the angle
		var s float64
		switch diagonal := (centre - around[t.diagonal]) / 2; {
		case s1 > 0 && s2 > 0 && s2 < s1:
			along, s = s2/s1, float64(s1*s1)+float64(s2*s2)
		case s1 > 0 && !(s2 > 0):
			s = s1 * s1
		case diagonal > 0:
			along, s = 1, 2*float64(diagonal*diagonal)
		}
		if s > best {
			facet, best, alongside = n, s, along
		}
	}
	return facet, math.Atan(alongside), math.Sqrt(best)
}

// facetShares are the parts of the water of cell i that go to its receiver k,
// the first of two, and to the other.
func (f *Flow) facetShares(i, k int) (first, other float64) {
	first = float64(f.direct[i])
	if isDiagonal(k) {
		first = 1 - first
	}
	return first, 1 - first
}
