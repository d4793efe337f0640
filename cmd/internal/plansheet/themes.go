package plansheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
)

// composeErrors tints the ground by its standard error and numbers the places
// to measure next.
func (s *sheet) composeErrors(p *panel) {
	classes := look.Errors(s.p.Units)
	seen := s.tintErrors(p, classes)
	for k := range classes {
		if seen[k] && !slices.Contains(s.shown.classes, k) {
			s.shown.classes = append(s.shown.classes, k)
		}
	}
	slices.Sort(s.shown.classes)

	// The places come before all else: what they stand on can be seen beside.
	s.placeNext(p)
	crosses := s.findShots(p)
	levels := make([]contour.Level, 0, len(classes))
	for _, c := range classes[1:] {
		levels = append(levels, contour.Level{Z: c.From, Label: borderOf(c)})
	}
	curves := findCurves(p, s.p.Error, levels)
	s.labelContours(p, slices.DeleteFunc(slices.Clone(curves), func(c *curve) bool { return c.length < leastBorder }), false)
	for _, c := range curves {
		for i := range c.labels { // over tints as dark as a contour's ink
			c.labels[i].ink, c.labels[i].halo = look.Print, 0.5
		}
	}

	var borders paint.Path
	for _, c := range curves {
		borders.Append(drafting.Broken(c.points, joined(nil, c.gaps)))
	}
	s.stroke(p, borders, paint.Pen{Width: thinPen}, look.ContourText)
	s.addGrid(p)
	s.addOutline(p)
	s.addBreaklines(p)
	s.addShots(p, crosses)
	s.addLabels(curves)
	for i, q := range s.p.Next {
		if x, y := p.at(q); inside(p, x, y) {
			s.shown.next = true
			s.addNumber(p, i+1, x, y)
		}
	}
}

// borderOf is the lower border of a class as its label has it: "5 cm" of "5 to
// 10 cm" and "20 cm" of "over 20 cm".
func borderOf(c look.ErrorClass) string {
	words := strings.Fields(c.Label)
	if words[0] == "over" {
		return words[1] + " " + words[2]
	}
	return words[0] + " " + words[len(words)-1]
}

// leastBorder is the shortest border of a class that is labelled, mm.
const leastBorder = 40

func inside(p *panel, x, y float64) bool { return x > p.x0 && x < p.x1 && y > p.y0 && y < p.y1 }

// leastCell is the smallest cell that is tinted by itself, mm: smaller ones are
// taken together.
const leastCell = 0.4

// tintErrors tints the cells of a panel by class and reports which it met. All
// of a class and the worse ones are one path, so that no seam shows between
// cells or between classes.
func (s *sheet) tintErrors(p *panel, classes []look.ErrorClass) []bool {
	g := s.p.Error
	q := max(1, int(leastCell/(g.CellSize*p.scale)))
	seen := make([]bool, len(classes))
	paths := make([]paint.Path, len(classes))
	corner := func(row, col int) paint.Point {
		x, y := p.at(orb.Point{g.West + float64(col)*g.CellSize, g.North - float64(row)*g.CellSize})
		return paint.Point{X: x, Y: y}
	}
	for r := 0; r < g.Rows; r += q {
		class := func(c int) int { return errorClass(s.p, g, r, c, q) }
		for c := 0; c < g.Cols; {
			k := class(c)
			to := c + q
			for to < g.Cols && class(to) == k {
				to += q
			}
			if k >= 0 {
				a, b := corner(r, c), corner(r, min(to, g.Cols))
				d, e := corner(min(r+q, g.Rows), min(to, g.Cols)), corner(min(r+q, g.Rows), c)
				if near(drafting.Span(a.X, a.Y, d.X, d.Y, math.Hypot(b.X-e.X, b.Y-e.Y)), p) {
					seen[k] = true
					for i := range k + 1 {
						paths[i].Append(paint.Polygon(a, b, d, e))
					}
				}
			}
			c = to
		}
	}
	for k := range classes {
		s.fill(p, paths[k], classes[k].Fill)
	}
	return seen
}

// errorClass is the class of a block of q by q cells, by its middle one; -1
// where nothing is known.
func errorClass(plan *Plan, g *terrain.Grid[float32], row, col, q int) int {
	row, col = min(row+q/2, g.Rows-1), min(col+q/2, g.Cols-1)
	v := g.At(row, col)
	if v != v || terrain.IsVoid(plan.Ground.At(row, col)) {
		return -1
	}
	return look.Error(plan.Units, float64(v))
}

// numberRadius is the half width of a numbered place, mm.
const numberRadius = 2.1

func (s *sheet) placeNext(p *panel) {
	for _, q := range s.p.Next {
		if x, y := p.at(q); inside(p, x, y) {
			s.places.Take(drafting.Box{X: x, Y: y, W: numberRadius + 0.5, H: numberRadius + 0.5})
		}
	}
}

// addNumber draws a place to measure: its number on a dark disc.
func (s *sheet) addNumber(on *panel, n int, x, y float64) {
	s.fill(on, paint.Circle(x, y, numberRadius+0.5), look.Paper)
	s.fill(on, paint.Circle(x, y, numberRadius), look.Print)
	text := strconv.Itoa(n)
	b := drafting.Box{X: x, Y: y, W: s.bold.Width(text, labelSize) / 2, H: labelSize * 0.4}
	s.items = append(s.items, s.label(on, text, true, labelSize, b, look.Paper, 0))
}

