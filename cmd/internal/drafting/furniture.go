package drafting

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/contour"
)

// Tidy is the least of 1, 2 and 5 times a power of ten that is at least v.
func Tidy(v float64) float64 {
	for {
		t := contour.TidyUp(v)
		if lead := t / math.Pow10(int(math.Floor(math.Log10(t)+1e-9))); math.Abs(lead-2.5) > 0.01 {
			return t
		}
		v = t * 1.01
	}
}

// Cross is an upright cross about (x, y) with arms so long: of a grid, a spot
// height.
func Cross(x, y, arm float64) paint.Path {
	var p paint.Path
	p.MoveTo(x-arm, y)
	p.LineTo(x+arm, y)
	p.MoveTo(x, y-arm)
	p.LineTo(x, y+arm)
	return p
}

// ArrowHead is the head of an arrow, so long, with its middle at (x, y): five
// sixths as wide as long and notched behind.
func ArrowHead(long, turn, x, y float64) paint.Path {
	head := paint.Polygon(paint.Point{X: 0.5}, paint.Point{X: -0.5, Y: 0.42}, paint.Point{X: -0.28}, paint.Point{X: -0.5, Y: -0.42})
	return head.At(paint.Placing{Scale: long, Turn: turn, X: x, Y: y})
}

// North draws a plain arrow to the north about (x, y), half its length and half
// its width given, its left half open. Turn is how far north lies to the right
// of up, radians.
func North(d paint.Drawing, x, y, long, wide, turn, pen float64, ink color.RGBA) {
	at := paint.Placing{Turn: turn, X: x, Y: y}
	tip, right, notch, left := paint.Point{Y: -long}, paint.Point{X: wide, Y: long}, paint.Point{Y: long * 0.62}, paint.Point{X: -wide, Y: long}
	d.Fill(paint.Polygon(tip, right, notch).At(at), ink)
	d.Stroke(paint.Polygon(tip, right, notch, left).At(at), paint.Pen{Width: pen}, ink)
}

// A ScaleBar is a few equal parts of a tidy length.
type ScaleBar struct {
	Part  float64 // in the reader's unit
	Parts int
}

// FitBar is the longest bar of two to five parts, each 1, 2 or 5 times a power
// of ten units long, in the room there is. Scale is how much of the room one
// unit takes.
func FitBar(room, scale float64) ScaleBar {
	var b ScaleBar
	for step := Tidy(room / 10 / scale); step*scale*2 <= room; step = Tidy(step * 1.01) {
		for _, n := range [...]int{2, 3, 4, 5} {
			if long := float64(n) * step; long*scale <= room && long > b.Length()*1.01 {
				b = ScaleBar{step, n}
			}
		}
	}
	return b
}

// Length is the whole bar, in the reader's unit.
func (b ScaleBar) Length() float64 { return b.Part * float64(b.Parts) }

// Draw draws the bar from (x, y) rightwards, its parts by turns dark and light.
func (b ScaleBar) Draw(d paint.Drawing, x, y, scale, high, pen float64, ink, paper color.RGBA) {
	wide := b.Part * scale
	for i := range b.Parts {
		fill := paper
		if i%2 == 0 {
			fill = ink
		}
		d.Fill(paint.Rectangle(x+float64(i)*wide, y, x+float64(i+1)*wide, y+high), fill)
	}
	d.Stroke(paint.Rectangle(x, y, x+float64(b.Parts)*wide, y+high), paint.Pen{Width: pen}, ink)
}

// Figures calls write with the figure at each end of a part and where it
// begins; the last has the unit. Figures nearer to each other than gap are left
// out but for the last. Width is that of a text.
func (b ScaleBar) Figures(x, scale, gap float64, unit string, width func(string) float64, write func(text string, x float64)) {
	wide := b.Part * scale
	last := math.Inf(-1)
	for i := range b.Parts + 1 {
		text := strconv.FormatFloat(float64(i)*b.Part, 'f', -1, 64)
		at := x + float64(i)*wide - width(text)/2
		if i == 0 {
			at = x
		}
		if i == b.Parts {
			text += " " + unit
		} else if at < last+gap {
			continue
		}
		write(text, at)
		last = at + width(text)
	}
}

// Local is whether coordinates are those of a grid of the site's own, or
// measured from its origin: such are told in the units of the reader.
func Local(crs string) bool { return crs == "" || strings.HasPrefix(crs, "+proj=") }

// SystemName is a short name of a coordinate system: its code, the name within
// its WKT, "local" where there is none, or words for one made around an origin.
func SystemName(crs string) string {
	if crs == "" {
		return "local"
	}
	if i := strings.IndexByte(crs, '"'); i >= 0 {
		if j := strings.IndexByte(crs[i+1:], '"'); j >= 0 {
			return crs[i+1 : i+1+j]
		}
	}
	if strings.HasPrefix(crs, "+proj=") {
		return "measured from the origin of the site"
	}
	if len(crs) > 60 {
		return crs[:60]
	}
	return crs
}
