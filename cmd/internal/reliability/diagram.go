package reliability

import (
	"fmt"
	"html"
	"math"
	"strings"

	"wetfeet/cmd/internal/look"
)

// Measures of a diagram, in units of its own.
const (
	wide     = 460.0
	size     = 14.0 // of the text
	left     = 62.0
	right    = 446.0
	top      = 14.0
	side     = right - left // of the square
	barsTop  = top + side + 3.2*size
	barsHigh = 64.0
	wordsTop = barsTop + barsHigh + 3.4*size
)

// A Diagram is the picture of a curve with its band.
type Diagram struct {
	Curve Curve
	Band  Band   // of the same odds; a zero Band is not drawn
	What  string // of what there are odds, in the plural: "trees"
	Came  string // what they did, in the past: "stood in water"
}

// SVG draws the diagram as a picture without scripts, to stand in a page or as
// a file of its own: how often odds came true over the odds, how many were
// given such odds, and the parts of the score in words.
func (d Diagram) SVG() string {
	var b strings.Builder
	high := wordsTop + 5.2*size
	title := fmt.Sprintf("Of the %s given such odds, how many %s", d.What, d.Came)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" role="img" aria-label="%s" font-size="%g" font-family="sans-serif"><title>%s</title><desc>%s</desc>`,
		wide, high, html.EscapeString(title), size, html.EscapeString(title), html.EscapeString(strings.Join(d.words(), " ")))
	fmt.Fprintf(&b, `<rect width="%g" height="%.0f" fill="%s"/>`, wide, high, look.Hex(look.Paper))
	d.square(&b)
	d.bars(&b)
	for k, line := range d.words() {
		fmt.Fprintf(&b, `<text x="10" y="%.1f" fill="%s">%s</text>`, wordsTop+float64(k)*1.45*size, look.Hex(look.Ink), html.EscapeString(line))
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// words tell the parts of the score.
func (d Diagram) words() []string {
	c := d.Curve
	return []string{
		fmt.Sprintf("Lost because the odds are off (miscalibration): %s", score(c.Miscalibration)),
		fmt.Sprintf("Gained by telling %s apart (discrimination): %s", d.What, score(c.Discrimination)),
		fmt.Sprintf("Left if all were given the same odds (uncertainty): %s", score(c.Uncertainty)),
		fmt.Sprintf("Brier score: %s − %s + %s = %s; 0 is perfect", score(c.Miscalibration), score(c.Discrimination), score(c.Uncertainty), score(c.Brier)),
	}
}

// score writes a score, none below 0 but for rounding.
func score(v float64) string { return fmt.Sprintf("%.4f", max(v, 0)) }

func x(odds float64) float64  { return left + side*odds }
func y(share float64) float64 { return top + side*(1-share) }

// square draws the axes, the band and the curve.
func (d Diagram) square(b *strings.Builder) {
	quiet, ink := look.Hex(look.Quiet), look.Hex(look.Ink)
	if points := d.Curve.Points; len(d.Band.Lo) > 0 {
		fmt.Fprintf(b, `<path class="band" fill="%s" stroke="%[1]s" d="`, look.Hex(look.Stages()[0].Fill))
		for k, p := range points {
			fmt.Fprintf(b, "%s%.1f %.1f", pen(k), x(p.Odds), y(d.Band.Hi[k]))
		}
		for k := len(points) - 1; k >= 0; k-- {
			fmt.Fprintf(b, "L%.1f %.1f", x(points[k].Odds), y(d.Band.Lo[k]))
		}
		b.WriteString(`Z"/>`)
	}
	fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="%s" stroke-dasharray="5 4"/>`, x(0), y(0), x(1), y(1), quiet)
	fmt.Fprintf(b, `<path d="M%g %gV%gH%g" fill="none" stroke="%s"/>`, left, top, y(0), right, quiet)
	for k := range 6 {
		v := float64(k) / 5
		fmt.Fprintf(b, `<path d="M%.1f %gv4M%g %.1fh-4" stroke="%s"/>`, x(v), y(0), left, y(v), quiet)
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="%s">%d</text>`, x(v), y(0)+4+size, quiet, 2*k)
		fmt.Fprintf(b, `<text x="%g" y="%.1f" text-anchor="end" fill="%s">%d</text>`, left-8, y(v)+0.35*size, quiet, 2*k)
	}
	fmt.Fprintf(b, `<text x="%g" y="%.1f" text-anchor="middle" fill="%s">odds given, of ten</text>`, left+side/2, y(0)+4+2.15*size, ink)
	fmt.Fprintf(b, `<text transform="translate(%g %g) rotate(-90)" text-anchor="middle" fill="%s">%s, of ten</text>`, 1.3*size, top+side/2, ink, html.EscapeString(d.Came))
	fmt.Fprintf(b, `<path class="curve" fill="none" stroke="%s" stroke-width="2.2" stroke-linejoin="round" d="`, look.Hex(look.Shore))
	for k, p := range d.Curve.Points {
		if k > 0 && k+1 < len(d.Curve.Points) && p.Share == d.Curve.Points[k-1].Share && p.Share == d.Curve.Points[k+1].Share {
			continue // on the way along a step
		}
		fmt.Fprintf(b, "%s%.1f %.1f", pen(k), x(p.Odds), y(p.Share))
	}
	b.WriteString(`"/>`)
	at := top + 1.1*size
	fmt.Fprintf(b, `<path d="M%g %.1fh22" stroke="%s" stroke-width="2.2"/><text x="%g" y="%.1f" fill="%s">what happened</text>`, left+12, at-4, look.Hex(look.Shore), left+42, at, ink)
	at += 1.4 * size
	fmt.Fprintf(b, `<path d="M%g %.1fh22" stroke="%s" stroke-dasharray="5 4"/><text x="%g" y="%.1f" fill="%s">odds that are right</text>`, left+12, at-4, quiet, left+42, at, ink)
	if len(d.Band.Lo) > 0 {
		at += 1.4 * size
		fmt.Fprintf(b, `<path d="M%g %.1fh22v-10h-22z" fill="%s"/><text x="%g" y="%.1f" fill="%s">and chance (%.0f %% of times)</text>`,
			left+12, at, look.Hex(look.Stages()[0].Fill), left+42, at, ink, 100*d.Band.Level)
	}
}

