package site

import (
	"fmt"
	"io"
	"math"
	"slices"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/feature"

	"github.com/paulmach/orb"
)

// maxBoundary is the most positions of a boundary. A fence walked with a
// receiver that notes a place every second for an hour has 3,600.
const maxBoundary = 20_000

// ReadBoundary reads the outline of a site from GeoJSON polygons, WGS 84
// longitude and latitude (RFC 7946): a geometry, a feature or a collection.
// Outer rings come out counter-clockwise and holes clockwise, whichever way
// the file has them. Every ring is closed, has at least four positions and
// neither crosses nor touches itself. Name is for messages.
//
// All mistakes come as one error, marked as the fault of an input; any other
// error is the reader's own.
func ReadBoundary(r io.Reader, name string) (orb.MultiPolygon, error) {
	var bad fault.List
	features, _, err := feature.Read(r, name, &bad)
	if err != nil {
		return nil, err
	}
	var outline orb.MultiPolygon
	positions := 0
	for _, f := range features {
		if f.Kind != "Polygon" && f.Kind != "MultiPolygon" {
			bad.Add(f.Number, "%s: found a %s; a boundary is a Polygon or a MultiPolygon", f.Where(name), f.Kind)
			continue
		}
		polygons, err := f.Polygons()
		if err != nil {
			bad.Add(f.Number, "%s: %v", f.Where(name), err)
			continue
		}
		for _, p := range polygons {
			for _, ring := range p {
				positions += len(ring)
			}
		}
		if positions > maxBoundary {
			bad.Add(f.Number, "%s: has more than %d positions; thin the boundary out", f.Where(name), maxBoundary)
			break
		}
		for i, p := range polygons {
			for j, ring := range p {
				if wrong := checkRing(ring); wrong != "" {
					bad.Add(f.Number, "%s, polygon %d, ring %d: %s", f.Where(name), i+1, j+1, wrong)
					continue
				}
				if way := ring.Orientation(); (way == orb.CW) == (j == 0) {
					slices.Reverse(ring)
				}
			}
			outline = append(outline, p)
		}
	}
	if len(features) == 0 && bad.Len() == 0 {
		bad.Add(0, "%s: holds no features; a Polygon is needed", name)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	return outline, nil
}

// checkRing says what is wrong with a ring, or nothing.
func checkRing(ring orb.Ring) string {
	switch {
	case len(ring) < 4:
		return fmt.Sprintf("has %d positions; a ring needs at least 4, the last as the first", len(ring))
	case ring[0] != ring[len(ring)-1]:
		return "is not closed; the last position must be as the first"
	}
	// A vertex given twice in a row is harmless.
	corners := slices.Compact(slices.Clone(ring))
	if len(corners) < 4 {
		return "has fewer than three corners"
	}
	if a, b, crosses := selfCrossing(corners); crosses {
		return fmt.Sprintf("its side from %s to %s meets the one from %s to %s; no ring may cross or touch itself",
			show(corners[a]), show(corners[a+1]), show(corners[b]), show(corners[b+1]))
	}
	return ""
}

func show(p orb.Point) string { return fmt.Sprintf("[%s, %s]", plain(p[0]), plain(p[1])) }

// selfCrossing finds two sides of a closed ring that meet elsewhere than at
// the corner that neighbours share. Side i runs from corner i to the next. The
// sides are taken from west to east and each is held against those that have
// not ended yet, which is quick for any outline but a comb.
func selfCrossing(ring orb.Ring) (a, b int, crosses bool) {
	n := len(ring) - 1
	west := func(i int) float64 { return min(ring[i][0], ring[i+1][0]) }
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case west(i) < west(j):
			return -1
		case west(i) > west(j):
			return 1
		}
		return i - j
	})
	var open []int
	for _, i := range order {
		still := open[:0]
		for _, j := range open {
			if max(ring[j][0], ring[j+1][0]) < west(i) {
				continue
			}
			still = append(still, j)
			if meet(ring, min(i, j), max(i, j), n) {
				return min(i, j), max(i, j), true
			}
		}
		open = append(still, i)
	}
	return 0, 0, false
}

// meet reports whether sides i < j of a ring of n sides share a point that
// they should not.
func meet(ring orb.Ring, i, j, n int) bool {
	p, q, r, s := ring[i], ring[i+1], ring[j], ring[j+1]
	if min(p[1], q[1]) > max(r[1], s[1]) || min(r[1], s[1]) > max(p[1], q[1]) {
		return false
	}
	if j == i+1 || i == 0 && j == n-1 {
		// Neighbours share a corner and may only not fold back on each other.
		before, shared, after := p, q, s
		if j != i+1 {
			before, shared, after = r, p, q
		}
		ahead := (shared[0]-before[0])*(after[0]-shared[0]) + (shared[1]-before[1])*(after[1]-shared[1])
		return turn(before, shared, after) == 0 && ahead < 0
	}
	d1, d2, d3, d4 := turn(p, q, r), turn(p, q, s), turn(r, s, p), turn(r, s, q)
	if d1*d2 < 0 && d3*d4 < 0 {
		return true
	}
	return d1 == 0 && within(p, q, r) || d2 == 0 && within(p, q, s) || d3 == 0 && within(r, s, p) || d4 == 0 && within(r, s, q)
}

// turn is the side of the line from a to b that c lies on: 1 left, -1 right, 0
// on it as far as float64 tells. Coordinates are degrees: 4e-16 of the
// products is below a thousandth of a millimetre.
func turn(a, b, c orb.Point) int {
	left := float64((b[0] - a[0]) * (c[1] - a[1]))
	right := float64((b[1] - a[1]) * (c[0] - a[0]))
	switch d := left - right; {
	case math.Abs(d) <= 4e-16*(math.Abs(left)+math.Abs(right)):
		return 0
	case d > 0:
		return 1
	}
	return -1
}

// within reports whether c, on the line through a and b, lies between them.
func within(a, b, c orb.Point) bool {
	return min(a[0], b[0]) <= c[0] && c[0] <= max(a[0], b[0]) && min(a[1], b[1]) <= c[1] && c[1] <= max(a[1], b[1])
}