// markRadius is the half side of the smallest triangle, mm.
const markRadius = 1.35

// composeResiduals marks every shot by how far it lies from what the others
// say, and names the suspicious ones.
func (s *sheet) composeResiduals(p *panel) {
	curves := s.findContours(p)
	type mark struct {
		shot  int
		x, y  float64
		value float64
	}
	var marks []mark
	for i := range s.p.Shots {
		x, y := p.at(s.p.Shots[i].Point)
		if !inside(p, x, y) {
			continue
		}
		m := mark{i, x, y, math.NaN()}
		if len(s.p.Standardised) > 0 {
			m.value = s.p.Standardised[i]
		}
		marks = append(marks, m)
	}
	// The farthest off lie on top and are seen first.
	slices.SortStableFunc(marks, func(a, b mark) int {
		return cmpSize(a.value) - cmpSize(b.value)
	})
	thinned := drafting.Placement{Cell: 4}
	for i := len(marks) - 1; i >= 0; i-- {
		m := marks[i]
		r := markRadius * look.ResidualSize(m.value)
		b := drafting.Box{X: m.x, Y: m.y, W: r, H: r}
		if math.Abs(m.value) > look.Suspect || thinned.Free(b) {
			thinned.Take(b)
			s.places.Take(b)
			continue
		}
		marks = slices.Delete(marks, i, i+1)
	}
	labels, leaders := s.nameSuspicious(p)

	var thin paint.Path
	for _, c := range curves {
		s.shown.contours = true
		thin.Append(drafting.Outline(c.points, c.closed))
	}
	s.stroke(p, thin, paint.Pen{Width: thinPen}, look.ContourLine)
	s.addGrid(p)
	s.addOutline(p)
	s.addBreaklines(p)
	on := onto{s, p}
	for _, m := range marks {
		symbol := look.Residual(m.value)
		symbol.Draw(on, m.x, m.y, markRadius*look.ResidualSize(m.value), true)
		if !slices.ContainsFunc(s.shown.marks, func(o look.Symbol) bool { return o.Name == symbol.Name }) {
			s.shown.marks = append(s.shown.marks, symbol)
		}
	}
	s.stroke(p, leaders, paint.Pen{Width: 0.9}, look.Paper)
	s.stroke(p, leaders, paint.Pen{Width: 0.25}, look.Print)
	s.items = append(s.items, labels...)
}

// cmpSize orders residuals by size in tenths; one not known is least.
func cmpSize(v float64) int {
	if v != v {
		return -1
	}
	return int(min(math.Abs(v), 1e6) * 10)
}

// nameSuspicious finds room for the rank and name of each suspicious shot, the
// worst first; a name that cannot stand beside its mark has a leader to it.
func (s *sheet) nameSuspicious(p *panel) (names []item, leaders paint.Path) {
	for rank, k := range s.p.Suspicious {
		x, y := p.at(s.p.Shots[k].Point)
		if !inside(p, x, y) {
			continue
		}
		text := strconv.Itoa(rank + 1)
		if name := strings.TrimSpace(s.p.Shots[k].Name); name != "" {
			text += " " + name
		}
		text = s.bold.Fit(text, labelSize, 34)
		r := markRadius
		if len(s.p.Standardised) > 0 {
			r *= look.ResidualSize(s.p.Standardised[k])
		}
		b, far, ok := s.beside(p, x, y, r+0.4, s.bold.Width(text, labelSize)/2+0.3, labelSize*0.5)
		if !ok {
			continue
		}
		s.places.Take(b)
		names = append(names, s.label(p, text, true, labelSize, b, look.Print, 0.4))
		if far > 0 {
			end := paint.Point{X: min(max(x, b.X-b.W), b.X+b.W), Y: min(max(y, b.Y-b.H), b.Y+b.H)}
			t := r / math.Hypot(end.X-x, end.Y-y)
			leaders.MoveTo(x+t*(end.X-x), y+t*(end.Y-y))
			leaders.LineTo(end.X, end.Y)
		}
	}
	return names, leaders
}

// beside is room for a box beside a mark, nearest first, and how far beyond the
// nearest place it is.
func (s *sheet) beside(p *panel, x, y, gap, halfWide, halfHigh float64) (b drafting.Box, far float64, ok bool) {
	for far := 0.0; far <= 9; far += 1.5 {
		for _, side := range [...][2]float64{{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {1, 1}, {-1, -1}, {-1, 1}} {
			b := drafting.Box{X: x + side[0]*(halfWide+gap+far), Y: y + side[1]*(halfHigh+gap+far), W: halfWide, H: halfHigh}
			if p.holds(b.Grow(0.5)) && s.places.Free(b) {
				return b, far, true
			}
		}
	}
	return b, 0, false
}

// onto makes a drawing of a sheet's own list, within a panel if there is one.
type onto struct {
	*sheet
	p *panel
}

func (o onto) Fill(p paint.Path, ink colour)                  { o.fill(o.p, p, ink) }
func (o onto) Stroke(p paint.Path, pen paint.Pen, ink colour) { o.stroke(o.p, p, pen, ink) }
func (o onto) Text(*paint.Face, string, float64, paint.Placing, colour) {
	panic("plansheet: text is written, not drawn")
}
func (o onto) Within(_, _, _, _ float64, draw func(paint.Drawing)) { draw(o) }
