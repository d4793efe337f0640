package mapsheet

import (
	"fmt"
	"image"
	"math"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/cmd/internal/wording"
	"wetfeet/terrain/quantity"
)

func bounds(x0, y0, x1, y1 float64) image.Rectangle {
	return image.Rect(int(math.Round(x0)), int(math.Round(y0)), int(math.Round(x1)), int(math.Round(y1)))
}

// drawTitle writes what the sheet is of, and whether that place is made up.
func (s *sheet) drawTitle() {
	x, right := margin*s.u, float64(s.width)-margin*s.u
	room := right - x
	if s.r.Invented {
		const mark = "INVENTED PLACE"
		size := textSize * s.u
		w := s.bold.Width(mark, size)
		pad := 18 * s.u
		y := 92 * s.u
		s.canvas.Stroke(paint.Rectangle(right-w-2*pad, y-38*s.u, right, y+16*s.u), paint.Pen{Width: 3 * s.u}, look.Ink)
		s.write(s.bold, mark, size, right-w-pad, y-2*s.u, true)
		room -= w + 2*pad + 40*s.u
	}
	name := s.r.Name
	if name == "" {
		name = "Unnamed site"
	}
	size := 64 * s.u
	s.write(s.bold, s.bold.Fit(name, size, room), size, x, 98*s.u, true)
	s.write(s.regular, s.regular.Fit(s.headline(), 30*s.u, right-x), 30*s.u, x, 152*s.u, false)
}

// headline is the sheet in a sentence.
func (s *sheet) headline() string {
	var parts []string
	flagged, unknown := 0, 0
	for i := range s.r.Trees {
		if !s.r.Trees[i].OnGround {
			unknown++
		} else if s.r.Trees[i].Flagged {
			flagged++
		}
	}
	if n := len(s.r.Trees); n > 0 {
		parts = append(parts, wording.Count(n, "tree")+" planned", fmt.Sprintf("%d flagged", flagged))
	}
	if unknown > 0 {
		parts = append(parts, fmt.Sprintf("%d with nothing known", unknown))
	}
	return strings.Join(append(parts, s.hollowCount()), "  ·  ")
}

// caution is on every sheet.
const caution = "A plan, not a survey: check levels on site before any digging, have buried pipes and cables marked first, and ask your local office which permits a drain, a mound or a pond needs."

// notes say what the drawing rests on.
func (s *sheet) notes() []string {
	d := s.r.Drain
	from := "Contours and shading follow the ground as given"
	if d.Smooth > 0 {
		from = "Contours and shading follow the ground smoothed over " + quantity.FormatDistance(d.Smooth, s.r.Units) + ", hollows over " + quantity.FormatDistance(brim.Soften(d), s.r.Units)
	}
	if sv := s.r.Survey; sv != nil {
		from = "Contours and shading follow the surface laid through " + wording.Count(sv.Shots, "spot height")
	}
	lines := []string{fmt.Sprintf("%s; hollows that may be no more than its error are left out. Light from the north-west, heights ×%g.", from, s.exaggeration)}
	switch {
	case s.r.Survey != nil && s.r.Survey.LooRMSE > 0:
		// What a spot height is missed by when it is left out tells the error
		// between them; that of the shots themselves is smaller.
		lines[0] += fmt.Sprintf(" Between them heights are good to about ±%s (each left out in turn).", quantity.FormatDepth(s.r.Survey.LooRMSE, s.r.Units))
	case d.ErrorEstimated && d.Error < 0.0005:
		lines[0] += " The ground shows no roughness to judge its error by."
	case d.Error > 0:
		how := ""
		if d.ErrorEstimated {
			how = ", estimated from its roughness"
		}
		lines[0] += fmt.Sprintf(" Heights are good to ±%s (one standard deviation%s).", quantity.FormatDepth(d.Error, s.r.Units), how)
	}
	unit := "metres"
	if s.r.Units == quantity.Feet {
		unit = "feet"
	}
	lines = append(lines, fmt.Sprintf("Contour heights in %s, on the datum of the ground file. Grid: %s, %s; its north is up.", unit, drafting.SystemName(d.Ground.CRS), axisUnit(s.r)))
	return lines
}

// Measures of the foot of the sheet, px of a sheet 2400 wide.
const (
	scaleWide = 700
	footLine  = 36
)

func (s *sheet) footText() (notes, warn []string) {
	wide := float64(s.width) - (2*margin+scaleWide)*s.u
	for _, n := range s.notes() {
		notes = append(notes, s.regular.Wrap(n, smallSize*s.u, wide)...)
	}
	return notes, s.bold.Wrap(caution, smallSize*s.u, wide)
}

func (s *sheet) footerHigh() float64 {
	notes, warn := s.footText()
	return max(float64(len(notes)+len(warn)+1)*footLine+70, 200) * s.u
}

// drawFooter draws scale bar, north arrow, notes and caution from top down,
// and returns where they end.
func (s *sheet) drawFooter(top float64) float64 {
	s.canvas.Stroke(paint.Polyline(paint.Point{X: margin * s.u, Y: top}, paint.Point{X: float64(s.width) - margin*s.u, Y: top}), paint.Pen{Width: 2 * s.u}, look.Grid)
	y := top + 44*s.u
	x := (margin + scaleWide) * s.u
	notes, warn := s.footText()
	for _, text := range warn {
		s.write(s.bold, text, smallSize*s.u, x, y, true)
		y += footLine * s.u
	}
	y += 6 * s.u
	for _, text := range notes {
		s.write(s.regular, text, smallSize*s.u, x, y, false)
		y += footLine * s.u
	}
	s.drawScale(margin*s.u, top+62*s.u)
	s.drawNorth((margin+scaleWide-110)*s.u, top+90*s.u)
	return max(y, top+190*s.u)
}

