package plansheet

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/contour"
)

// Draw is the plan as a picture of its sheet. The same plan and options give
// the same picture.
//
// It is an error to ask for what cannot be: a plan of ground of which no cell
// is known, or a scale at which it does not fit.
func Draw(p Plan, o Options) (image.Image, error) {
	s, err := compose(&p, o)
	if err != nil {
		return nil, err
	}
	return s.picture(o).Image(), nil
}

// WritePNG writes the plan as PNG (ISO/IEC 15948) that carries its pixels to
// the metre, so that it prints at its size.
func WritePNG(w io.Writer, p Plan, o Options) error {
	m, err := Draw(p, o)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&b, m); err != nil {
		return err
	}
	// The size goes right after the header: 8 bytes of signature, then 25.
	const header = 8 + 25
	if _, err := w.Write(b.Next(header)); err != nil {
		return err
	}
	perMetre := uint32(math.Round(o.perMillimetre() * 1000))
	if _, err := w.Write(physical(perMetre)); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}

// physical is the pHYs chunk of a picture with square pixels.
func physical(perMetre uint32) []byte {
	data := []byte("pHYs")
	data = binary.BigEndian.AppendUint32(data, perMetre)
	data = binary.BigEndian.AppendUint32(data, perMetre)
	data = append(data, 1)
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)-4))
	out = append(out, data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(data))
}

// WritePDF writes the plan as a document of one page. DPI is of no account.
func WritePDF(w io.Writer, p Plan, o Options) error {
	s, err := compose(&p, o)
	if err != nil {
		return err
	}
	page := paint.NewPage(s.way.wide, s.way.high, s.title()+": "+o.Show.String())
	s.draw(page)
	return page.Write(w)
}

func (o Options) perMillimetre() float64 {
	if o.DPI == 0 {
		return DefaultDPI / 25.4
	}
	return float64(o.DPI) / 25.4
}

// A sheet is a plan laid out, ready to be drawn on anything.
type sheet struct {
	p             *Plan
	o             Options
	way           way
	regular, bold *paint.Face

	lo, hi  float64 // of the ground, m
	spacing contour.Spacing
	errors  errorsOf

	panels []*panel
	places drafting.Placement
	lines  drafting.Placement // where lines run: labels keep clear of them where they can
	items  []item
	shown  shown

	barLength   float64 // of the scale bar, m
	checkLength float64 // of the check bar, mm
}

// shown is what turned out to be on the sheet; the legend is written from it.
type shown struct {
	contours, index, rough bool
	shots, labelled        int
	doubtful               bool // some level has a question mark
	kinds                  [kinds]bool
	outline, holes         bool

	classes []int         // of error, in look.Errors
	marks   []look.Symbol // of residuals
	next    bool
}

// An item is one thing to draw: an area, a line or a line of text.
type item struct {
	on   *panel // what it is kept within; nil for the whole sheet
	path paint.Path
	pen  paint.Pen // of no width fills
	ink  color.RGBA

	text string
	bold bool
	size float64
	at   paint.Placing
	halo float64
	box  drafting.Box // what a text covers
}

// compose lays out a plan.
func compose(p *Plan, o Options) (*sheet, error) {
	if err := check(p, o); err != nil {
		return nil, err
	}
	s := &sheet{p: p, o: o, regular: paint.Regular(), bold: paint.Bold(), places: drafting.Placement{Cell: 10}, lines: drafting.Placement{Cell: 10}}
	s.measure()
	if err := s.arrange(o); err != nil {
		return nil, err
	}
	for _, pn := range s.panels {
		s.composePanel(pn)
	}
	if !o.Bare {
		s.addWords()
	}
	s.addBars()
	return s, nil
}

// composePanel draws one panel, lowest first, and finds room for its labels,
// the most important first.
func (s *sheet) composePanel(p *panel) {
	switch s.o.Show {
	case Errors:
		s.composeErrors(p)
	case Residuals:
		s.composeResiduals(p)
	default:
		s.composeContours(p)
	}
	s.addFrame(p)
}

