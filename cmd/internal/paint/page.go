package paint

import (
	"image/color"
	"io"
	"math"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// A Page is a sheet of paper, or several after one another, drawn on in
// millimetres and written as PDF (ISO 32000). Lines stay lines and text stays text in the Go fonts, of which
// the letters used are carried inside. It is not tagged for readers that speak:
// what it says has to be had in words elsewhere.
type Page struct {
	pdf *fpdf.Fpdf

	// The library forgets nothing when a clip ends, the document does: the
	// font has to be told again.
	stale bool
}

// Both dates of a document are the beginning of time as computers count it:
// the same drawing has to give the same bytes, and a date that nobody gave
// would say nothing.
var noDate = time.Unix(0, 0).UTC()

// NewPage is an empty sheet so many millimetres wide and high.
func NewPage(wide, high float64, title string) *Page {
	pdf := fpdf.NewCustom(&fpdf.InitType{
		OrientationStr: "P", UnitStr: "mm",
		Size: fpdf.SizeType{Wd: wide, Ht: high},
	})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(noDate)
	pdf.SetModificationDate(noDate)
	pdf.SetTitle(plain(title), true)
	pdf.SetLang("en")
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	pdf.AddPage()
	pdf.SetLineJoinStyle("round")
	return &Page{pdf: pdf}
}

// Next ends the sheet and begins another of the same document, so many
// millimetres wide and high. What is drawn from then on is on that one.
func (p *Page) Next(wide, high float64) {
	p.pdf.AddPageFormat("P", fpdf.SizeType{Wd: wide, Ht: high})
	p.pdf.SetLineJoinStyle("round")
	p.stale = true
}

// Write writes the finished document. The page takes nothing more after it.
func (p *Page) Write(w io.Writer) error { return p.pdf.Output(w) }

// Fill colours the inside of a path.
func (p *Page) Fill(path Path, ink color.RGBA) {
	if path.Empty() {
		return
	}
	p.pdf.SetFillColor(int(ink.R), int(ink.G), int(ink.B))
	p.trace(path)
	p.pdf.DrawPath("F")
}

// Stroke draws along a path.
func (p *Page) Stroke(path Path, pen Pen, ink color.RGBA) {
	if path.Empty() || pen.Width <= 0 {
		return
	}
	cap := "butt"
	if pen.Round {
		cap = "round"
	}
	p.pdf.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	p.pdf.SetLineWidth(pen.Width)
	p.pdf.SetLineCapStyle(cap)
	p.pdf.SetDashPattern(pen.Dash, 0)
	p.trace(path)
	p.pdf.DrawPath("D")
}

func (p *Page) trace(path Path) {
	var at, start Point
	for i := range path.steps {
		s := &path.steps[i]
		switch s.verb {
		case 'M':
			p.pdf.MoveTo(s.p[0].X, s.p[0].Y)
			start = s.p[0]
		case 'L':
			p.pdf.LineTo(s.p[0].X, s.p[0].Y)
		case 'Q':
			a, b := at.toward(s.p[0], 2./3), s.p[1].toward(s.p[0], 2./3)
			p.pdf.CurveBezierCubicTo(a.X, a.Y, b.X, b.Y, s.p[1].X, s.p[1].Y)
		case 'C':
			p.pdf.CurveBezierCubicTo(s.p[0].X, s.p[0].Y, s.p[1].X, s.p[1].Y, s.p[2].X, s.p[2].Y)
		case 'Z':
			p.pdf.ClosePath()
			at = start
			continue
		}
		at = s.p[s.points()-1]
	}
}

// Text writes a line of text, begun on its base line at (0, 0) and then placed.
func (p *Page) Text(f *Face, text string, size float64, at Placing, ink color.RGBA) {
	if at.Scale != 0 {
		size *= at.Scale
	}
	style := ""
	if f.bold {
		style = "B"
	}
	const points = 72 / 25.4 // in a millimetre
	if p.stale {
		p.pdf.SetFont("go", style, 1) // any other size
		p.stale = false
	}
	p.pdf.SetFont("go", style, size*points)
	p.pdf.SetTextColor(int(ink.R), int(ink.G), int(ink.B))
	if at.Turn == 0 {
		p.pdf.Text(at.X, at.Y, plain(text))
		return
	}
	p.pdf.TransformBegin()
	p.pdf.TransformRotate(-at.Turn*180/math.Pi, at.X, at.Y)
	p.pdf.Text(at.X, at.Y, plain(text))
	p.pdf.TransformEnd()
}

// plain leaves out of a text what a document font with 65,536 places cannot
// hold and what is no letter at all.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || r == 0x7f:
			return ' '
		case r > 0xffff || r >= 0xd800 && r < 0xe000:
			return '□'
		}
		return r
	}, text)
}

// Within lets draw draw, but only inside a rectangle.
func (p *Page) Within(x0, y0, x1, y1 float64, draw func(Drawing)) {
	p.pdf.ClipRect(x0, y0, x1-x0, y1-y0, false)
	draw(p)
	p.pdf.ClipEnd()
	p.stale = true
}
