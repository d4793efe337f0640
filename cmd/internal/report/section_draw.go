package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"

	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// A picture is a section being written as SVG.
type picture struct {
	*piece
	b strings.Builder
}

// draw writes a piece: the ground along a row seen from its side, the water of
// full hollows, and every tree at its place.
func (p *piece) draw() template.HTML {
	d := picture{piece: p}
	foot := p.bottom() + 1.9*p.text + 6
	part := ""
	if p.lo > 0 || p.hi < len(p.Along)-1 {
		part = ", " + p.heading()
	}
	fmt.Fprintf(&d.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 %.0f %g %.0f" role="img" aria-label="Ground, water and trees along row %s%s" font-size="%g"><desc>%s</desc>`,
		math.Floor(p.top), p.width, math.Ceil(foot-math.Floor(p.top)), html.EscapeString(p.row.Name), part, p.text, html.EscapeString(p.describe()))
	d.grid()
	d.pour()
	d.ground()
	d.gaps()
	d.plants()
	d.letter()
	d.tell()
	d.b.WriteString(`</svg>`)
	return template.HTML(d.b.String())
}

const (
	faint = "#d9d3c3"
	quiet = "#45483f"
)

func (d *picture) grid() {
	for _, l := range d.levels() {
		y := d.y(l.z)
		fmt.Fprintf(&d.b, `<path d="M%.1f %.1fH%.1f" stroke="%s"/>`, d.plotLeft, y, d.plotRight, faint)
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%.1f" text-anchor="end" fill="%s">%s</text>`,
			d.plotLeft-d.radius-3, y+0.35*d.text, quiet, l.text)
	}
	across := quantity.TidyStep((d.to-d.from)*1.6*d.text*3/(d.plotRight-d.plotLeft), d.result.Units)
	for k := math.Ceil(d.from/across - 1e-9); k*across <= d.to*1.0001; k++ {
		x := d.x(k * across)
		fmt.Fprintf(&d.b, `<path d="M%.1f %gv6" stroke="%s"/>`, x, d.bottom(), quiet)
		anchor := "middle"
		if x > d.width-2.2*d.text {
			x, anchor = d.width-1, "end"
		}
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%g" text-anchor="%s" fill="%s">%s</text>`,
			x, d.bottom()+8+d.text, anchor, quiet, quantity.FormatLevel(k*across, across, d.result.Units))
	}
}

// pour draws water from the time the rain ends on, what is left of it later over
// what was there before.
func (d *picture) pour() {
	stages := look.Stages()
	for k, level := range d.water {
		d.runs(d.lo, d.hi, func(i int) bool { return !math.IsNaN(level[i]) }, func(lo, hi int) {
			if lo == hi {
				return
			}
			bed := make([]float64, len(d.Soft))
			for i := lo; i <= hi; i++ {
				bed[i] = min(d.Soft[i], level[i])
			}
			fmt.Fprintf(&d.b, `<path class="w" d="%s%sZ" fill="%s"/>`,
				d.line(level, lo, hi, false), strings.Replace(d.line(bed, lo, hi, true), "M", "L", 1), look.Hex(stages[min(k, len(stages)-1)].Fill))
		})
	}
	for k, level := range d.water {
		d.surface(level, stageStroke(k))
	}
	d.surface(d.brim, brimStroke())
}

// surface draws the lines of one water.
func (d *picture) surface(level []float64, stroke string) {
	d.runs(d.lo, d.hi, func(i int) bool { return !math.IsNaN(level[i]) }, func(lo, hi int) {
		if lo < hi {
			fmt.Fprintf(&d.b, `<path d="%s" fill="none" %s/>`, d.line(level, lo, hi, false), stroke)
		}
	})
}

func stageStroke(k int) string {
	stages := look.Stages()
	s := stages[min(k, len(stages)-1)]
	out := fmt.Sprintf(`stroke="%s" stroke-width="%g"`, look.Hex(look.WaterLine), s.Width)
	if s.Dash != "" {
		out += fmt.Sprintf(` stroke-dasharray="%s"`, s.Dash)
	}
	return out
}

