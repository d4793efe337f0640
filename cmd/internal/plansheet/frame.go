package plansheet

import (
	"fmt"
	"image/color"
	"math"
	"strconv"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

type colour = color.RGBA

// gridStep is how far grid lines are apart on the sheet at least, mm.
const gridStep = 32

// addGrid marks round coordinates: crosses on the ground and figures where
// their lines meet the upper and the left edge of the frame.
func (s *sheet) addGrid(p *panel) {
	unit, _ := s.p.GridUnit()
	step := drafting.Tidy(gridStep/p.scale/unit) * unit
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, q := range [...]orb.Point{p.ground(p.x0, p.y0), p.ground(p.x1, p.y0), p.ground(p.x0, p.y1), p.ground(p.x1, p.y1)} {
		b = b.Extend(q)
	}
	var all paint.Path
	for i := math.Ceil(b.Min[0] / step); i*step <= b.Max[0]; i++ {
		for j := math.Ceil(b.Min[1] / step); j*step <= b.Max[1]; j++ {
			x, y := p.at(orb.Point{i * step, j * step})
			if x > p.x0 && x < p.x1 && y > p.y0 && y < p.y1 {
				all.Append(drafting.Cross(0, 0, 1.7).At(paint.Placing{Turn: p.turn, X: x, Y: y}))
			}
		}
	}
	s.stroke(p, all, paint.Pen{Width: 0.18}, look.Quiet)

	figures := drafting.Placement{Cell: 10}
	var ticks paint.Path
	edge := func(from, to paint.Point, turn float64) {
		a, z := p.ground(from.X, from.Y), p.ground(to.X, to.Y)
		long := math.Hypot(to.X-from.X, to.Y-from.Y)
		for k, letter := range [...]string{" E", " N"} {
			// A line that meets the edge at less than 15 degrees reads badly.
			if rate := (z[k] - a[k]) * p.scale / long; math.Abs(rate) < 0.26 {
				continue
			}
			lo, hi := min(a[k], z[k]), max(a[k], z[k])
			for i := math.Ceil(lo / step); i*step <= hi; i++ {
				t := (i*step - a[k]) / (z[k] - a[k])
				x, y := from.X+(to.X-from.X)*t, from.Y+(to.Y-from.Y)*t
				// Adding nought takes the sign from a nought below zero.
				text := strconv.FormatFloat(math.Round(i*step/unit*1e6)/1e6+0, 'f', -1, 64) + letter
				w := s.regular.Width(text, smallSize) / 2
				if t*long < w || t*long > long-w {
					continue
				}
				out := 1 + smallSize*0.5 + 0.6
				sin, cos := math.Sincos(turn)
				box := drafting.Box{X: x + sin*out, Y: y - cos*out, W: w, H: smallSize * 0.47, Turn: turn}
				if !figures.Free(box.Grow(0.8)) {
					continue
				}
				figures.Take(box)
				ticks.MoveTo(x, y)
				ticks.LineTo(x+sin*1.1, y-cos*1.1)
				s.items = append(s.items, s.label(nil, text, false, smallSize, box, look.Print, 0))
			}
		}
	}
	edge(paint.Point{X: p.x0, Y: p.y0}, paint.Point{X: p.x1, Y: p.y0}, 0)
	edge(paint.Point{X: p.x0, Y: p.y0}, paint.Point{X: p.x0, Y: p.y1}, -math.Pi/2)
	s.stroke(nil, ticks, paint.Pen{Width: 0.25}, look.Print)
}

// addFrame closes a panel off and, on a plan in strips, says which part it is.
func (s *sheet) addFrame(p *panel) {
	s.stroke(nil, paint.Rectangle(p.x0, p.y0, p.x1, p.y1), paint.Pen{Width: 0.35}, look.Print)
	if n := len(s.panels); n > 1 {
		s.write(fmt.Sprintf("part %d of %d; each shows a little of the next", p.part+1, n), true, smallSize, p.x0, p.y1+3.2, look.Print)
	}
}

// addBars draws, below the plan, the bar that tells whether the printer kept
// the scale, and the scale bar.
func (s *sheet) addBars() {
	last := s.panels[len(s.panels)-1]
	x, y := last.x0, last.y1+4
	if len(s.panels) > 1 {
		y += 1.5
	}
	unit, name := s.p.unit()
	scale := last.scale * unit // mm to a unit
	if !s.way.bare {
		x += s.addCheckBar(x, y) + 8
	}
	room := min(last.x1-x-8, 90)
	fit := drafting.FitBar(room, scale)
	fit.Draw(onto{s, nil}, x, y+0.4, scale, 1.8, 0.25, look.Print, look.Paper)
	fit.Figures(x, scale, 1.5, name,
		func(text string) float64 { return s.regular.Width(text, textSize) },
		func(text string, at float64) { s.write(text, false, textSize, at, y+5.4, look.Print) })
	s.barLength = fit.Length() * unit
	if s.way.bare {
		s.addNorth(last.x1-6, y+3.6, 3.2)
	}
}

// addCheckBar draws a bar of a length on paper and returns it, mm.
func (s *sheet) addCheckBar(x, y float64) float64 {
	long, says := 100.0, "100 mm when printed at 100 %"
	if s.p.Units == quantity.Feet {
		long, says = 4*25.4, "4 in when printed at 100 %"
	}
	s.checkLength = long
	bar := paint.Polyline(paint.Point{X: x, Y: y}, paint.Point{X: x, Y: y + 3}, paint.Point{X: x, Y: y + 1.5},
		paint.Point{X: x + long, Y: y + 1.5}, paint.Point{X: x + long, Y: y}, paint.Point{X: x + long, Y: y + 3})
	s.stroke(nil, bar, paint.Pen{Width: 0.3}, look.Print)
	s.write(says, false, smallSize, x+(long-s.regular.Width(says, smallSize))/2, y+5.2, look.Print)
	return long
}

// addNorth draws the arrow to the north about a place.
func (s *sheet) addNorth(x, y, half float64) {
	// The letter stands beyond the tip, where the arrow points.
	sin, cos := math.Sincos(s.way.turn)
	w := s.bold.Width("N", headSize)
	far := half + 1.8
	drafting.North(onto{s, nil}, x, y+1, half, half*0.4, s.way.turn, 0.3, look.Print)
	s.write("N", true, headSize, x+far*sin-w/2, y+1-far*cos+1.1, look.Print)
}
