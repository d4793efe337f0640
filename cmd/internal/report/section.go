package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"
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
func drawSection(r *assess.Result, row *assess.Row, relief float64) (template.HTML, float64, bool) {
	d := sectionDrawing{row: row, trees: r.Trees, units: r.Units}
	if !d.scale(relief) {
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

// scale fits the heights of the section into the plot, all rows to one scale,
// so that they can be compared.
func (d *sectionDrawing) scale(relief float64) bool {
	lo, hi, ok := extent(d.row)
	if !ok || d.row.Length <= 0 {
		return false
	}
	mid := (lo + hi) / 2
	d.lo, d.hi = mid-relief/2, mid+relief/2
	d.exaggeration = ((plotBottom - plotTop) / relief) / ((plotRight - plotLeft) / d.row.Length)
	return true
}

// extent is the lowest ground and the highest ground or water of a row, m,
// and whether any of it is known.
func extent(row *assess.Row) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	s := &row.Section
	for i, z := range s.Ground {
		if math.IsNaN(z) {
			continue
		}
		lo, hi = min(lo, z), max(hi, z)
		if !math.IsNaN(s.Brim[i]) {
			hi = max(hi, s.Brim[i])
		}
	}
	return lo, hi, lo <= hi
}

// leastRelief keeps a level bed from looking like hills, m.
const leastRelief = 0.25

// relief is the height every section of a report shows, m: that of the row
// with most of it, and a little air.
func relief(rows []assess.Row) float64 {
	most := leastRelief
	for i := range rows {
		if lo, hi, ok := extent(&rows[i]); ok {
			most = max(most, (hi-lo)*1.08)
		}
	}
	return most
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
		anchor := "middle"
		if x > plotRight-30 {
			x, anchor = sectionWidth-4, "end"
		}
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%g" font-size="%g" text-anchor="%s" fill="#45483f">%s</text>`,
			x, plotBottom+25, smallText, anchor, quantity.FormatLevel(k*across, across, d.units))
	}
}

// water is drawn where the brim stands above the smoothed ground: films that
// only the noise of single cells makes are not drawn.
func (d *sectionDrawing) water() {
	s := &d.row.Section
	d.runs(func(i int) bool { return s.Brim[i] > s.Smooth[i] }, func(lo, hi int) {
		var up strings.Builder
		for i := lo; i <= hi; i++ {
			fmt.Fprintf(&up, "%s%.1f %.1f", pen(i == lo), d.x(s.Along[i]), d.y(s.Brim[i]))
		}
		surface := up.String()
		for i := hi; i >= lo; i-- {
			fmt.Fprintf(&up, "L%.1f %.1f", d.x(s.Along[i]), d.y(s.Smooth[i]))
		}
		fmt.Fprintf(&d.b, `<path d="%sZ" fill="%s"/><path d="%s" fill="none" stroke="%s" stroke-width="2.5"/>`,
			up.String(), look.Hex(look.SectionWater), surface, look.Hex(look.WaterLine))
	})
}

// ground is drawn smoothed for its noise, with the full detail as a thin line
// where the two differ.
func (d *sectionDrawing) ground() {
	s := &d.row.Section
	d.runs(func(i int) bool { return !math.IsNaN(s.Smooth[i]) }, func(lo, hi int) {
		line := d.line(s.Smooth, lo, hi)
		fmt.Fprintf(&d.b, `<path d="%sV%gH%.1fZ" fill="%s"/>`, line, plotBottom, d.x(s.Along[lo]), look.Hex(look.SectionSoil))
		if !slices.Equal(s.Ground[lo:hi+1], s.Smooth[lo:hi+1]) {
			fmt.Fprintf(&d.b, `<path d="%s" fill="none" stroke="%s" stroke-width="1"/>`, d.line(s.Ground, lo, hi), look.Hex(look.SoilDetail))
		}
		fmt.Fprintf(&d.b, `<path d="%s" fill="none" stroke="%s" stroke-width="2.5" stroke-linejoin="round"/>`, line, look.Hex(look.SoilLine))
	})
}

func (d *sectionDrawing) line(z []float64, lo, hi int) string {
	var b strings.Builder
	for i := lo; i <= hi; i++ {
		fmt.Fprintf(&b, "%s%.1f %.1f", pen(i == lo), d.x(d.row.Section.Along[i]), d.y(z[i]))
	}
	return b.String()
}

// level is the height of the drawn ground at a distance along the row.
func (d *sectionDrawing) level(along float64) float64 {
	s := &d.row.Section
	i := int(math.Round(along / d.row.Length * float64(len(s.Along)-1)))
	return s.Smooth[min(max(i, 0), len(s.Along)-1)]
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
		z := d.level(t.Along)
		if math.IsNaN(z) {
			z = t.Ground
		}
		x, y := d.x(t.Along), d.y(z)
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