// drawScale draws a bar of a few tidy parts, as long as there is room for.
func (s *sheet) drawScale(x, y float64) {
	const room = 470 // px of a sheet 2400 wide
	unit, name := 1.0, "m"
	if s.r.Units == quantity.Feet {
		unit, name = 0.3048, "ft"
	}
	k := s.panels[0].scale * unit // px a unit
	bar := drafting.FitBar(room*s.u, k)
	high := 16 * s.u
	bar.Draw(s.canvas, x, y, k, high, 2*s.u, look.Ink, look.Paper)
	size := textSize * s.u
	bar.Figures(x, k, 20*s.u, name,
		func(text string) float64 { return s.regular.Width(text, size) },
		func(text string, at float64) { s.write(s.regular, text, size, at, y+high+34*s.u, true) })
	s.scaleLength = bar.Length() * unit
}

// drawNorth draws a plain arrow to grid north, its left half open.
func (s *sheet) drawNorth(x, y float64) {
	h := 52 * s.u
	w := 20 * s.u
	drafting.North(s.canvas, x, y, h, w, 0, 2.4*s.u, look.Ink)
	size := headSize * s.u
	s.write(s.bold, "N", size, x-s.bold.Width("N", size)-w-4*s.u, y+4*s.u, true)
}

// drawGrid marks round coordinates: small crosses on the ground and figures
// along the upper and left edge.
func (p *panel) drawGrid() {
	unit := 1.0
	if p.r.TapedInFeet() {
		unit = quantity.Feet.Metres()
	}
	step := drafting.Tidy(230*p.u/p.scale/unit) * unit
	size := 23 * p.u
	var all paint.Path
	r := 9 * p.u
	east, north := marks(p.bound.Min[0], p.bound.Max[0], step), marks(p.bound.Min[1], p.bound.Max[1], step)
	for _, e := range east {
		for _, n := range north {
			x, y := p.at([2]float64{e, n})
			all.Append(drafting.Cross(x, y, r))
		}
	}
	p.pane().Stroke(all, paint.Pen{Width: 1.6 * p.u}, look.Grid)

	var ticks paint.Path
	left, top := float64(p.rect.Min.X), float64(p.rect.Min.Y)
	used := p.write(p.regular, p.axisName(size), size, left, top-14*p.u, false) + 14*p.u
	for _, e := range east {
		x, _ := p.at([2]float64{e, 0})
		text := coordinate(e/unit, step/unit)
		w := p.regular.Width(text, size)
		if x-w/2 < left+used || x+w/2 > float64(p.rect.Max.X) {
			continue
		}
		ticks.MoveTo(x, top)
		ticks.LineTo(x, top-8*p.u)
		p.write(p.regular, text, size, x-w/2, top-14*p.u, false)
	}
	for _, n := range north {
		_, y := p.at([2]float64{0, n})
		text := coordinate(n/unit, step/unit)
		w := p.regular.Width(text, size)
		if y-w/2 < float64(p.rect.Min.Y) || y+w/2 > float64(p.rect.Max.Y) {
			continue
		}
		ticks.MoveTo(left, y)
		ticks.LineTo(left-8*p.u, y)
		// Read from below, as on the side of a sheet.
		letters := p.regular.Path(text, size).At(paint.Placing{Turn: -math.Pi / 2, X: left - 14*p.u, Y: y + w/2})
		p.canvas.Fill(letters, look.Quiet)
		p.note(text, size, drafting.Box{X: left - 14*p.u - paint.CapHeight*size/2, Y: y, W: w / 2, H: size / 2, Turn: -math.Pi / 2})
	}
	p.canvas.Stroke(ticks, paint.Pen{Width: 2 * p.u}, look.Quiet)
}

// marks are the multiples of a step from lo to hi.
func marks(lo, hi, step float64) []float64 {
	var out []float64
	for k := math.Ceil(lo / step); k*step <= hi; k++ {
		out = append(out, k*step)
	}
	return out
}

// coordinate writes a multiple of a step with the decimals the step has.
func coordinate(v, step float64) string {
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return "0"
	}
	return text
}

// axisUnit is the unit of the coordinates along the edges: metres, whatever
// units the sheet is lettered in, unless the site was taped in feet.
func axisUnit(r *assess.Result) string {
	if r.TapedInFeet() {
		return "feet"
	}
	return "metres"
}

// axisName says what the coordinates along the edges are.
func (p *panel) axisName(size float64) string {
	return p.regular.Fit(axisUnit(p.r)+", "+drafting.SystemName(p.r.Drain.Ground.CRS), size, 0.4*float64(p.rect.Dx()))
}

// drawFrame closes the panel off and, on a site in strips, says which part
// this is.
func (p *panel) drawFrame() {
	r := p.rect
	p.canvas.Stroke(paint.Rectangle(float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)), paint.Pen{Width: 2.4 * p.u}, look.Quiet)
	if len(p.panels) < 2 {
		return
	}
	from := "west"
	if p.rect.Dy() > p.rect.Dx() {
		from = "north"
	}
	text := fmt.Sprintf("part %d of %d from the %s", p.part+1, len(p.panels), from)
	size := smallSize * p.u
	p.write(p.bold, text, size, float64(r.Min.X), float64(r.Max.Y)+28*p.u, true)
}