func pen(k int) string {
	if k == 0 {
		return "M"
	}
	return "L"
}

// bars draws how many were given such odds, in tenths: the first and the last
// bar are what rounds to none and to all. Heights go by the square root, or
// the rare would not be seen beside the sure.
func (d Diagram) bars(b *strings.Builder) {
	var count [11]int
	most := 0
	for _, p := range d.Curve.Points {
		k := int(math.Round(10 * p.Odds))
		count[k] += p.Count
		most = max(most, count[k])
	}
	base := barsTop + barsHigh
	for k, n := range count {
		at, half := x(float64(k)/10), side/10*0.42
		from, to := max(at-half, left), min(at+half, right)
		if most > 0 && n > 0 {
			tall := max(0.7*barsHigh*math.Sqrt(float64(n)/float64(most)), 1)
			fmt.Fprintf(b, `<path class="bar" d="M%.1f %gV%.1fH%.1fV%[2]gZ" fill="%[5]s"/>`, from, base, base-tall, to, look.Hex(look.SoilDetail))
			fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="middle" font-size="%.1f" fill="%s">%d</text>`, (from+to)/2, base-tall-3, 0.72*size, look.Hex(look.Ink), n)
		}
	}
	fmt.Fprintf(b, `<path d="M%g %gH%g" stroke="%s"/>`, left, base, right, look.Hex(look.Quiet))
	fmt.Fprintf(b, `<text x="%g" y="%.1f" text-anchor="middle" fill="%s">how many %s (square roots drawn)</text>`, left+side/2, base+1.3*size, look.Hex(look.Ink), html.EscapeString(d.What))
}
