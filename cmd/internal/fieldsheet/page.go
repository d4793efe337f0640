package fieldsheet

import (
	"fmt"
	"image/color"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
)

// A point of text is so many millimetres.
const point = 25.4 / 72

// Sizes of text, mm. None is less than ten points.
const (
	textSize  = 10.5 * point
	stakeSize = 11 * point
	headSize  = 10 * point
	rowSize   = 13 * point
	titleSize = 16 * point
)

// Measures of a page, mm.
const (
	margin  = 12.0
	topHigh = 12.0 // of the head of a page
	footing = 9.0  // of its foot
)

// A page is one page being made.
type page struct {
	wide, high float64
	title      string
	draw       []func(paint.Drawing)
	written    []written
}

// written is a piece of text on a page and the box around it.
type written struct {
	text string
	size float64
	box  drafting.Box
}

// add begins a page.
func (s *sheets) add(wide, high float64, title string) *page {
	p := &page{wide: wide, high: high, title: title}
	s.pages = append(s.pages, p)
	return p
}

// upright begins a page of words.
func (s *sheets) upright(title string) *page {
	wide, high := s.paper.Size()
	return s.add(wide, high, title)
}

func (s *sheets) face(bold bool) *paint.Face {
	if bold {
		return s.bold
	}
	return s.regular
}

func (s *sheets) width(bold bool, size float64, text string) float64 {
	return s.face(bold).Width(text, size)
}

// write puts a line of text on a page with its base line at y and returns its
// width.
func (s *sheets) write(p *page, bold bool, size, x, y float64, text string) float64 {
	f := s.face(bold)
	w := f.Width(text, size)
	p.draw = append(p.draw, func(d paint.Drawing) { d.Text(f, text, size, paint.Placing{X: x, Y: y}, look.Print) })
	p.written = append(p.written, written{text, size, textBox(x, y, w, size)})
	return w
}

// right is write with the end of the text at x.
func (s *sheets) right(p *page, bold bool, size, x, y float64, text string) {
	s.write(p, bold, size, x-s.width(bold, size, text), y, text)
}

// textBox is what a line of text of a width covers.
func textBox(x, y, w, size float64) drafting.Box {
	return drafting.Box{
		X: x + w/2, Y: y - (paint.CapHeight-paint.Descent)*size/2,
		W: w / 2, H: (paint.CapHeight + paint.Descent) * size / 2,
	}
}

func (p *page) stroke(path paint.Path, pen paint.Pen, ink color.RGBA) {
	p.draw = append(p.draw, func(d paint.Drawing) { d.Stroke(path, pen, ink) })
}

func (p *page) rule(x0, y0, x1, y1, wide float64) {
	p.stroke(paint.Polyline(paint.Point{X: x0, Y: y0}, paint.Point{X: x1, Y: y1}), paint.Pen{Width: wide}, look.Print)
}

// box draws a box to tick, its foot a little below the base line at y.
func (p *page) box(x, y float64) {
	p.stroke(paint.Rectangle(x, y-boxSide+0.5, x+boxSide, y+0.5), paint.Pen{Width: 0.35}, look.Print)
}

func (p *page) dot(x, y float64) {
	p.draw = append(p.draw, func(d paint.Drawing) { d.Fill(paint.Circle(x, y, 0.8), look.Print) })
}

func (p *page) mark(m look.Symbol, x, y, radius float64) {
	p.draw = append(p.draw, func(d paint.Drawing) { m.Draw(d, x, y, radius, false) })
}

// head writes the head of a page, once it is known how many there are.
func (s *sheets) head(p *page, number int) {
	y := margin + 5.0
	of := fmt.Sprintf("page %d of %d", number, len(s.pages))
	s.right(p, false, headSize, p.wide-margin, y, of)
	x := margin + s.write(p, true, rowSize, margin, y, s.bold.Fit(p.title, rowSize, 100)) + 5
	room := p.wide - margin - s.width(false, headSize, of) - 5 - x
	s.write(p, false, headSize, x, y, s.regular.Fit(s.r.Title(), headSize, room))
	p.rule(margin, margin+7.5, p.wide-margin, margin+7.5, 0.5)
}

// legend writes what the marks mean along a line and returns where it ends.
func (s *sheets) legend(p *page, x, y float64) float64 {
	x += s.write(p, true, headSize, x, y, "Risk") + 4
	for _, m := range look.Symbols() {
		const radius = 2.1
		p.mark(m, x+radius, y-1.25, radius)
		x += 2*radius + 1.6
		x += s.write(p, false, headSize, x, y, m.Name) + 5
	}
	return x
}