func brimStroke() string {
	return fmt.Sprintf(`stroke="%s" stroke-width="%g" stroke-dasharray="%s" stroke-linecap="round"`, look.Hex(look.WaterLine), look.BrimWidth, look.BrimDash)
}

// ground is drawn softened, with the full detail as a thin line where the two
// differ.
func (d *picture) ground() {
	d.runs(d.lo, d.hi, func(i int) bool { return !math.IsNaN(d.Soft[i]) }, func(lo, hi int) {
		line := d.line(d.Soft, lo, hi, false)
		fmt.Fprintf(&d.b, `<path d="%sV%gH%.1fZ" fill="%s"/>`, line, d.bottom(), d.x(d.Along[lo]), look.Hex(look.SectionSoil))
		if d.detail {
			fmt.Fprintf(&d.b, `<path d="%s" fill="none" stroke="%s"/>`, d.line(d.Ground, lo, hi, false), look.Hex(look.SoilDetail))
		}
		fmt.Fprintf(&d.b, `<path d="%s" fill="none" stroke="%s" stroke-width="2.5" stroke-linejoin="round"/>`, line, look.Hex(look.SoilLine))
	})
}

// line is a path through levels between two samples, backwards if asked to.
// Samples nearer to each other than half a unit are passed over.
func (d *picture) line(z []float64, lo, hi int, back bool) string {
	var b strings.Builder
	last := math.Inf(-1)
	for k := range hi - lo + 1 {
		i := lo + k
		if back {
			i = hi - k
		}
		x := d.x(d.Along[i])
		if k > 0 && i != lo && i != hi && math.Abs(x-last) < 0.9 {
			continue
		}
		pen := "L"
		if k == 0 {
			pen = "M"
		}
		fmt.Fprintf(&b, "%s%.1f %.1f", pen, x, d.y(z[i]))
		last = x
	}
	return b.String()
}

func (d *picture) gaps() {
	for _, g := range d.row.Gaps {
		from, to := max(g[0], d.from), min(g[1], d.to)
		if from >= to {
			continue
		}
		a, b := d.x(from), d.x(to)
		for _, at := range [...]float64{a, b} {
			fmt.Fprintf(&d.b, `<path d="M%.1f 0V%g" stroke="%s" stroke-dasharray="5 5"/>`, at, d.bottom(), quiet)
		}
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%g" text-anchor="middle" fill="%s">gap</text>`, (a+b)/2, d.bottom()-5, quiet)
	}
}

// plants puts each tree's mark on a stem above the ground.
func (d *picture) plants() {
	for _, m := range d.marks {
		t := &d.result.Trees[m.tree]
		fmt.Fprintf(&d.b, `<path d="M%.1f %.1fV%.1f" stroke="#55584f"/>`, m.x, m.base, m.y+d.radius)
		title := t.ID + ": "
		if t.Entry != nil {
			title += t.Entry.Name() + ", "
		}
		fmt.Fprintf(&d.b, `<g><title>%s</title>%s</g>`, html.EscapeString(title+symbolOf(t).Name), markAt(symbolOf(t), m.x, m.y, d.radius))
	}
}

// letter writes the names of flagged trees.
func (d *picture) letter() {
	for _, l := range d.labels {
		if l.leader != nil {
			fmt.Fprintf(&d.b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="#22231f"/>`, l.foot[0], l.foot[1], l.box.X, l.box.Y+l.box.H)
		}
		if len(l.trees) > 1 {
			fmt.Fprintf(&d.b, `<path d="M%.1f %.1fv-4H%.1fv4" fill="none" stroke="#22231f" stroke-width="1.5"/>`, l.bar[0], l.barY+2, l.bar[1])
		}
		fmt.Fprintf(&d.b, `<text x="%.1f" y="%.1f" font-weight="600" text-anchor="middle" fill="#22231f">%s</text>`,
			l.box.X, l.box.Y+0.36*d.text, html.EscapeString(l.text))
	}
}
