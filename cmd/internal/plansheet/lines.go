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
		points, seen := p.onSheet(l.Points, l.Closed)
		if !seen || len(points) < 2 {
			continue
		}
		s.shown.kinds[l.Kind] = true
		line := paint.Polyline(points...)
		s.stroke(p, line, paint.Pen{Width: 1.3}, look.Paper)
		s.drawStyle(p, points, styleOf(l.Kind), s.height(p))
	}
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
		points, seen := p.onSheet(orb.LineString(ring), true)
		if !seen || len(points) < 3 {
			continue
		}
		pen := outlinePen
		if i > 0 {
			pen = holePen
			s.shown.holes = true
		} else {
			s.shown.outline = true
		}
		line := paint.Polyline(points...)
		if s.o.Show == Errors { // some tints are nearly as dark
			s.stroke(p, line, paint.Pen{Width: 0.9}, look.Paper)
		}
		s.stroke(p, line, pen, look.Print)
	}
}
