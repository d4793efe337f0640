package fieldsheet

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/hydro"
	"wetfeet/terrain/contour"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/paulmach/orb/simplify"
)

// squareLine is the colour of the lines between squares: plain to see and lighter
// than anything that stands on the ground.
var squareLine = color.RGBA{0x8a, 0x8a, 0x8a, 0xff}

// drawMap draws a map on its page, lowest first. Number is 0 for the one that
// shows all.
func (s *sheets) drawMap(v *view, number int) {
	s.keepMarks(v)
	s.drawHollows(v)
	s.drawSquares(v)
	s.drawRows(v)
	s.drawTrees(v)
	overview := number == 0 && len(s.maps) > 1
	if overview {
		s.drawSheets(v)
	}
	s.nameRows(v)
	if !overview {
		s.nameTrees(v)
	}
	s.nameHollows(v)
	v.page.stroke(paint.Rectangle(v.x0, v.y0, v.x1, v.y1), paint.Pen{Width: 0.5}, look.Print)
	s.drawFoot(v)
}

// keepMarks keeps labels off the trees.
func (s *sheets) keepMarks(v *view) {
	for _, i := range v.trees {
		x, y := v.at(s.r.Trees[i].Point)
		r := symbol(&s.r.Trees[i]).Reach() / 10 * v.radius
		v.places.Take(drafting.Box{X: x, Y: y, W: r, H: r})
	}
}

// speck is what is too small to draw of a hollow or of an island in it, mm².
const speck = 4

// drawHollows fills the hollows that lie in no other, to the brim.
func (s *sheets) drawHollows(v *view) {
	hs := s.r.Drain.Hollows
	if hs == nil {
		return
	}
	var all paint.Path
	plain := simplify.DouglasPeucker(1.2 * hs.CellSize)
	for i := range hs.All {
		h := &hs.All[i]
		if h.Parent != hydro.Outside || h.Area*v.mm*v.mm < speck {
			continue
		}
		for _, area := range hs.Outline(i) {
			if !area.Bound().Intersects(v.bound()) {
				continue
			}
			for _, ring := range area {
				if math.Abs(planar.Area(ring))*v.mm*v.mm < speck {
					continue
				}
				// Cells make stairs; a line within a cell or so of them does not.
				line := contour.Round(plain.LineString(orb.LineString(ring.Clone())), 3)
				points := make([]paint.Point, len(line))
				for k, q := range line {
					points[k].X, points[k].Y = v.at(q)
				}
				all.Append(drafting.Outline(points, true))
			}
		}
	}
	v.within(func(d paint.Drawing) {
		d.Fill(all, look.Depths(s.r.Units)[0].Fill)
		d.Stroke(all, paint.Pen{Width: 0.35}, look.Shore)
	})
}

