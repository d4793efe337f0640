package plansheet

import (
	"image/color"
	"math"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A style is how a kind of line is drawn: told apart by dashes and marks
// before colour.
type style struct {
	pen   paint.Pen
	ink   color.RGBA
	teeth float64 // mm between short strokes to the lower side; 0 has none
	arrow float64 // mm between arrow heads down the line; 0 has none
}

func styleOf(k Kind) style {
	switch k {
	case Ditch:
		return style{pen: paint.Pen{Width: 0.5, Dash: []float64{5, 1.2, 0.6, 1.2}}, ink: look.Shore, arrow: 22}
	case BankTop:
		return style{pen: paint.Pen{Width: 0.4}, ink: look.Print, teeth: 2.4}
	case BedEdge:
		return style{pen: paint.Pen{Width: 0.4, Dash: []float64{1.6, 1}}, ink: look.Print}
	case RoadCrown:
		return style{pen: paint.Pen{Width: 0.4, Dash: []float64{7, 1.4, 2, 1.4}}, ink: look.Print}
	}
	return style{pen: paint.Pen{Width: 0.4, Dash: []float64{0.5, 0.9}}, ink: look.Print}
}

// addBreaklines draws the breaklines. The teeth of a bank and the arrows of a
// ditch follow the ground: to its lower side, and down it.
func (s *sheet) addBreaklines(p *panel) {
	for _, l := range s.p.Breaklines {
		for _, points := range p.onSheet(l.Points, l.Closed) {
			s.shown.kinds[l.Kind] = true
			s.stroke(p, paint.Polyline(points...), paint.Pen{Width: 1.3}, look.Paper)
			s.drawStyle(p, points, styleOf(l.Kind), s.height(p))
		}
	}
}

// beyond is how far outside its frame a line is still followed, mm.
const beyond = 5

// onSheet brings a line onto the sheet: the parts of it that the frame shows. A
// closed one ends where it began.
func (p *panel) onSheet(line orb.LineString, closed bool) [][]paint.Point {
	n := len(line)
	if closed && n > 2 && line[0] != line[n-1] {
		line = append(line[:n:n], line[0])
	}
	var out [][]paint.Point
	var last paint.Point
	for i := 1; i < len(line); i++ {
		x0, y0 := p.at(line[i-1])
		x1, y1 := p.at(line[i])
		from, to, ok := clip(paint.Point{X: x0, Y: y0}, paint.Point{X: x1, Y: y1}, p.x0-beyond, p.y0-beyond, p.x1+beyond, p.y1+beyond)
		if !ok || from == to {
			continue
		}
		if k := len(out); k > 0 && last == from {
			out[k-1] = append(out[k-1], to)
		} else {
			out = append(out, []paint.Point{from, to})
		}
		last = to
	}
	return out
}

// clip is the part of a straight line within a rectangle, and whether there is
// one: Liang, Y.-D., Barsky, B.A. (1984), A new concept and method for line
// clipping, ACM Transactions on Graphics 3(1), 1–22.
func clip(a, b paint.Point, x0, y0, x1, y1 float64) (from, to paint.Point, ok bool) {
	lo, hi := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, side := range [...][2]float64{{-dx, a.X - x0}, {dx, x1 - a.X}, {-dy, a.Y - y0}, {dy, y1 - a.Y}} {
		rate, room := side[0], side[1]
		switch {
		case rate < 0:
			lo = max(lo, room/rate)
		case rate > 0:
			hi = min(hi, room/rate)
		case !(rate == 0 && room >= 0): // also of what is no number
			return a, b, false
		}
	}
	if !(lo <= hi) {
		return a, b, false
	}
	from, to = a, b
	if lo > 0 {
		from = paint.Point{X: a.X + lo*dx, Y: a.Y + lo*dy}
	}
	if hi < 1 {
		to = paint.Point{X: a.X + hi*dx, Y: a.Y + hi*dy}
	}
	return from, to, true
}

// height is the level of the ground at a place on the sheet, NaN where not
// known.
func (s *sheet) height(p *panel) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		z, ok := terrain.AtPoint(s.p.Ground, p.ground(x, y))
		if !ok {
			return math.NaN()
		}
		return float64(z)
	}
}

// drawStyle draws a line over the ground that height tells of.
func (s *sheet) drawStyle(on *panel, points []paint.Point, st style, height func(x, y float64) float64) {
	s.stroke(on, paint.Polyline(points...), st.pen, st.ink)
	if st.teeth == 0 && st.arrow == 0 {
		return
	}
	walk, total := drafting.NewWalk(points), drafting.Length(points)
	direction := func(at float64) (x, y, dx, dy float64) {
		a, b, m := walk.At(at-0.4), walk.At(at+0.4), walk.At(at)
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		if long == 0 {
			return m.X, m.Y, 1, 0
		}
		return m.X, m.Y, (b.X - a.X) / long, (b.Y - a.Y) / long
	}
	if st.teeth > 0 {
		const reach = 2.5 // mm to either side where the ground is compared
		lower := 0.0      // more of the right is lower where above 0
		for at := st.teeth; at < total; at += st.teeth {
			x, y, dx, dy := direction(at)
			if d := height(x+dy*reach, y-dx*reach) - height(x-dy*reach, y+dx*reach); d == d {
				lower += d
			}
		}
		side := 1.0
		if lower < 0 {
			side = -1
		}
		var teeth paint.Path
		for at := st.teeth / 2; at < total; at += st.teeth {
			x, y, dx, dy := direction(at)
			teeth.MoveTo(x, y)
			teeth.LineTo(x-dy*1.3*side, y+dx*1.3*side)
		}
		s.stroke(on, teeth, paint.Pen{Width: 0.3}, st.ink)
	}
	if st.arrow > 0 && total > 4 {
		first, last := points[0], points[len(points)-1]
		down := height(first.X, first.Y) - height(last.X, last.Y)
		if down != down || math.Abs(down) < 0.005 || first == last {
			return // as good as level, or a ring
		}
		n := max(1, int(total/st.arrow))
		for k := range n {
			x, y, dx, dy := direction(total * (float64(k) + 0.5) / float64(n))
			turn := math.Atan2(dy, dx)
			if down < 0 {
				turn += math.Pi
			}
			s.fill(on, drafting.ArrowHead(2.6, turn, x, y), st.ink)
		}
	}
}

var (
	outlinePen = paint.Pen{Width: 0.3, Dash: []float64{6, 1, 0.5, 1, 0.5, 1}}
	holePen    = paint.Pen{Width: 0.3, Dash: []float64{3, 1, 0.5, 1}}
)

// addOutline draws the edge of the area surveyed, and of what lies in it that
// was not.
func (s *sheet) addOutline(p *panel) {
	for i, ring := range s.p.Outline {
		parts := p.onSheet(orb.LineString(ring), true)
		if len(parts) == 0 || len(ring) < 3 {
			continue
		}
		pen := outlinePen
		if i > 0 {
			pen = holePen
			s.shown.holes = true
		} else {
			s.shown.outline = true
		}
		for _, points := range parts {
			line := paint.Polyline(points...)
			if s.o.Show == Errors { // some tints are nearly as dark
				s.stroke(p, line, paint.Pen{Width: 0.9}, look.Paper)
			}
			s.stroke(p, line, pen, look.Print)
		}
	}
}
