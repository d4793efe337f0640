package paint

import "image/color"

// A Drawing is anything that can be drawn on: a [Canvas] of pixels or a [Page]
// of a document. Its units are its own.
type Drawing interface {
	// Fill colours the inside of a path.
	Fill(p Path, ink color.RGBA)

	// Stroke draws along a path.
	Stroke(p Path, pen Pen, ink color.RGBA)

	// Text writes a line of text, begun on its base line at (0, 0) and then
	// placed. A document keeps it as text.
	Text(f *Face, text string, size float64, at Placing, ink color.RGBA)

	// Within lets draw draw, but only inside a rectangle.
	Within(x0, y0, x1, y1 float64, draw func(Drawing))
}

// Halo draws the paper around a line of text, so that it can be read over
// lines and tints; the text itself comes after. No width is no halo.
func Halo(d Drawing, f *Face, text string, size, width float64, at Placing, paper color.RGBA) {
	if width > 0 {
		// Round corners: a pointed halo shows as thorns.
		d.Stroke(f.Path(text, size).At(at), Pen{Width: 2 * width, Round: true}, paper)
	}
}

// Enlarged draws on d with all lengths taken so many times: millimetres on a
// picture of so many pixels to the millimetre, say.
func Enlarged(d Drawing, times float64) Drawing { return enlarged{d, times} }

type enlarged struct {
	on    Drawing
	times float64
}

func (e enlarged) Fill(p Path, ink color.RGBA) { e.on.Fill(p.At(Placing{Scale: e.times}), ink) }

func (e enlarged) Stroke(p Path, pen Pen, ink color.RGBA) {
	pen.Width *= e.times
	dashes := make([]float64, len(pen.Dash))
	for i, l := range pen.Dash {
		dashes[i] = l * e.times
	}
	pen.Dash = dashes
	e.on.Stroke(p.At(Placing{Scale: e.times}), pen, ink)
}

func (e enlarged) Text(f *Face, text string, size float64, at Placing, ink color.RGBA) {
	if at.Scale == 0 {
		at.Scale = 1
	}
	at.Scale, at.X, at.Y = at.Scale*e.times, at.X*e.times, at.Y*e.times
	e.on.Text(f, text, size, at, ink)
}

func (e enlarged) Within(x0, y0, x1, y1 float64, draw func(Drawing)) {
	k := e.times
	e.on.Within(x0*k, y0*k, x1*k, y1*k, func(d Drawing) { draw(enlarged{d, k}) })
}