// drawSquares draws the lines between squares, their letters and numbers, and
// the coordinates of the lines.
func (s *sheets) drawSquares(v *view) {
	q := s.squares
	var lines paint.Path
	rule := func(x0, y0, x1, y1 float64) {
		lines.MoveTo(x0, y0)
		lines.LineTo(x1, y1)
	}
	b := v.bound()
	size := 1.0 // of the unit of the figures, m
	if s.r.TapedInFeet() {
		size = quantity.Feet.Metres()
	}
	side := math.Round(q.side/size*1e6) / 1e6
	decimals := max(0, int(math.Ceil(-math.Log10(side)-1e-9)))
	if side != math.Trunc(side) { // of feet in a system of metres
		decimals = max(decimals, 1)
	}
	figure := func(m float64) string { return strconv.FormatFloat(m/size, 'f', decimals, 64) }
	upto := math.Inf(-1) // where the last figure below ends
	for c := 0; c <= q.cols; c++ {
		e := q.west + float64(c)*q.side
		x, _ := v.at(orb.Point{e, 0})
		if x > v.x0 && x < v.x1 {
			rule(x, v.y0, x, v.y1)
			w := s.width(false, headSize, figure(e))
			if x-w/2 > max(upto+3, v.x0-axisLeft) && x+w/2 < v.x1+axisRight {
				s.write(v.page, false, headSize, x-w/2, v.y1+4.6, figure(e))
				upto = x + w/2
			}
		}
		lo, hi := max(x, v.x0), min(x+q.side*v.mm, v.x1)
		if name := q.letter(c); c < q.cols && hi-lo > s.width(true, rowSize, name)+1 {
			s.write(v.page, true, rowSize, (lo+hi-s.width(true, rowSize, name))/2, v.y0-1.8, name)
		}
	}
	upto = math.Inf(-1)
	for r := 0; r <= q.rows; r++ {
		n := q.north - float64(r)*q.side
		_, y := v.at(orb.Point{b.Min[0], n})
		if y > v.y0 && y < v.y1 {
			rule(v.x0, y, v.x1, y)
			w := s.width(false, headSize, figure(n))
			if y-w/2 > max(upto+3, v.y0) && y+w/2 < v.y1 {
				s.turned(v, figure(n), v.x1+1.6, y-w/2)
				upto = y + w/2
			}
		}
		lo, hi := max(y, v.y0), min(y+q.side*v.mm, v.y1)
		if name := strconv.Itoa(r + 1); r < q.rows && hi-lo > 5 {
			s.write(v.page, true, rowSize, v.x0-1.8-s.width(true, rowSize, name), (lo+hi)/2+1.7, name)
		}
	}
	v.within(func(d paint.Drawing) { d.Stroke(lines, paint.Pen{Width: 0.2}, squareLine) })
}

// turned writes figures that read from above, beginning at (x, y).
func (s *sheets) turned(v *view, text string, x, y float64) {
	f := s.regular
	w := f.Width(text, headSize)
	v.page.draw = append(v.page.draw, func(d paint.Drawing) {
		d.Text(f, text, headSize, paint.Placing{Turn: math.Pi / 2, X: x, Y: y}, look.Print)
	})
	v.page.written = append(v.page.written, written{text, headSize, drafting.Box{X: x + paint.CapHeight*headSize/2, Y: y + w/2, W: w / 2, H: headSize / 2, Turn: math.Pi / 2}})
}

// drawRows draws the rows, broken at their gaps, and a bar where the tape
// begins.
func (s *sheets) drawRows(v *view) {
	var lines, starts paint.Path
	half := v.startBar(s.r.Rows)
	for _, row := range s.r.Rows {
		if len(row.Line) < 2 || !row.Line.Bound().Intersects(v.bound()) {
			continue
		}
		points := make([]paint.Point, len(row.Line))
		for i, q := range row.Line {
			points[i].X, points[i].Y = v.at(q)
		}
		gaps := make([][2]float64, len(row.Gaps))
		for i, g := range row.Gaps {
			gaps[i] = [2]float64{g[0] * v.mm, g[1] * v.mm}
		}
		slices.SortFunc(gaps, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
		lines.Append(drafting.Broken(points, gaps))
		start := v.start(row.Line)
		starts.MoveTo(start.bar.X-start.dy*half, start.bar.Y+start.dx*half)
		starts.LineTo(start.bar.X+start.dy*half, start.bar.Y-start.dx*half)
		v.places.Take(drafting.Box{X: start.bar.X, Y: start.bar.Y, W: 0.8, H: half, Turn: math.Atan2(start.dy, start.dx)})
	}
	v.within(func(d paint.Drawing) {
		d.Stroke(lines, paint.Pen{Width: 0.3}, look.RowLine)
		d.Stroke(starts, paint.Pen{Width: 1}, look.Print)
	})
}

// startBar is half the length of the bars where rows start: so short that those
// of neighbouring rows stay apart.
func (v *view) startBar(rows []assess.Row) float64 {
	apart := math.Inf(1)
	for i, a := range rows {
		for _, b := range rows[:i] {
			if len(a.Line) > 1 && len(b.Line) > 1 {
				apart = min(apart, math.Hypot(a.Line[0][0]-b.Line[0][0], a.Line[0][1]-b.Line[0][1]))
			}
		}
	}
	return max(0.8, min(v.radius+1.2, 0.36*apart*v.mm))
}

// A start is where a row begins on the map: the middle of its bar, a little
// before the first tree, and its direction.
type start struct {
	bar    paint.Point
	dx, dy float64
}

func (v *view) start(line orb.LineString) start {
	x0, y0 := v.at(line[0])
	for _, q := range line[1:] {
		x, y := v.at(q)
		if long := math.Hypot(x-x0, y-y0); long > 0 {
			dx, dy := (x-x0)/long, (y-y0)/long
			back := v.radius + 1
			return start{paint.Point{X: x0 - back*dx, Y: y0 - back*dy}, dx, dy}
		}
	}
	return start{paint.Point{X: x0, Y: y0}, 1, 0}
}

// drawTrees draws the marks, those at least risk first so that the worst lie on
// top.
func (s *sheets) drawTrees(v *view) {
	order := slices.Clone(v.trees)
	worst := func(i int) int {
		if t := &s.r.Trees[i]; t.OnGround {
			return int(t.Risk)
		}
		return -1
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(worst(a), worst(b)) })
	v.within(func(d paint.Drawing) {
		for _, i := range order {
			x, y := v.at(s.r.Trees[i].Point)
			symbol(&s.r.Trees[i]).Draw(d, x, y, v.radius, true)
		}
	})
}