func (s *sheet) composeContours(p *panel) {
	curves := s.findContours(p)
	crosses := s.findShots(p)
	s.keepClear(p, curves)
	s.labelContours(p, curves, true)
	labels := s.labelShots(p, crosses)
	s.labelContours(p, curves, false)

	s.addContours(p, curves)
	s.addGrid(p)
	s.addOutline(p)
	s.addBreaklines(p)
	s.addShots(p, crosses)
	s.addLabels(curves)
	s.items = append(s.items, labels...)
}

func (s *sheet) addLabels(curves []*curve) {
	for _, c := range curves {
		s.items = append(s.items, c.labels...)
	}
}

// draw draws the sheet in millimetres.
func (s *sheet) draw(d paint.Drawing) {
	for i := 0; i < len(s.items); {
		p := s.items[i].on
		j := i
		for j < len(s.items) && s.items[j].on == p {
			j++
		}
		if p == nil {
			s.drawItems(d, s.items[i:j])
		} else {
			d.Within(p.x0, p.y0, p.x1, p.y1, func(d paint.Drawing) { s.drawItems(d, s.items[i:j]) })
		}
		i = j
	}
}

func (s *sheet) drawItems(d paint.Drawing, items []item) {
	for i := range items {
		t := &items[i]
		switch {
		case t.text != "":
			f := s.regular
			if t.bold {
				f = s.bold
			}
			paint.Halo(d, f, t.text, t.size, t.halo, t.at, look.Paper)
			d.Text(f, t.text, t.size, t.at, t.ink)
		case t.pen.Width > 0:
			d.Stroke(t.path, t.pen, t.ink)
		default:
			d.Fill(t.path, t.ink)
		}
	}
}

func (s *sheet) picture(o Options) *paint.Canvas {
	k := o.perMillimetre()
	c := paint.New(int(math.Round(s.way.wide*k)), int(math.Round(s.way.high*k)), look.Paper)
	s.draw(paint.Enlarged(c, k))
	return c
}

func (s *sheet) stroke(on *panel, p paint.Path, pen paint.Pen, ink color.RGBA) {
	if !p.Empty() {
		s.items = append(s.items, item{on: on, path: p, pen: pen, ink: ink})
	}
}

func (s *sheet) fill(on *panel, p paint.Path, ink color.RGBA) {
	if !p.Empty() {
		s.items = append(s.items, item{on: on, path: p, ink: ink})
	}
}

// A mm of text is so many points.
const point = 25.4 / 72

// Sizes of text, mm.
const (
	smallSize = 7 * point
	textSize  = 7.5 * point
	labelSize = 8 * point
	headSize  = 9 * point
	titleSize = 16 * point
)

func (s *sheet) face(bold bool) *paint.Face {
	if bold {
		return s.bold
	}
	return s.regular
}

// write puts one line of text on the sheet with its base line at y and returns
// its width.
func (s *sheet) write(text string, bold bool, size, x, y float64, ink color.RGBA) float64 {
	w := s.face(bold).Width(text, size)
	s.items = append(s.items, item{text: text, bold: bold, size: size, ink: ink, at: paint.Placing{X: x, Y: y}, box: drafting.Box{
		X: x + w/2, Y: y - (paint.CapHeight-paint.Descent)*size/2,
		W: w / 2, H: (paint.CapHeight + paint.Descent) * size / 2,
	}})
	return w
}

// label is a text in the middle of a box.
func (s *sheet) label(on *panel, text string, bold bool, size float64, b drafting.Box, ink color.RGBA, halo float64) item {
	w := s.face(bold).Width(text, size)
	// Middle the capitals on the middle of the box.
	sin, cos := math.Sincos(b.Turn)
	dx, dy := -w/2, paint.CapHeight*size/2
	return item{
		on: on, text: text, bold: bold, size: size, ink: ink, halo: halo, box: b,
		at: paint.Placing{Turn: b.Turn, X: b.X + float64(cos*dx) - float64(sin*dy), Y: b.Y + float64(sin*dx) + float64(cos*dy)},
	}
}
