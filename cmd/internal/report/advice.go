package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// An adviceView is what to do about the site as a whole.
type adviceView struct {
	Lead          string
	Before, After mapView
	Changes       []changeView
	Left          string // how many changes are not listed
	Parts         []partView
}

// A changeView is what the plan does about one tree.
type changeView struct{ ID, Plant, Do, Soil, Before, After string }

// mostChanges is how many trees of the plan the page lists.
const mostChanges = 60

func changeViews(r *assess.Result, a *advise.Advice) (out []changeView, left string) {
	plain := 0
	for i := range a.Changes {
		c := &a.Changes[i]
		if !c.Raised && !c.Swapped && c.Before < 0.1 && c.After < 0.1 || len(out) == mostChanges {
			plain++
			continue
		}
		t := &r.Trees[c.Tree]
		v := changeView{ID: t.ID, Plant: t.Entry.Name(), Do: a.Do(r, c), Before: species.Tenths(c.Before), After: species.Tenths(c.After)}
		if c.Raised {
			v.Soil = quantity.FormatVolume(c.Heap.Settled, r.Units)
		}
		out = append(out, v)
	}
	if plain > 0 {
		left = fmt.Sprintf("And %d more change places, with little risk before or after: wetfeet advise --apply writes all of them into a new site file.", plain)
	}
	return out, left
}

// A mapView is a small map of the planting by risk.
type mapView struct {
	Head  string
	SVG   template.HTML
	Words string
}

// A partView is one kind of thing to do.
type partView struct {
	Head  string
	Lines []string
}

// oneLoad is the trailer that loads of soil are told in on the page, m³.
const oneLoad = 1

func adviceViewOf(r *assess.Result, a *advise.Advice) *adviceView {
	if a == nil {
		return nil
	}
	v := &adviceView{Lead: a.Lead(r)}
	for _, p := range []partView{
		{"Change places in the row", a.Arrange()},
		{"Soil for mounds", append(a.Heaps(r, oneLoad), a.Dammed(r)...)},
		{"Buy instead", a.Swap(r)},
		{"Drains, if you may dig there", a.Drain(r)},
		{"Find out next", a.Measure(r)},
	} {
		if len(p.Lines) > 0 {
			v.Parts = append(v.Parts, p)
		}
	}
	if len(a.Changes) == 0 {
		return v
	}
	before, after := risks(r), risks(r)
	for i := range a.Changes {
		c := &a.Changes[i]
		after[c.Tree] = look.Risk(species.RiskOf(c.After))
	}
	v.Changes, v.Left = changeViews(r, a)
	chart := smallMapOf(r)
	v.Before = mapView{"As planned", chart.draw(r, before), countWords(before)}
	v.After = mapView{"With all that is advised", chart.draw(r, after), countWords(after)}
	return v
}

// risks are the symbols of all trees.
func risks(r *assess.Result) []look.Symbol {
	out := make([]look.Symbol, len(r.Trees))
	for i := range r.Trees {
		out[i] = symbolOf(&r.Trees[i])
	}
	return out
}

// countWords counts the trees of each risk above low.
func countWords(all []look.Symbol) string {
	n := map[string]int{}
	for _, s := range all {
		n[s.Name]++
	}
	var parts []string
	for _, risk := range []species.Risk{species.Severe, species.High, species.Moderate} {
		parts = append(parts, fmt.Sprintf("%d %v", n[risk.String()], risk))
	}
	return strings.Join(parts, ", ") + "."
}

// A smallMap is the planting with the odds of water under it, to draw risks on.
type smallMap struct {
	bound      orb.Bound
	wide, high float64 // units of the picture, without the scale below it
	scale      float64 // of them to the metre
	water      string  // picture of the odds of water, as a data address
	box        [4]float64
}

const (
	smallMapWide = 640.0
	belowMap     = 34.0 // room for the scale, which is not to lie on trees
)

func smallMapOf(r *assess.Result) *smallMap {
	var points orb.MultiPoint
	for i := range r.Trees {
		if r.Trees[i].OnGround {
			points = append(points, r.Trees[i].Point)
		}
	}
	b := points.Bound()
	b = b.Pad(math.Max(3, 0.03*math.Max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])))
	c := &smallMap{bound: b, wide: smallMapWide}
	c.scale = smallMapWide / (b.Max[0] - b.Min[0])
	if most := 1.3 * smallMapWide; c.scale*(b.Max[1]-b.Min[1]) > most {
		c.scale = most / (b.Max[1] - b.Min[1])
		c.wide = c.scale * (b.Max[0] - b.Min[0])
	}
	c.high = c.scale * (b.Max[1] - b.Min[1])
	c.paint(r)
	return c
}

