package report

import (
	"cmp"
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// Measures of a hydrograph, in units of its own.
const (
	chartWide  = 460.0
	chartText  = 14.0
	chartLeft  = 68.0
	chartRight = 454.0
	rainHigh   = 26.0
	chartTop   = rainHigh + 12
	chartHigh  = 200.0
)

// A plot is a hydrograph being drawn.
type plot struct {
	*hydrograph
	b        strings.Builder
	t0, t1   float64 // h after the rain
	z0, z1   float64 // m
	clusters []cluster
}

// A cluster is trees at nearly one level, with one label.
type cluster struct {
	stands []stand
	y      float64 // of the label
	text   string
	last   float64 // when the last of them comes dry, h
}

func (p *plot) x(hours float64) float64 {
	return chartLeft + (chartRight-chartLeft)*(hours-p.t0)/(p.t1-p.t0)
}

func (p *plot) y(z float64) float64 { return chartTop + chartHigh*(p.z1-z)/(p.z1-p.z0) }

// draw writes the hydrograph as a picture.
func (h *hydrograph) draw(head string) template.HTML {
	p := &plot{hydrograph: h}
	p.frame()
	end := chartTop + chartHigh + 2.9*chartText
	fmt.Fprintf(&p.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" role="img" aria-label="%s" font-size="%g"><title>%s</title><desc>%s</desc>`,
		chartWide, end, html.EscapeString("Level of the water in time: "+head), chartText, html.EscapeString(head), html.EscapeString(h.describe()))
	p.axes()
	p.rain()
	p.water()
	p.trees()
	p.b.WriteString(`</svg>`)
	return template.HTML(p.b.String())
}

// describe tells each tree and when it is dry.
func (h *hydrograph) describe() string {
	parts := []string{h.words()}
	for k, t := range h.under {
		if k == 30 {
			parts = append(parts, fmt.Sprintf("And %d more.", len(h.under)-k))
			break
		}
		tree := &h.result.Trees[t.tree]
		parts = append(parts, fmt.Sprintf("%s: up to %s, %s.", tree.ID, quantity.FormatDepth(h.peak-tree.Ground, h.result.Units), dryWords(h.result, t.last)))
	}
	return strings.Join(parts, " ")
}

// frame decides what part of time and height is shown: all of the water, and
// room for what is said of the trees.
func (p *plot) frame() {
	ends := rainEnds(p.result)
	p.t0 = -ends
	last := p.result.Storm.History.Hours - ends
	p.t1 = max(min(p.empty-ends, last), 12)
	p.z0, p.z1 = math.Inf(1), p.peak
	for _, c := range p.curves {
		p.z0 = min(p.z0, c.floor)
	}
	if spill := p.result.Drain.Hollows.All[p.id-1].Spill; spill > p.z1 && spill-p.z0 < 1.5*(p.z1-p.z0) {
		p.z1 = spill
	}
	p.z1 += 0.06 * (p.z1 - p.z0)
	p.cluster()
	for _, c := range p.clusters {
		wide, after := chartRight-chartLeft, min(c.last-ends, last)
		room := max(wide-12-labelWide(c.text), 0.3*wide)
		p.t1 = max(p.t1, p.t0+(after-p.t0)*wide/room)
	}
	p.t1 += 0.02 * (p.t1 - p.t0)
}

// cluster groups trees whose labels would lie on each other.
func (p *plot) cluster() {
	const apart = 1.15 * chartText
	for _, t := range p.under {
		y := p.y(p.result.Trees[t.tree].Ground)
		if n := len(p.clusters); n > 0 && y-p.y(p.result.Trees[p.clusters[n-1].stands[0].tree].Ground) < apart {
			p.clusters[n-1].stands = append(p.clusters[n-1].stands, t)
			continue
		}
		p.clusters = append(p.clusters, cluster{stands: []stand{t}})
	}
	before := math.Inf(-1)
	for k := range p.clusters {
		c := &p.clusters[k]
		first := math.Inf(1)
		var names []string
		for _, t := range c.stands {
			first, c.last = min(first, t.last), max(c.last, t.last)
			c.y += p.y(p.result.Trees[t.tree].Ground) / float64(len(c.stands))
			names = append(names, short(p.result.Trees[t.tree].ID))
		}
		c.y = max(c.y, before+apart)
		before = c.y
		c.text = brief(names) + ": " + p.when(first, c.last)
	}
}

// brief names one or two trees and counts the others.
func brief(names []string) string {
	if all := strings.Join(names, ", "); len(names) == 1 || len(names) == 2 && len(all) < 16 {
		return all
	}
	return fmt.Sprintf("%s +%d", names[0], len(names)-1)
}

// short leaves out the middle of a name that would fill the picture: its end
// tells trees of a row apart.
func short(name string) string {
	const head, tail = 4, 7
	letters := []rune(name)
	if len(letters) <= head+tail+1 {
		return name
	}
	return string(letters[:head]) + "…" + string(letters[len(letters)-tail:])
}

// when is when trees come dry, in the fewest words.
func (p *plot) when(first, last float64) string {
	ends := rainEnds(p.result)
	say := func(h float64) string {
		text := assess.Spell(max(min(h, p.result.Storm.History.Hours)-ends, 0.01))
		if text = strings.Replace(text, "days", "d", 1); math.IsInf(h, 1) {
			text = "over " + text
		}
		return text
	}
	from, to := say(first), say(last)
	if from == to {
		return to
	}
	if a, b, c := strings.Cut(from, " "); c && strings.HasSuffix(to, " "+b) && a != "over" && a != "under" {
		from = a
	}
	return from + "–" + to
}

func (p *plot) axes() {
	u := p.result.Units
	step := depthStep((p.z1-p.z0)/6, u)
	bottom := chartTop + chartHigh
	for k := math.Ceil((p.z0 - p.low) / step); p.low+k*step <= p.z1; k++ {
		z := p.low + k*step
		y := p.y(z)
		fmt.Fprintf(&p.b, `<path d="M%g %.1fH%g" stroke="%s"/>`, chartLeft, y, chartRight, faint)
		fmt.Fprintf(&p.b, `<text x="%g" y="%.1f" text-anchor="end" fill="#22231f">%s</text>`, chartLeft-5, y, signed(k*step, u))
		if y+0.9*chartText > bottom { // it would run into the days
			continue
		}
		fmt.Fprintf(&p.b, `<text x="%g" y="%.1f" text-anchor="end" fill="%s" font-size="%.1f">%s</text>`, chartLeft-5, y+0.88*chartText, quiet, 0.86*chartText, quantity.FormatLevel(z, min(step, 0.01), u))
	}
	days := (p.t1 - p.t0) / 24
	every := 1.0
	for _, s := range [...]float64{1, 2, 5, 10, 20} {
		if every = s; days/s <= 9 {
			break
		}
	}
	for d := math.Ceil(p.t0/24/every) * every; 24*d <= p.t1; d += every {
		x := p.x(24 * d)
		fmt.Fprintf(&p.b, `<path d="M%.1f %gv5" stroke="%s"/><text x="%.1f" y="%.1f" text-anchor="middle" fill="%s">%s</text>`,
			x, bottom, quiet, x, bottom+5+chartText, quiet, strings.Replace(fmt.Sprintf("%g", d+0), "-", "−", 1))
	}
	fmt.Fprintf(&p.b, `<path d="M%g %gV%gH%g" fill="none" stroke="%s"/>`, chartLeft, chartTop, bottom, chartRight, quiet)
	fmt.Fprintf(&p.b, `<text x="%g" y="%.1f" text-anchor="middle" fill="%s">days after the rain</text>`, (chartLeft+chartRight)/2, bottom+7+2.1*chartText, quiet)
}

// depthStep is a tidy step of depth, m: in feet, of whole inches while they are
// few.
func depthStep(least float64, u quantity.Units) float64 {
	const inch = 0.0254
	if u == quantity.Feet {
		for _, n := range [...]float64{0.5, 1, 2, 3, 6, 12} {
			if n*inch >= least {
				return n * inch
			}
		}
	}
	return quantity.TidyStep(least, u)
}

// signed writes a depth over the lowest tree.
func signed(depth float64, u quantity.Units) string {
	switch {
	case math.Abs(depth) < 1e-9:
		return "0"
	case depth < 0:
		return "−" + quantity.FormatDepth(-depth, u)
	}
	return quantity.FormatDepth(depth, u)
}

// rain is the course of the rain: bars as high as it was hard, none thinner
// than can be seen.
func (p *plot) rain() {
	const thin = 1.5
	x0, x1 := p.x(p.t0), p.x(0)
	course := p.result.Storm.Course
	hardest, bins := 0.0, make([]float64, max(1, min(len(course.Rain), int((x1-x0)/thin))))
	whole := p.result.Storm.Duration.Hours()
	at := 0.0
	for k, mm := range course.Rain { // each bin the mean of what falls in it
		from, to := at/whole*float64(len(bins)), (at+course.Hours[k])/whole*float64(len(bins))
		at += course.Hours[k]
		for b := int(from); b < len(bins) && float64(b) < to; b++ {
			if part := min(to, float64(b+1)) - max(from, float64(b)); part > 0 && to > from {
				bins[b] += mm * part / (to - from)
			}
		}
	}
	hardest = slices.Max(bins)
	wide := max(x1-x0, thin) / float64(len(bins))
	fmt.Fprintf(&p.b, `<path d="M%.1f %g`, x0, rainHigh)
	for b, mm := range bins {
		high := 0.0
		if hardest > 0 && mm > 0 {
			high = max((rainHigh-4)*mm/hardest, 0.8)
		}
		fmt.Fprintf(&p.b, `V%.1fH%.1f`, rainHigh-high, x0+float64(b+1)*wide)
	}
	fmt.Fprintf(&p.b, `V%gZ" fill="%s"/>`, rainHigh, look.Hex(look.WaterLine))
	fmt.Fprintf(&p.b, `<text x="%.1f" y="%.1f" fill="%s">%s of rain</text>`, max(x1, x0+1.5)+6, rainHigh-6, look.Hex(look.WaterLine), quantity.FormatRain(p.result.Storm.Rain, p.result.Units))
	fmt.Fprintf(&p.b, `<path d="M%.1f %gV%g" stroke="%s" stroke-dasharray="2 4"/>`, x1, rainHigh, chartTop+chartHigh, quiet)
}

// water draws the levels, the deepest hollow filled, and the brim.
func (p *plot) water() {
	ends := rainEnds(p.result)
	dashes := [mostCurves]string{"", "9 4", "3 3"}
	for k, c := range p.curves {
		var path strings.Builder
		lastX, lastY := math.Inf(-1), 0.0
		for n, pt := range c.points {
			x, y := p.x(pt.Hours-ends), p.y(pt.Level)
			if n > 0 && n < len(c.points)-1 && math.Hypot(x-lastX, y-lastY) < 0.4 {
				continue
			}
			pen := "L"
			if n == 0 {
				pen = "M"
			}
			fmt.Fprintf(&path, "%s%.1f %.1f", pen, x, y)
			lastX, lastY = x, y
		}
		if k == 0 {
			from, to := c.points[0], c.points[len(c.points)-1]
			fmt.Fprintf(&p.b, `<path class="w" d="%sL%.1f %.1fL%.1f %.1fZ" fill="%s"/>`, path.String(), p.x(to.Hours-ends), p.y(c.floor), p.x(from.Hours-ends), p.y(c.floor), look.Hex(look.Stages()[0].Fill))
		}
		dash := ""
		if dashes[k] != "" {
			dash = ` stroke-dasharray="` + dashes[k] + `"`
		}
		fmt.Fprintf(&p.b, `<path d="%s" fill="none" stroke="%s" stroke-width="2.2"%s/>`, path.String(), look.Hex(look.WaterLine), dash)
	}
	if spill := p.result.Drain.Hollows.All[p.id-1].Spill; spill <= p.z1 {
		y := p.y(spill)
		fmt.Fprintf(&p.b, `<path d="M%g %.1fH%g" fill="none" %s/>`, chartLeft+2, y, chartRight, brimStroke())
		fmt.Fprintf(&p.b, `<text x="%g" y="%.1f" text-anchor="end" fill="%s" font-size="%.1f"%s>brim</text>`, chartRight-2, y-4, look.Hex(look.Shore), 0.86*chartText, halo)
	}
}

// halo keeps words clear of what lies under them.
const halo = ` stroke="#fff" stroke-width="4" stroke-linejoin="round" paint-order="stroke"`

// trees draws when each tree is under water, its mark where it comes dry, and
// the labels.
func (p *plot) trees() {
	ends := rainEnds(p.result)
	edge := p.result.Storm.History.Hours - ends
	for _, t := range p.under {
		y := p.y(p.result.Trees[t.tree].Ground)
		fmt.Fprintf(&p.b, `<path d="M%.1f %.1fH%.1f" stroke="%s"/>`, p.x(t.first-ends), y, p.x(min(t.last-ends, edge)), quiet)
	}
	order := slices.Clone(p.under) // the worst on top
	slices.SortStableFunc(order, func(a, b stand) int {
		return cmp.Compare(p.result.Trees[a.tree].Risk, p.result.Trees[b.tree].Risk)
	})
	for _, t := range order {
		tree := &p.result.Trees[t.tree]
		p.b.WriteString(markAt(symbolOf(tree), p.x(min(t.last-ends, edge)), p.y(tree.Ground), 6))
	}
	for _, c := range p.clusters {
		fmt.Fprintf(&p.b, `<text x="%.1f" y="%.1f" fill="#22231f" font-size="%.1f"%s>%s</text>`,
			p.x(min(c.last-ends, edge))+10, c.y+0.25*chartText, labelText, halo, html.EscapeString(c.text))
	}
}

// labelText is the size of the labels of trees.
const labelText = 0.92 * chartText

// labelWide is about how wide a label is.
func labelWide(text string) float64 { return 0.59 * labelText * float64(utf8.RuneCountInString(text)) }
