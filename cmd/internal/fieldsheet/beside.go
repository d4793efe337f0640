package fieldsheet

import (
	"math"

	"wetfeet/cmd/internal/assess"

	"github.com/paulmach/orb"
)

// beside measures a point from a line: how far along it is the place nearest to
// the point, m, and how far to the right of it the point lies as seen from the
// line's start, below 0 to the left. The line goes on straight beyond its ends:
// before its start along is below 0. Far is the distance from the line itself.
func beside(line orb.LineString, p orb.Point) (along, offset, far float64) {
	far = math.Inf(1)
	walked := 0.0
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		dx, dy := b[0]-a[0], b[1]-a[1]
		long := math.Hypot(dx, dy)
		if long == 0 {
			continue
		}
		px, py := p[0]-a[0], p[1]-a[1]
		free := (float64(px*dx) + float64(py*dy)) / (long * long)
		t := min(max(free, 0), 1)
		if d := math.Hypot(px-t*dx, py-t*dy); d < far {
			far = d
			if free < 0 && walked == 0 || free > 1 && i == len(line)-1 {
				t = free
			}
			along = walked + t*long
			offset = math.Copysign(math.Hypot(px-t*dx, py-t*dy), float64(dy*px)-float64(dx*py))
		}
		walked += long
	}
	return along, offset, far
}

// nearestRow is the row a point is nearest to, the first of equals, and where it
// lies from it; −1 where there is none.
func nearestRow(rows []assess.Row, p orb.Point) (row int, along, offset float64) {
	row = -1
	least := math.Inf(1)
	for i := range rows {
		if len(rows[i].Line) < 2 {
			continue
		}
		if a, o, far := beside(rows[i].Line, p); far < least {
			row, along, offset, least = i, a, o, far
		}
	}
	return row, along, offset
}

// winds are the eight directions, clockwise from north.
var winds = [...]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}

// heading is the direction from one point to another, by grid north.
func heading(from, to orb.Point) string {
	turn := math.Atan2(to[0]-from[0], to[1]-from[1]) / (math.Pi / 4)
	return winds[(int(math.Round(turn))+8)%8]
}