// at is where a point lies on the picture.
func (c *smallMap) at(p orb.Point) (x, y float64) {
	return (p[0] - c.bound.Min[0]) * c.scale, (c.bound.Max[1] - p[1]) * c.scale
}

// paint makes the picture of the odds of water, no finer than it is shown.
func (c *smallMap) paint(r *assess.Result) {
	g := r.Odds.Ponding
	left, top := c.bound.Min[0], c.bound.Max[1]
	step := math.Max(g.CellSize, 1/c.scale)
	cols, rows := int((c.bound.Max[0]-left)/step)+1, int((top-c.bound.Min[1])/step)+1
	m := image.NewNRGBA(image.Rect(0, 0, cols, rows))
	blue := look.Stages()[1].Fill
	for y := range rows {
		for x := range cols {
			row, col, in := g.Locate(orb.Point{left + (float64(x)+0.5)*step, top - (float64(y)+0.5)*step})
			if !in {
				continue
			}
			if p := float64(g.At(row, col)); p >= 0.1 {
				m.SetNRGBA(x, y, color.NRGBA{blue.R, blue.G, blue.B, uint8(math.Round(40 + 200*p))})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		return // a picture in memory is written always
	}
	c.water = "data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes())
	c.box = [4]float64{0, 0, float64(cols) * step * c.scale, float64(rows) * step * c.scale}
}

// draw draws the rows and the trees by their symbols, the worst on top.
func (c *smallMap) draw(r *assess.Result, symbols []look.Symbol) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %.0f %.0f" role="img" aria-label="Map of the planting by risk: %s"><rect width="%.0f" height="%.0f" fill="%s"/>`, c.wide, c.high+belowMap, countWords(symbols), c.wide, c.high, look.Hex(look.GroundLight))
	fmt.Fprintf(&b, `<image href="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f" preserveAspectRatio="none"/>`, c.water, c.box[0], c.box[1], c.box[2], c.box[3])
	for i := range r.Rows {
		fmt.Fprintf(&b, `<path d="M`)
		for k, p := range r.Rows[i].Line {
			x, y := c.at(p)
			if k > 0 {
				b.WriteByte('L')
			}
			fmt.Fprintf(&b, "%.1f %.1f", x, y)
		}
		fmt.Fprintf(&b, `" fill="none" stroke="%s" stroke-width="1"/>`, look.Hex(look.RowLine))
	}
	small, big := c.radii(r)
	for _, name := range []string{look.NotKnown().Name, species.Low.String(), species.Moderate.String(), species.High.String(), species.Severe.String()} {
		radius := big
		if name == species.Low.String() {
			radius = small
		}
		for i, s := range symbols {
			if s.Name == name && r.Trees[i].OnGround {
				x, y := c.at(r.Trees[i].Point)
				b.WriteString(markAt(s, x, y, radius))
			}
		}
	}
	length := barLength(80/c.scale, r.Units)
	x, y := 10.0, c.high+belowMap-12
	fmt.Fprintf(&b, `<path d="M%.1f %.1fv6h%.1fv-6" fill="none" stroke="%s" stroke-width="2"/><text x="%.1f" y="%.1f" font-size="22" paint-order="stroke" stroke="#fff" stroke-width="3">%s</text>`, x, y, length*c.scale, look.Hex(look.Ink), x+length*c.scale+6, y+6, quantity.FormatLevel(length, length, r.Units))
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// radii are those of the marks of trees at low risk, and of all others.
func (c *smallMap) radii(r *assess.Result) (small, big float64) {
	spacing := math.Inf(1)
	for i := range r.Rows {
		spacing = math.Min(spacing, r.Rows[i].Spacing)
	}
	if math.IsInf(spacing, 1) {
		spacing = 3
	}
	small = math.Min(math.Max(0.3*spacing*c.scale, 1.2), 6)
	return small, math.Max(1.5*small, 5)
}

// barLength is a tidy length of about as many metres.
func barLength(metres float64, u quantity.Units) float64 { return quantity.TidyStep(metres, u) }