// drawSheets draws where the sheets of a larger scale lie, with their numbers.
func (s *sheets) drawSheets(v *view) {
	for k, m := range s.maps[1:] {
		b := m.bound().Pad(-lap / m.mm)
		x0, y0 := v.at(orb.Point{b.Min[0], b.Max[1]})
		x1, y1 := v.at(orb.Point{b.Max[0], b.Min[1]})
		x0, y0, x1, y1 = max(x0, v.x0), max(y0, v.y0), min(x1, v.x1), min(y1, v.y1)
		v.within(func(d paint.Drawing) {
			d.Stroke(paint.Rectangle(x0, y0, x1, y1), paint.Pen{Width: 0.7, Dash: []float64{3, 1.5}}, look.Print)
		})
		text := "sheet " + strconv.Itoa(k+1)
		w := s.width(true, rowSize, text)
		for _, at := range [...]paint.Point{{X: (x0 + x1) / 2, Y: (y0 + y1) / 2}, {X: (x0 + x1) / 2, Y: y0 + 4}, {X: (x0 + x1) / 2, Y: y1 - 4}} {
			box := drafting.Box{X: at.X, Y: at.Y, W: w/2 + 0.6, H: rowSize/2 + 0.4}
			if v.holds(box) && s.clearOfText(v.page, box) {
				s.label(v, text, true, rowSize, box)
				break
			}
		}
	}
}

// clearOfText reports whether a box lies on no text of a page.
func (s *sheets) clearOfText(p *page, b drafting.Box) bool {
	return !slices.ContainsFunc(p.written, func(w written) bool { return w.box.Meets(b) })
}

// label writes a text in the middle of a box, with paper around its letters.
func (s *sheets) label(v *view, text string, bold bool, size float64, b drafting.Box) {
	f := s.face(bold)
	w := f.Width(text, size)
	at := paint.Placing{X: b.X - w/2, Y: b.Y + paint.CapHeight*size/2}
	v.within(func(d paint.Drawing) {
		paint.Halo(d, f, text, size, 0.5, at, look.Paper)
		d.Text(f, text, size, at, look.Print)
	})
	v.page.written = append(v.page.written, written{text, size, textBox(at.X, at.Y, w, size)})
	v.places.Take(b)
}

