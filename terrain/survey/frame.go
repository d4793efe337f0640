package survey

import (
	"fmt"
	"math"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// mostAsked is how many shots are asked for their nearest to know the median.
const mostAsked = 2000

// maxCells is the largest grid a frame is made for.
const maxCells = 100_000_000

// mostCells is the largest grid that is made without being asked for: a
// hundred cells for each of 100,000 shots.
const mostCells = 10_000_000

// Spacing is the typical distance from a shot to the next, m: the side of the
// square that is each shot's share of the convex hull, or the median distance
// to the nearest shot where that is greater, as it is for a narrow strip.
func Spacing(shots []Shot) float64 {
	if len(shots) < 2 {
		return 0
	}
	points := places(shots)
	share := math.Sqrt(newOutline(points).area() / float64(len(points)))
	t := newTree(points, 16)
	reach := max(share, extentOf(points)/float64(len(points)))
	if reach == 0 {
		return 0
	}
	var near []float64
	for i := range min(len(points), mostAsked) {
		p := points[i*len(points)/min(len(points), mostAsked)]
		near = append(near, t.nearest(orb.Bound{Min: p, Max: p}, 2, reach)[1].distance)
	}
	slices.Sort(near)
	return max(share, near[len(near)/2])
}

// extentOf is the diagonal of the box the points fill, m.
func extentOf(points []orb.Point) float64 {
	box := orb.MultiPoint(points).Bound()
	return math.Hypot(box.Max[0]-box.Min[0], box.Max[1]-box.Min[1])
}

func places(shots []Shot) []orb.Point {
	points := make([]orb.Point, len(shots))
	for i, s := range shots {
		points[i] = s.Point
	}
	return points
}

// CellFor is the cell size a surface through the shots is drawn with unless
// another is asked for, m: a tenth of their spacing, rounded to 1, 2 or 5
// times a power of ten. Finer cells would show no more of the ground.
func CellFor(shots []Shot) float64 {
	want := Spacing(shots) / 10
	if want == 0 {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(want)))
	best := power
	for _, tidy := range []float64{2, 5, 10} {
		if math.Abs(math.Log(tidy*power/want)) < math.Abs(math.Log(best/want)) {
			best = tidy * power
		}
	}
	return best
}

// coarser is the tidy size after one of 1, 2 or 5 times a power of ten.
func coarser(cell float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(cell)+1e-9))
	switch tidy := cell / power; {
	case tidy < 1.5:
		return 2 * power
	case tidy < 3:
		return 5 * power
	}
	return 10 * power
}

// FrameFor is a frame that covers the shots and one spacing around them, as
// far as [Model.Grid] draws by default, its corner at a multiple of the cell
// size. A cell size of 0 asks for CellFor, or for the next coarser tidy size
// that makes no more than ten million cells. The CRS is left empty for the
// caller, who knows it.
func FrameFor(shots []Shot, cell float64) (terrain.Frame, error) {
	if len(shots) == 0 {
		return terrain.Frame{}, tooFew(0)
	}
	box := pad(orb.MultiPoint(places(shots)).Bound(), Spacing(shots))
	if cell == 0 {
		cell = CellFor(shots)
		for (box.Max[0]-box.Min[0])*(box.Max[1]-box.Min[1]) > mostCells*cell*cell {
			cell = coarser(cell)
		}
	}
	if !(cell > 0) || math.IsInf(cell, 0) {
		return terrain.Frame{}, fmt.Errorf("a cell of %v m; a side above 0 is needed", cell)
	}
	west, north := math.Floor(box.Min[0]/cell)*cell, math.Ceil(box.Max[1]/cell)*cell
	cols, rows := max(math.Ceil((box.Max[0]-west)/cell), 1), max(math.Ceil((north-box.Min[1])/cell), 1)
	if cols*rows > maxCells {
		return terrain.Frame{}, faultf("cells of %g m over %.0f by %.0f m are %.3g cells, more than %.0e; larger cells are needed, or a shot lies far from the rest",
			cell, cols*cell, rows*cell, cols*rows, float64(maxCells))
	}
	return terrain.Frame{Rows: int(rows), Cols: int(cols), West: west, North: north, CellSize: cell}, nil
}
