package paint

import (
	"math"
	"strconv"
	"strings"
)

// A Point is a place in a picture.
type Point struct{ X, Y float64 }

func (p Point) plus(q Point) Point              { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) minus(q Point) Point             { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) times(s float64) Point           { return Point{p.X * s, p.Y * s} }
func (p Point) toward(q Point, t float64) Point { return p.plus(q.minus(p).times(t)) }
func (p Point) length() float64                 { return math.Hypot(p.X, p.Y) }

// A Path is a row of outlines, each begun by MoveTo. The zero Path is empty.
type Path struct{ steps []step }

// A step is one command of a path: its letter in SVG and its points, the last
// being where it ends.
type step struct {
	verb byte // M, L, Q, C or Z
	p    [3]Point
}

func (s *step) points() int {
	switch s.verb {
	case 'Z':
		return 0
	case 'Q':
		return 2
	case 'C':
		return 3
	}
	return 1
}

// MoveTo begins an outline.
func (p *Path) MoveTo(x, y float64) { p.add('M', Point{x, y}) }

// LineTo goes straight to a point.
func (p *Path) LineTo(x, y float64) { p.add('L', Point{x, y}) }

// CurveTo goes to (x, y) along a cubic Bézier curve.
func (p *Path) CurveTo(x1, y1, x2, y2, x, y float64) {
	p.add('C', Point{x1, y1}, Point{x2, y2}, Point{x, y})
}

// Close ends an outline where it began.
func (p *Path) Close() { p.add('Z') }

func (p *Path) add(verb byte, points ...Point) {
	s := step{verb: verb}
	copy(s.p[:], points)
	p.steps = append(p.steps, s)
}

// Append adds the outlines of another path.
func (p *Path) Append(q Path) { p.steps = append(p.steps, q.steps...) }

// Empty reports whether there is nothing to draw.
func (p Path) Empty() bool { return len(p.steps) == 0 }

// Polygon is a closed outline through points.
func Polygon(points ...Point) Path {
	p := Polyline(points...)
	p.Close()
	return p
}

// Polyline is an open outline through points.
func Polyline(points ...Point) Path {
	var p Path
	for i, q := range points {
		if i == 0 {
			p.MoveTo(q.X, q.Y)
		} else {
			p.LineTo(q.X, q.Y)
		}
	}
	return p
}

// Rectangle is a closed outline with its corners at (x0, y0) and (x1, y1).
func Rectangle(x0, y0, x1, y1 float64) Path {
	return Polygon(Point{x0, y0}, Point{x1, y0}, Point{x1, y1}, Point{x0, y1})
}

// Circle is a closed outline of four cubic curves, which leave a true circle
// by less than a three-thousandth of its radius.
func Circle(x, y, r float64) Path {
	k := r * 4 / 3 * (math.Sqrt2 - 1)
	var p Path
	p.MoveTo(x+r, y)
	p.CurveTo(x+r, y+k, x+k, y+r, x, y+r)
	p.CurveTo(x-k, y+r, x-r, y+k, x-r, y)
	p.CurveTo(x-r, y-k, x-k, y-r, x, y-r)
	p.CurveTo(x+k, y-r, x+r, y-k, x+r, y)
	p.Close()
	return p
}

// A Placing is how a path is scaled, turned and moved, in that order.
type Placing struct {
	Scale float64 // zero is 1
	Turn  float64 // radians, clockwise as seen
	X, Y  float64
}

// At is the path scaled, turned and moved.
func (p Path) At(a Placing) Path {
	if a.Scale == 0 {
		a.Scale = 1
	}
	sin, cos := math.Sincos(a.Turn)
	out := Path{make([]step, len(p.steps))}
	for i, s := range p.steps {
		for j := range s.points() {
			x, y := s.p[j].X*a.Scale, s.p[j].Y*a.Scale
			s.p[j] = Point{a.X + float64(cos*x) - float64(sin*y), a.Y + float64(sin*x) + float64(cos*y)}
		}
		out.steps[i] = s
	}
	return out
}

// SVG is the path as the d attribute of an SVG path element, to a hundredth.
func (p Path) SVG() string {
	var b strings.Builder
	for i := range p.steps {
		s := &p.steps[i]
		b.WriteByte(s.verb)
		for j := range s.points() {
			if j > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(hundredths(s.p[j].X))
			b.WriteByte(' ')
			b.WriteString(hundredths(s.p[j].Y))
		}
	}
	return b.String()
}

func hundredths(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 {
		return "0" // never "-0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// A run is an outline made straight.
type run struct {
	points []Point
	closed bool
}

// flatness is how far a straightened curve may leave the true one, px.
const flatness = 0.1

// runs straightens the curves of a path.
func (p Path) runs() []run {
	var out []run
	var at Point
	open := false
	begin := func(q Point) {
		out = append(out, run{points: []Point{q}})
		open = true
	}
	for i := range p.steps {
		s := &p.steps[i]
		if s.verb != 'M' && s.verb != 'Z' && !open {
			begin(at)
		}
		switch s.verb {
		case 'M':
			begin(s.p[0])
		case 'Z':
			if open {
				last := &out[len(out)-1]
				last.closed = true
				at = last.points[0]
				open = false
			}
			continue
		case 'L':
			last := &out[len(out)-1]
			last.points = append(last.points, s.p[0])
		case 'Q':
			last := &out[len(out)-1]
			a, b := at.toward(s.p[0], 2./3), s.p[1].toward(s.p[0], 2./3)
			last.points = bend(last.points, at, a, b, s.p[1])
		case 'C':
			last := &out[len(out)-1]
			last.points = bend(last.points, at, s.p[0], s.p[1], s.p[2])
		}
		at = s.p[s.points()-1]
	}
	return out
}

// bend adds a cubic curve from a in enough straight parts: the error of n
// parts is at most the largest second difference of the control points times
// 3/4, over n².
func bend(to []Point, a, b, c, d Point) []Point {
	u := a.minus(b.times(2)).plus(c).length()
	v := b.minus(c.times(2)).plus(d).length()
	n := int(math.Ceil(math.Sqrt(0.75 * max(u, v) / flatness)))
	n = min(max(n, 1), 64)
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		ab, bc, cd := a.toward(b, t), b.toward(c, t), c.toward(d, t)
		to = append(to, ab.toward(bc, t).toward(bc.toward(cd, t), t))
	}
	return append(to, d)
}
