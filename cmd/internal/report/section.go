package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// The drawing of a section in its own units; a browser scales it to the page.
const (
	sectionWidth  = 1200.0
	sectionHeight = 330.0
	plotLeft      = 74.0
	plotRight     = sectionWidth - 16
	plotTop       = 84.0 // room for the trees and their names above the ground
	plotBottom    = sectionHeight - 46
	stem          = 20.0 // from the ground to a tree's mark
	smallText     = 15.0
)

// A sectionDrawing is one row seen from its side.
type sectionDrawing struct {
	row   *assess.Row
	trees []assess.Tree
	units quantity.Units

	lo, hi       float64 // elevations at the bottom and top of the plot, m
	exaggeration float64 // how many times heights are drawn larger than lengths
	b            strings.Builder
}

// drawSection draws the ground along a row, the water of its full hollows and
// every tree at its place. It returns the drawing and the exaggeration of
// heights, and false when no part of the row lies on the ground.
func drawSection(r *assess.Result, row *assess.Row) (template.HTML, float64, bool) {
	d := sectionDrawing{row: row, trees: r.Trees, units: r.Units}
	if !d.scale() {
		return "", 0, false
	}
	fmt.Fprintf(&d.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img" aria-label="Ground, water at the brim and trees along row %s">`,
		sectionWidth, sectionHeight, html.EscapeString(row.Name))
	d.grid()
	d.water()
	d.ground()
	d.gaps()
	d.plants()
	d.b.WriteString(`</svg>`)
	return template.HTML(d.b.String()), d.exaggeration, true
}

// scale fits the heights of the section into the plot, never less than a
// quarter of a metre so that a level bed does not look like hills.
func (d *sectionDrawing) scale() bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, z := range d.row.Section.Ground {
		if math.IsNaN(z) {
			continue
		}
		lo, hi = min(lo, z), max(hi, z)
		if w := d.row.Section.Brim[i]; !math.IsNaN(w) {
			hi = max(hi, w)
		}
	}
	if lo > hi || d.row.Length <= 0 {
		return false
	}
	span := max((hi-lo)*1.12, 0.25)
	mid := (lo + hi) / 2
	d.lo, d.hi = mid-span/2, mid+span/2
	d.exaggeration = ((plotBottom - plotTop) / span) / ((plotRight - plotLeft) / d.row.Length)
	return true
}

func (d *sectionDrawing) x(along float64) float64 {
	return plotLeft + (plotRight-plotLeft)*along/d.row.Length
}

func (d *sectionDrawing) y(z float64) float64 {
	return plotBottom - (plotBottom-plotTop)*(z-d.lo)/(d.hi-d.lo)
}

// runs yields the stretches of the section over which keep holds.
func (d *sectionDrawing) runs(keep func(i int) bool, use func(lo, hi int)) {
	n := len(d.row.Section.Along)
	for i := 0; i < n; {
		if !keep(i) {
			i++
			continue
		}
		j := i
		for j+1 < n && keep(j+1) {
			j++
		}
		use(i, j)
		i = j + 1
	}
}

func (d *sectionDrawing) grid() {
	step := quantity.TidyStep((d.hi-d.lo)/5, d.units)
	for k := math.Ceil(d.lo / step); k*step <= d.hi; k++ {
		y := d.y(k * step)
		fmt.Fprintf(&d.b, `<path d="M%g %.1fH%g" stroke="#d9d3c3" fill="none"/>`, plotLeft, y, plotRight)
		fmt.Fprintf(&d.b, `<text x="%g" y="%.1f" font-size="%g" text-anchor="end" fill="#45483f">%s</text>`,
			plotLeft-8, y+5, smallText, quantity.FormatLevel(k*step, step, d.units))
	}
	across := quantity.TidyStep(d.row.Length/8, d.units)
	for k := 0.0; k*across <= d.row.Length*1.0001; k++ {
		x := d.x(k * across)
		fmt.Fprintf(&d.b, `<path d="M%.1f %gv7" stroke="#45483f" fill="none"/>`, x, plotBottom)
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%g" font-size="%g" text-anchor="middle" fill="#45483f">%s</text>`,
			x, plotBottom+25, smallText, quantity.FormatDistance(k*across, d.units))
	}
}

