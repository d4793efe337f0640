package drafting

import (
	"math"

	"wetfeet/cmd/internal/paint"
)

// Broken is the line without the parts between the given lengths along it,
// which rise and do not overlap.
func Broken(points []paint.Point, gaps [][2]float64) paint.Path {
	var out paint.Path
	at := 0.0
	drawing := false
	inside := func(s float64) bool {
		for _, g := range gaps {
			if s > g[0] && s < g[1] {
				return true
			}
		}
		return false
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		step := math.Hypot(b.X-a.X, b.Y-a.Y)
		// The lengths at which this segment meets the edge of a gap.
		cuts := []float64{at}
		for _, g := range gaps {
			for _, s := range g {
				if s > at && s < at+step {
					cuts = append(cuts, s)
				}
			}
		}
		cuts = append(cuts, at+step)
		for k := 1; k < len(cuts); k++ {
			from, to := cuts[k-1], cuts[k]
			if inside((from + to) / 2) {
				drawing = false
				continue
			}
			if !drawing {
				out.MoveTo(a.X+(b.X-a.X)*(from-at)/step, a.Y+(b.Y-a.Y)*(from-at)/step)
				drawing = true
			}
			out.LineTo(a.X+(b.X-a.X)*(to-at)/step, a.Y+(b.Y-a.Y)*(to-at)/step)
		}
		at += step
	}
	return out
}

// Length is how long a line is.
func Length(points []paint.Point) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y)
	}
	return sum
}

// Outline is a path through points; a ring's last, which repeats its first,
// becomes the closing of the path.
func Outline(points []paint.Point, closed bool) paint.Path {
	if closed {
		return paint.Polygon(points[:len(points)-1]...)
	}
	return paint.Polyline(points...)
}

// A Walk finds points by their length along a line.
type Walk struct {
	points []paint.Point
	along  []float64
}

// NewWalk is a walk along a line of at least one point.
func NewWalk(points []paint.Point) Walk {
	w := Walk{points, make([]float64, len(points))}
	for i := 1; i < len(points); i++ {
		w.along[i] = w.along[i-1] + math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y)
	}
	return w
}

// At is the point at a length along the line, held to its ends.
func (w Walk) At(s float64) paint.Point {
	lo, hi := 0, len(w.along)-1
	if s <= 0 {
		return w.points[0]
	}
	if s >= w.along[hi] {
		return w.points[hi]
	}
	for hi-lo > 1 { // along[lo] <= s < along[hi]
		if m := (lo + hi) / 2; w.along[m] <= s {
			lo = m
		} else {
			hi = m
		}
	}
	t := (s - w.along[lo]) / (w.along[hi] - w.along[lo])
	a, b := w.points[lo], w.points[hi]
	return paint.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

// A Rest is room for a label on a line: its box, and the part of the line that
// is left out for it.
type Rest struct {
	Box      Box
	From, To float64 // lengths along the line
}

// Straightest looks between two lengths along a line, in steps, for the
// straightest place for a label. The label covers half the given length of the
// line to either side and, where it stands, has a box of half sides w and h;
// suits says whether there is room for that box. Bend is how far a line may
// leave its chord, in parts of that half length; 0.12 still looks straight.
func (w Walk) Straightest(from, to, step, half, boxW, boxH, bend float64, suits func(Box) bool) (Rest, bool) {
	best := -1.0
	var where Box
	for s := from + half + step/2; s < to-half-step/2; s += step {
		a, m, b := w.At(s-half), w.At(s), w.At(s+half)
		chord := math.Hypot(b.X-a.X, b.Y-a.Y)
		if chord == 0 {
			continue
		}
		// How far the line leaves the chord, and how much longer it is.
		off := math.Abs((m.X-a.X)*(b.Y-a.Y)-(m.Y-a.Y)*(b.X-a.X))/chord/half + 1 - chord/(2*half)
		if off >= bend {
			continue
		}
		at := Box{
			X: (a.X + 2*m.X + b.X) / 4, Y: (a.Y + 2*m.Y + b.Y) / 4,
			W: boxW, H: boxH,
			Turn: paint.Upright(math.Atan2(b.Y-a.Y, b.X-a.X)),
		}
		if suits(at) {
			best, bend, where = s, off, at
		}
	}
	if best < 0 {
		return Rest{}, false
	}
	return Rest{where, best - half, best + half}, true
}
