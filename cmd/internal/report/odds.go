package report

import (
	"fmt"
	"html"
	"html/template"
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// A barView is an interval as a bar on a scale that all bars of its column
// share, and in words.
type barView struct {
	SVG  template.HTML
	Text string
	Sort string
}

// scales are the ends of the columns of bars.
type scales struct{ depth, hours float64 }

// barScales are as far as nine in ten of the draws go at the worst tree.
func barScales(r *assess.Result) (s scales) {
	for i := range r.Trees {
		if t := &r.Trees[i]; t.Draws != nil {
			s.depth, s.hours = max(s.depth, t.Depths.High), max(s.hours, t.Hours.High)
		}
	}
	return s
}

// Sizes of a bar in its own units.
const (
	barWide = 96.0
	barHigh = 12.0
)

// bar draws an interval: a thin line for the whole scale, a thick one from what
// one in ten is less than to what nine in ten are less than, and a tick where
// half are.
func bar(v assess.Interval, end float64, words string) template.HTML {
	if !(end > 0) || math.IsNaN(v.Likely) {
		return ""
	}
	at := func(x float64) float64 { return 2 + (barWide-4)*min(max(x/end, 0), 1) }
	low, mid, high := at(v.Low), at(v.Likely), at(v.High)
	if high-low < 2 { // so that it is seen
		high = low + 2
	}
	return template.HTML(fmt.Sprintf(
		`<svg class="bar" viewBox="0 0 %g %g" role="img" aria-label="%s"><path d="M2 6H%g" stroke="%s" stroke-width="1"/><path d="M%.1f 6H%.1f" stroke="%s" stroke-width="6"/><path d="M%.1f 1V11" stroke="%s" stroke-width="2.5"/></svg>`,
		barWide, barHigh, html.EscapeString(words), barWide-2, look.Hex(look.Quiet), low, high, look.Hex(look.Stages()[1].Fill), mid, look.Hex(look.Ink)))
}

// depthBar is how deep water stands at a tree.
func depthBar(t *assess.Tree, end float64, u quantity.Units) barView {
	v := t.Depths
	text := assess.DepthSpan(v, u)
	return barView{bar(v, end, text), text, sortable(v.Likely)}
}

// hoursBar is how long the roots of a tree are wet.
func hoursBar(t *assess.Tree, end float64) barView {
	v := t.Hours
	text := assess.HoursSpan(v)
	return barView{bar(v, end, text), text, sortable(v.Likely)}
}
