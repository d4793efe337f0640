package survey

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Places without order, some of them twice, and a dense corner.
func crowd(n int, seed uint64) []orb.Point {
	points := places(scattered(n, seed))
	for i := range n / 10 {
		points[i] = points[n-1-i]
	}
	for i := n / 2; i < n/2+n/5; i++ {
		points[i] = orb.Point{500_000 + float64(i%7)/100, 3_000_000 + float64(i%11)/100}
	}
	return points
}

func TestNearestAgreesWithSortingThemAll(t *testing.T) {
	points := crowd(500, 1)
	tree := newTree(points, 8)
	for _, box := range []orb.Bound{
		{Min: orb.Point{500_050, 3_000_050}, Max: orb.Point{500_050, 3_000_050}},
		{Min: orb.Point{500_000, 3_000_000}, Max: orb.Point{500_000, 3_000_000}},
		{Min: orb.Point{499_000, 3_000_000}, Max: orb.Point{499_000, 3_000_000}},
		{Min: orb.Point{500_020, 3_000_020}, Max: orb.Point{500_060, 3_000_040}},
		{Min: orb.Point{math.Inf(-1), 3_000_100}, Max: orb.Point{500_060, math.Inf(1)}},
	} {
		var want []hit
		for i, p := range points {
			d := outside(box, p)
			if box.Min == box.Max {
				d = math.Hypot(p[0]-box.Min[0], p[1]-box.Min[1])
			}
			want = append(want, hit{i, d})
		}
		slices.SortFunc(want, func(a, b hit) int {
			return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.point, b.point))
		})
		for _, k := range []int{1, 7, 160, 500, 900} {
			assert.Equal(t, want[:min(k, 500)], tree.nearest(box, k, 0.01), "%d nearest to %v", k, box)
		}
	}
}

func TestLeavesCoverThePlaneOnce(t *testing.T) {
	points := crowd(300, 2)
	tree := newTree(points, 8)
	seen := make([]int, len(points))
	for _, l := range tree.leaves {
		assert.LessOrEqual(t, l.hi-l.lo, 8)
		assert.Positive(t, l.hi-l.lo)
		for _, i := range tree.order[l.lo:l.hi] {
			seen[i]++
			assert.Zero(t, outside(l.box, points[i]), "a point is in the box of its leaf")
		}
	}
	for i, n := range seen {
		require.Equal(t, 1, n, "point %d", i)
	}
	for _, p := range []orb.Point{{0, 0}, {500_033, 3_000_077}, {1e7, -1e7}} {
		in := 0
		for _, l := range tree.leaves {
			if outside(l.box, p) == 0 {
				in++
			}
		}
		assert.Equal(t, 1, in, "%v", p)
	}
}