// try writes a label at the first place that is free.
func (s *sheets) try(v *view, text string, bold bool, size float64, places ...paint.Point) bool {
	w := s.width(bold, size, text)
	for _, at := range places {
		b := drafting.Box{X: at.X, Y: at.Y, W: w/2 + 0.4, H: paint.CapHeight*size/2 + 0.5}
		if v.holds(b) && v.places.Free(b) {
			s.label(v, text, bold, size, b)
			return true
		}
	}
	return false
}

// nameRows writes the name of each row before its start, or where its start is
// not on the sheet beside the first of its trees that is.
func (s *sheets) nameRows(v *view) {
	on := make([]bool, len(s.r.Trees))
	for _, i := range v.trees {
		x, y := v.at(s.r.Trees[i].Point)
		on[i] = v.holds(drafting.Box{X: x, Y: y, W: 0.1, H: 0.1})
	}
	for _, row := range s.r.Rows {
		if len(row.Line) < 2 {
			continue
		}
		name, size := s.bold.Fit(row.Name, rowSize, 25), rowSize
		// beyond is the middle of a label on one side of a place, clear of it.
		beyond := func(at paint.Point, dx, dy, from float64) paint.Point {
			far := from + math.Abs(dx)*(s.width(true, size, name)/2+0.8) + math.Abs(dy)*(paint.CapHeight*size/2+0.8)
			return paint.Point{X: at.X + dx*far, Y: at.Y + dy*far}
		}
		b := v.start(row.Line)
		if v.holds(drafting.Box{X: b.bar.X, Y: b.bar.Y, W: 0.1, H: 0.1}) &&
			s.try(v, name, true, size, beyond(b.bar, -b.dx, -b.dy, 0.5), beyond(b.bar, b.dy, -b.dx, v.radius+1.2), beyond(b.bar, -b.dy, b.dx, v.radius+1.2)) {
			continue
		}
		name, size = "row "+name, headSize
		var places []paint.Point
		add := func(i int, dx, dy float64) {
			x, y := v.at(s.r.Trees[i].Point)
			places = append(places, beyond(paint.Point{X: x, Y: y}, dx, dy, v.radius+0.2))
		}
		var shown []int
		for _, i := range row.Trees {
			if on[i] {
				shown = append(shown, i)
			}
		}
		if len(shown) == 0 {
			continue
		}
		add(shown[0], -b.dx, -b.dy)
		add(shown[len(shown)-1], b.dx, b.dy)
		for _, i := range shown {
			add(i, b.dy, -b.dx)
			add(i, -b.dy, b.dx)
		}
		s.try(v, name, true, size, places...)
	}
}

// nameTrees writes the numbers of flagged trees and, as on a tape, of every
// second, fifth, tenth one and so on; single positions by their names.
func (s *sheets) nameTrees(v *view) {
	every := 1
	apart := s.apart(v.trees) * v.mm
	for _, k := range [...]int{1, 2, 5, 10, 20, 50, 100} {
		if every = k; float64(k)*apart >= 15 {
			break
		}
	}
	write := func(i int, bold bool) {
		t := &s.r.Trees[i]
		text := s.face(bold).Fit(t.Place(), headSize, 30)
		x, y := v.at(t.Point)
		dx, dy := s.width(bold, headSize, text)/2+v.radius+0.7, v.radius+paint.CapHeight*headSize/2+0.7
		s.try(v, text, bold, headSize, paint.Point{X: x, Y: y - dy}, paint.Point{X: x, Y: y + dy}, paint.Point{X: x + dx, Y: y}, paint.Point{X: x - dx, Y: y})
	}
	flagged := slices.DeleteFunc(slices.Clone(v.trees), func(i int) bool { return !s.r.Trees[i].Flagged })
	slices.SortStableFunc(flagged, func(a, b int) int { return cmp.Compare(s.r.Trees[b].Risk, s.r.Trees[a].Risk) })
	for _, i := range flagged {
		write(i, true)
	}
	for _, i := range v.trees {
		t := &s.r.Trees[i]
		if n, err := strconv.Atoi(t.Place()); !t.Flagged && (err != nil || n%every == 0) {
			write(i, false)
		}
	}
}

