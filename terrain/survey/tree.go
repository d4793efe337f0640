package survey

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// A tree sorts points into boxes that hold a few each (Bentley 1975,
// Communications of the ACM 18(9), 509–517). The boxes of its leaves cover
// the whole plane: the outer ones reach to infinity.
type tree struct {
	points []orb.Point
	order  []int // the points, leaf by leaf
	leaves []leaf
	nodes  []node
}

// A leaf holds the points order[lo:hi].
type leaf struct {
	box    orb.Bound
	lo, hi int
}

// A node is a leaf or the parent of two nodes.
type node struct {
	box         orb.Bound
	left, right int // nodes; -1 in a leaf
	leaf        int
}

// newTree halves the points, each time across the longer side of the box
// that they fill, until no leaf holds more than most.
func newTree(points []orb.Point, most int) *tree {
	t := &tree{points: points, order: make([]int, len(points))}
	for i := range t.order {
		t.order[i] = i
	}
	inf := math.Inf(1)
	t.split(0, len(points), orb.Bound{Min: orb.Point{-inf, -inf}, Max: orb.Point{inf, inf}}, max(most, 1))
	return t
}

func (t *tree) split(lo, hi int, box orb.Bound, most int) int {
	me := len(t.nodes)
	t.nodes = append(t.nodes, node{box, -1, -1, len(t.leaves)})
	if hi-lo <= most {
		slices.Sort(t.order[lo:hi])
		t.leaves = append(t.leaves, leaf{box, lo, hi})
		return me
	}
	axis := 0
	if e := t.extent(lo, hi); e.Max[1]-e.Min[1] > e.Max[0]-e.Min[0] {
		axis = 1
	}
	mid := lo + (hi-lo)/2
	t.part(lo, hi, mid, axis)
	last := t.points[t.order[lo]][axis]
	for _, i := range t.order[lo+1 : mid] {
		last = max(last, t.points[i][axis])
	}
	below, above := box, box
	cut := (last + t.points[t.order[mid]][axis]) / 2
	below.Max[axis], above.Min[axis] = cut, cut
	left := t.split(lo, mid, below, most)
	right := t.split(mid, hi, above, most)
	t.nodes[me].left, t.nodes[me].right = left, right
	return me
}

// before orders two points along an axis; no two are equal.
func (t *tree) before(a, b, axis int) bool {
	p, q := &t.points[a], &t.points[b]
	if p[axis] != q[axis] {
		return p[axis] < q[axis]
	}
	if p[1-axis] != q[1-axis] {
		return p[1-axis] < q[1-axis]
	}
	return a < b
}

// part moves the points of order[lo:hi] so that the one at mid is where
// sorting would put it, with those before it before and those after it after
// (Hoare 1961, Communications of the ACM 4(7), 321, "Find"). Sorting them
// whole took a million shots four fifths of their time.
func (t *tree) part(lo, hi, mid, axis int) {
	for hi -= 1; lo < hi; {
		// The middle of three keeps sorted points from taking long.
		a, b, c := t.order[lo], t.order[(lo+hi)/2], t.order[hi]
		if t.before(b, a, axis) {
			a, b = b, a
		}
		if t.before(c, b, axis) {
			b = c
			if t.before(b, a, axis) {
				b = a
			}
		}
		i, j := lo, hi
		for i <= j {
			for t.before(t.order[i], b, axis) {
				i++
			}
			for t.before(b, t.order[j], axis) {
				j--
			}
			if i <= j {
				t.order[i], t.order[j] = t.order[j], t.order[i]
				i++
				j--
			}
		}
		switch {
		case mid <= j:
			hi = j
		case mid >= i:
			lo = i
		default:
			return
		}
	}
}

// extent is the box that some of the points fill.
func (t *tree) extent(lo, hi int) orb.Bound {
	e := orb.Bound{Min: t.points[t.order[lo]], Max: t.points[t.order[lo]]}
	for _, i := range t.order[lo:hi] {
		e = e.Extend(t.points[i])
	}
	return e
}

// A hit is a point and its distance from what was asked about.
type hit struct {
	point    int
	distance float64
}

// nearest finds the k points nearest to a box (or, for a box without extent,
// to a point), nearest first, equals by index. The distance to a box is that
// along the axis where it is greater: then the points within some distance
// are those in a larger box. The distance to a point is the usual one.
// The reach is a first guess at how far the k-th is; any positive one will do.
func (t *tree) nearest(box orb.Bound, k int, reach float64) []hit {
	k = min(k, len(t.points))
	distance := func(p orb.Point) float64 { return outside(box, p) }
	if box.Min == box.Max {
		distance = func(p orb.Point) float64 { return math.Hypot(p[0]-box.Min[0], p[1]-box.Min[1]) }
	}
	var hits []hit
	for {
		hits = hits[:0]
		t.within(0, pad(box, reach), func(i int) {
			if d := distance(t.points[i]); d <= reach {
				hits = append(hits, hit{i, d})
			}
		})
		if len(hits) >= k {
			break
		}
		reach *= 1.5
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.point, b.point))
	})
	return hits[:k]
}

// within calls f for the points of every leaf that meets a box.
func (t *tree) within(n int, box orb.Bound, f func(int)) {
	at := &t.nodes[n]
	if !at.box.Intersects(box) {
		return
	}
	if at.left < 0 {
		own := t.leaves[at.leaf]
		for _, i := range t.order[own.lo:own.hi] {
			f(i)
		}
		return
	}
	t.within(at.left, box, f)
	t.within(at.right, box, f)
}

// outside is how far a point is from a box along the axis where it is
// farther, nothing inside.
func outside(box orb.Bound, p orb.Point) float64 {
	return max(box.Min[0]-p[0], p[0]-box.Max[0], box.Min[1]-p[1], p[1]-box.Max[1], 0)
}

func pad(box orb.Bound, d float64) orb.Bound {
	return orb.Bound{
		Min: orb.Point{box.Min[0] - d, box.Min[1] - d},
		Max: orb.Point{box.Max[0] + d, box.Max[1] + d},
	}
}
