package paint

import "math"

// A Pen is how a line is drawn. Ends are square to the line and stop at it,
// or round; corners are pointed when shallow and round when sharp.
type Pen struct {
	Width float64 // px
	Round bool    // round ends

	// Dash is a length drawn and a length left out, px, by turns. Nil draws
	// all of it.
	Dash []float64
}

// Outline is the area a pen covers when it follows a path. Its parts overlap
// and run the same way round, so that they fill as one.
func (p Path) Outline(pen Pen) Path {
	var out Path
	for _, r := range p.runs() {
		points := distinct(r.points)
		closed := r.closed
		if n := len(points); closed && n > 1 && points[0] == points[n-1] {
			points = points[:n-1]
		}
		if len(points) < 2 {
			if len(points) == 1 && pen.Round {
				out.Append(Circle(points[0].X, points[0].Y, pen.Width/2))
			}
			continue
		}
		if len(pen.Dash) > 0 {
			for _, d := range dash(points, closed, pen.Dash) {
				widen(&out, d, false, pen)
			}
			continue
		}
		widen(&out, points, closed, pen)
	}
	return out
}

// distinct drops points too near the one before to have a direction.
func distinct(points []Point) []Point {
	var out []Point
	for _, p := range points {
		if len(out) == 0 || p.minus(out[len(out)-1]).length() > 1e-3 {
			out = append(out, p)
		}
	}
	return out
}

// span is how many segments are widened into one polygon. Polygons meet
// across the line in the middle of a segment, where they share an edge to the
// bit, so that the parts of a pixel they cover add up to the whole; small ones
// keep the raster they are drawn through small.
const span = 16

func widen(out *Path, points []Point, closed bool, pen Pen) {
	half := pen.Width / 2
	n := len(points)
	if closed {
		// Begin and end in the middle of the last segment.
		mid := points[n-1].toward(points[0], 0.5)
		points = append(append([]Point{mid}, points...), mid)
		n += 2
	}
	for from := 0; from < n-1; {
		to := min(from+span, n-1)
		part := points[from : to+1 : to+1]
		if from > 0 {
			part = append([]Point{points[from-1].toward(points[from], 0.5)}, part...)
		}
		if to < n-1 {
			part = append(part, points[to].toward(points[to+1], 0.5))
			to++
		}
		ribbon(out, part, half)
		from = to
	}
	if pen.Round && !closed {
		for _, p := range [...]Point{points[0], points[n-1]} {
			out.Append(Circle(p.X, p.Y, half))
		}
	}
}

// ribbon adds the area within half a width of an open line, along one side
// and back along the other, clockwise as seen.
func ribbon(out *Path, points []Point, half float64) {
	points = distinct(points)
	if len(points) < 2 {
		return
	}
	n := len(points)
	side := make([]Point, 0, 2*n+8)
	side = edge(side, points, half)
	back := make([]Point, n)
	for i, p := range points {
		back[n-1-i] = p
	}
	side = edge(side, back, half)
	out.Append(Polygon(side...))
}

// edge adds the line half a width to the left of points as they run, seen with
// y down; the two edges of a ribbon thus run clockwise.
func edge(to []Point, points []Point, half float64) []Point {
	n := len(points)
	for i := range points {
		var in, on Point // directions into and on from the point
		if i > 0 {
			in = unit(points[i-1], points[i])
		}
		if i < n-1 {
			on = unit(points[i], points[i+1])
		}
		if i == 0 {
			to = append(to, points[i].plus(left(on).times(half)))
			continue
		}
		if i == n-1 {
			to = append(to, points[i].plus(left(in).times(half)))
			continue
		}
		turn := in.X*on.Y - in.Y*on.X // positive turns right, away from the left edge
		cos := in.X*on.X + in.Y*on.Y
		a, b := left(in), left(on)
		switch {
		case math.Abs(turn) < 1e-9 && cos > 0:
			to = append(to, points[i].plus(a.times(half)))
		case turn < 0:
			// The inside of the corner. Where the segments are long enough the
			// edges meet; else going through the corner itself keeps the area
			// right, the parts overlapping.
			reach := half * math.Abs(turn) / (1 + cos)
			if cos > -0.9 && reach < points[i-1].minus(points[i]).length() && reach < points[i+1].minus(points[i]).length() {
				to = append(to, points[i].plus(a.plus(b).times(half/(1+cos))))
			} else {
				to = append(to, points[i].plus(a.times(half)), points[i], points[i].plus(b.times(half)))
			}
		case cos > 0.5:
			to = append(to, points[i].plus(a.plus(b).times(half/(1+cos))))
		default:
			// A sharp corner: around it.
			from := math.Atan2(a.Y, a.X)
			sweep := math.Atan2(turn, cos)
			if sweep < 0 {
				sweep += 2 * math.Pi
			}
			steps := max(int(math.Ceil(sweep/math.Acos(1-min(flatness/half, 0.5))/2)), 2)
			for k := range steps + 1 {
				sin, cos := math.Sincos(from + sweep*float64(k)/float64(steps))
				to = append(to, points[i].plus(Point{cos * half, sin * half}))
			}
		}
	}
	return to
}

func unit(a, b Point) Point {
	d := b.minus(a)
	return d.times(1 / d.length())
}

// left is a direction turned a quarter to the left as seen, y down.
func left(d Point) Point { return Point{d.Y, -d.X} }

// dash cuts a line into the parts that are drawn.
func dash(points []Point, closed bool, pattern []float64) [][]Point {
	total := 0.0
	for _, l := range pattern {
		total += l
	}
	if !(total > 0) {
		return [][]Point{points}
	}
	if closed {
		points = append(points[:len(points):len(points)], points[0])
	}
	var out [][]Point
	part := []Point{points[0]}
	k, rest := 0, pattern[0]
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		length := b.minus(a).length()
		for at := 0.0; at < length; {
			if rest > length-at {
				rest -= length - at
				part = append(part, b)
				break
			}
			at += rest
			p := a.toward(b, at/length)
			if k%2 == 0 {
				out = append(out, append(part, p))
			}
			part = []Point{p}
			k++
			rest = pattern[k%len(pattern)]
		}
	}
	if k%2 == 0 && len(part) > 1 {
		out = append(out, part)
	}
	return out
}