// nameHollows numbers the hollows that are drawn, at their deepest place.
func (s *sheets) nameHollows(v *view) {
	hs := s.r.Drain.Hollows
	if hs == nil {
		return
	}
	for i := range hs.All {
		h := &hs.All[i]
		if h.Parent != hydro.Outside || h.Area*v.mm*v.mm < 60 {
			continue
		}
		x, y := v.at(hs.Centre(hs.Cell(h.FloorCell)))
		var places []paint.Point
		for _, d := range [...]float64{0, 5, -5, 9, -9, 14, -14} {
			places = append(places, paint.Point{X: x, Y: y + d}, paint.Point{X: x + d, Y: y})
		}
		s.try(v, "hollow "+strconv.Itoa(h.ID), false, headSize, places...)
	}
}

// drawFoot draws scale, arrow and legend below a map.
func (s *sheets) drawFoot(v *view) {
	p := v.page
	top := max(v.y1+axisHigh, p.high-margin-footHigh)
	x, y := margin, top+6.0
	unit, sign := s.r.Units.Metres(), "m"
	words := fmt.Sprintf("1:%d", v.scale)
	if s.r.Units == quantity.Feet {
		sign = "ft"
		if v.scale%12 == 0 {
			words = fmt.Sprintf("1 in = %d ft", v.scale/12)
		}
	}
	x += s.write(p, true, rowSize, x, y, words) + 6
	bar := drafting.FitBar(min(80, p.wide/2-x), v.mm*unit)
	at, barTop := x, y-3.2
	p.draw = append(p.draw, func(d paint.Drawing) {
		bar.Draw(d, at, barTop, v.mm*unit, 2, 0.3, look.Print, look.Paper)
	})
	bar.Figures(x, v.mm*unit, 2, sign, func(text string) float64 { return s.width(false, headSize, text) },
		func(text string, at float64) { s.write(p, false, headSize, at, y+2.8, text) })
	north, middle := p.wide-margin-4, y-0.5
	p.draw = append(p.draw, func(d paint.Drawing) { drafting.North(d, north, middle, 5.5, 2.4, 0, 0.35, look.Print) })
	s.right(p, true, rowSize, north-3.5, y+1.5, "N")
	x += bar.Length()*unit*v.mm + 14
	says := fmt.Sprintf("Print at 100 %%. A square is %s wide.", trimmed(s.squares.side, s.r.Units))
	if s.width(false, headSize, says) < north-12-x {
		s.write(p, false, headSize, x, y, says)
		says = ""
	}
	y += 9
	s.legend(p, margin, y)
	y += 6
	x = margin
	box := paint.Rectangle(margin, y-2.8, margin+5, y+0.4)
	p.draw = append(p.draw, func(d paint.Drawing) {
		d.Fill(box, look.Depths(s.r.Units)[0].Fill)
		d.Stroke(box, paint.Pen{Width: 0.35}, look.Shore)
	})
	x += 6.5
	x += s.write(p, false, headSize, x, y, "hollow, full") + 6
	p.rule(x, y-3, x, y+0.6, 1)
	x += 2
	x += s.write(p, false, headSize, x, y, "start of a row: the tape begins here") + 6
	if says != "" && s.width(false, headSize, says) < p.wide-margin-x {
		s.write(p, false, headSize, x, y, says)
	}
	y += 5
	figures := "metres"
	if s.r.TapedInFeet() {
		figures = "feet"
	}
	s.write(p, false, headSize, margin, y, s.regular.Fit("Figures along the edges: "+figures+", "+drafting.SystemName(s.r.Drain.Ground.CRS)+".", headSize, p.wide-2*margin))
}

// trimmed is a length without needless decimals: "20 m".
func trimmed(m float64, u quantity.Units) string {
	unit := "m"
	if u == quantity.Feet {
		unit = "ft"
	}
	return strconv.FormatFloat(math.Round(m/u.Metres()*1e6)/1e6, 'f', -1, 64) + " " + unit
}
