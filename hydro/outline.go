package hydro

import (
	"slices"

	"github.com/paulmach/orb"
)

// Outline is the edge of the water of hollow h.All[i] when it is full, along
// the sides of its cells, in the frame's system.
//
// Islands are holes. Outer rings run counter-clockwise and holes clockwise,
// and corners stand only where a ring turns. Each polygon is a part of the
// water whose cells are joined by their sides: parts that touch at a corner
// only are separate polygons, as the standard for simple features has it, and
// no ring touches itself. Together they have the area of the hollow.
func (h *Hollows) Outline(i int) orb.MultiPolygon {
	t := newTracer(h.Cols, h.wetted[h.first[i]:][:h.All[i].Cells])
	polygons := make(orb.MultiPolygon, t.parts)
	for start, part := range t.part {
		if part == 0 || t.walked[start] || t.part[start+t.cols] == part {
			continue
		}
		corners, area := t.walk(start)
		ring := make(orb.Ring, 0, len(corners)+1)
		for _, c := range corners {
			ring = append(ring, orb.Point{
				h.West + float64(t.west+c%t.cols)*h.CellSize,
				h.North - float64(t.north+c/t.cols)*h.CellSize,
			})
		}
		ring = append(ring, ring[0])
		p := &polygons[part-1]
		if area > 0 {
			*p = slices.Insert(*p, 0, ring)
		} else {
			*p = append(*p, ring)
		}
	}
	return polygons
}

// A tracer walks round a set of cells, which it holds on a small grid with a
// free row and column on every side.
type tracer struct {
	cols        int
	north, west int // row and column of the small grid's first place
	part        []int32
	parts       int32
	walked      []bool // the south side of the place lies on a ring that is done
}

// newTracer parts the cells into those joined by their sides, which it
// numbers from north to south and then from west to east.
func newTracer(gridCols int, cells []int32) *tracer {
	first, last := int(slices.Min(cells))/gridCols, int(slices.Max(cells))/gridCols
	west, east := gridCols, 0
	for _, c := range cells {
		west, east = min(west, int(c)%gridCols), max(east, int(c)%gridCols)
	}
	t := &tracer{cols: east - west + 3, north: first - 1, west: west - 1}
	t.part = make([]int32, (last-first+3)*t.cols)
	t.walked = make([]bool, len(t.part))
	const unknown = -1
	for _, c := range cells {
		t.part[(int(c)/gridCols-t.north)*t.cols+int(c)%gridCols-t.west] = unknown
	}
	var waiting []int
	for start := range t.part {
		if t.part[start] != unknown {
			continue
		}
		t.parts++
		t.part[start] = t.parts
		waiting = append(waiting, start)
		for len(waiting) > 0 {
			p := waiting[len(waiting)-1]
			waiting = waiting[:len(waiting)-1]
			for _, q := range [4]int{p - t.cols, p - 1, p + 1, p + t.cols} {
				if t.part[q] == unknown {
					t.part[q] = t.parts
					waiting = append(waiting, q)
				}
			}
		}
	}
	return t
}

// walk goes along the south side of a place, to the east, and on with the
// part on its left until it is back. It returns the corners where it turned,
// each as the place to the south-east of it, and the area walked round, in
// cells, negative for a hole.
func (t *tracer) walk(start int) (corners []int, area int) {
	// East, north, west, south: the step ahead, and from a place to the
	// corner at which its side in that direction of walk ends.
	ahead := [4]int{1, -t.cols, -1, t.cols}
	end := [4]int{t.cols + 1, 1, 0, t.cols}
	part := t.part[start]
	at, way := start, 0
	for {
		if way == 0 {
			t.walked[at] = true
		}
		// Twice the area is the sum of x dy − y dx; here x dy is enough.
		corner := at + end[way]
		switch way {
		case 1:
			area += corner % t.cols
		case 3:
			area -= corner % t.cols
		}
		left := at + ahead[way]
		right := left + ahead[(way+3)%4]
		switch {
		case t.part[right] == part:
			corners = append(corners, corner)
			at, way = right, (way+3)%4
		case t.part[left] == part:
			at = left
		default:
			corners = append(corners, corner)
			way = (way + 1) % 4
		}
		if at == start && way == 0 {
			return corners, area
		}
	}
}
