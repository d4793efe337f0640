package terrain

import (
	"cmp"
	"slices"

	"github.com/paulmach/orb"
)

// ConvexHull is the corners of the convex hull of points, counter-clockwise
// from the westernmost, the southernmost of several, and not closed: no point
// along a side is among them. Of points in one line it is the two ends, of none
// it is empty. The points stay in their order.
//
//	Andrew, A.M. (1979). Another efficient algorithm for convex hulls in two
//	dimensions. Information Processing Letters 9(5), 216–219.
func ConvexHull(points []orb.Point) orb.Ring {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b orb.Point) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	var hull orb.Ring
	for range 2 { // the southern chain eastwards, then the northern back
		start := len(hull)
		for _, q := range p {
			for len(hull) > start+1 && LeftOf(hull[len(hull)-2], hull[len(hull)-1], q) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, q)
		}
		hull = hull[:len(hull)-1]
		slices.Reverse(p)
	}
	return hull
}

// LeftOf is above zero where q lies to the left of the way from a to b, and
// below where it lies to the right: twice the area of the triangle, m².
func LeftOf(a, b, q orb.Point) float64 {
	return float64((b[0]-a[0])*(q[1]-a[1])) - float64((b[1]-a[1])*(q[0]-a[0]))
}