func (d *sectionDrawing) water() {
	s := &d.row.Section
	d.runs(func(i int) bool { return !math.IsNaN(s.Brim[i]) && !math.IsNaN(s.Ground[i]) }, func(lo, hi int) {
		var up strings.Builder
		for i := lo; i <= hi; i++ {
			fmt.Fprintf(&up, "%s%.1f %.1f", pen(i == lo), d.x(s.Along[i]), d.y(s.Brim[i]))
		}
		surface := up.String()
		for i := hi; i >= lo; i-- {
			fmt.Fprintf(&up, "L%.1f %.1f", d.x(s.Along[i]), d.y(s.Ground[i]))
		}
		fmt.Fprintf(&d.b, `<path d="%sZ" fill="%s"/><path d="%s" fill="none" stroke="%s" stroke-width="2.5"/>`,
			up.String(), look.SectionWater, surface, look.WaterLine)
	})
}

func (d *sectionDrawing) ground() {
	s := &d.row.Section
	d.runs(func(i int) bool { return !math.IsNaN(s.Ground[i]) }, func(lo, hi int) {
		var line strings.Builder
		for i := lo; i <= hi; i++ {
			fmt.Fprintf(&line, "%s%.1f %.1f", pen(i == lo), d.x(s.Along[i]), d.y(s.Ground[i]))
		}
		fmt.Fprintf(&d.b, `<path d="%sV%gH%.1fZ" fill="%s"/><path d="%s" fill="none" stroke="%s" stroke-width="2" stroke-linejoin="round"/>`,
			line.String(), plotBottom, d.x(s.Along[lo]), look.SectionSoil, line.String(), look.SoilLine)
	})
}

func (d *sectionDrawing) gaps() {
	for _, g := range d.row.Gaps {
		a, b := d.x(g[0]), d.x(min(g[1], d.row.Length))
		fmt.Fprintf(&d.b, `<path d="M%.1f %gV%gM%.1f %gV%g" stroke="#45483f" stroke-dasharray="5 5" fill="none"/>`, a, plotTop-16, plotBottom, b, plotTop-16, plotBottom)
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%g" font-size="%g" text-anchor="middle" fill="#45483f">gap</text>`, (a+b)/2, plotTop-20, smallText)
	}
}

// plants puts each tree's mark on a stem above the ground, and names the
// flagged ones where their names do not run into each other.
func (d *sectionDrawing) plants() {
	free := math.Inf(-1) // the next name may begin here
	for _, i := range d.row.Trees {
		t := &d.trees[i]
		if !t.OnGround {
			continue
		}
		x, y := d.x(t.Along), d.y(t.Ground)
		top := y - stem
		fmt.Fprintf(&d.b, `<path d="M%.1f %.1fV%.1f" stroke="#55584f" fill="none"/>`, x, y, top)
		fmt.Fprintf(&d.b, `<g><title>%s: %s, %s</title>%s</g>`,
			html.EscapeString(t.ID), html.EscapeString(assess.CommonName(t.Entry)), symbolOf(t).Name, markAt(symbolOf(t), x, top-6, 8))
		if !t.Flagged {
			continue
		}
		width := float64(len(t.ID))*smallText*0.58 + 8
		if left := x - width/2; left >= free && left >= 0 && x+width/2 <= sectionWidth {
			fmt.Fprintf(&d.b, `<text x="%.1f" y="%.1f" font-size="%g" font-weight="600" text-anchor="middle" fill="#22231f">%s</text>`,
				x, top-20, smallText, html.EscapeString(t.ID))
			free = x + width/2
		}
	}
}

func pen(first bool) string {
	if first {
		return "M"
	}
	return "L"
}
