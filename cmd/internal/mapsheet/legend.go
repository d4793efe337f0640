package mapsheet

import (
	"fmt"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/species"
)

// A block is one part of the legend.
type block struct {
	head    string
	entries []entry
	note    string // small print below
}

// An entry is one sample and what it stands for. The sample is drawn about
// (x, y), within 36 px of a sheet 2400 wide to both sides.
type entry struct {
	text   string
	number string // set at the right edge
	sample func(c *paint.Canvas, x, y float64)
}

// Measures of the legend, px of a sheet 2400 wide.
const (
	entryHigh   = 46
	headHigh    = 50
	noteHigh    = 34
	blockGap    = 26
	noteGap     = 8
	sampleWide  = 72
	sampleReach = 36
)

// possible is the most that can turn out to be shown, for the room to keep.
func (s *sheet) possible() shown {
	d := s.r.Drain
	p := shown{depths: make([]bool, len(s.shown.depths)), flows: make([]bool, len(s.shown.flows))}
	for i := range s.r.Trees {
		p.trees[class(&s.r.Trees[i])]++
		if s.r.Trees[i].Flagged {
			p.flagged++
		}
		p.short = true
	}
	p.labelled, p.beyond = 1, 1
	deepest := 0.0
	if d.Hollows != nil {
		for i := range d.Hollows.All {
			deepest = max(deepest, d.Hollows.All[i].Depth())
		}
	}
	for i, c := range look.Depths(s.r.Units) {
		p.depths[i] = deepest > 0 && c.From <= 1.5*deepest
	}
	for i, c := range look.Flows(s.r.Units) {
		for _, f := range d.FlowLines {
			p.flows[i] = p.flows[i] || f.Catchment > c.From && f.Catchment <= c.To
		}
	}
	p.hollows, p.spills = deepest > 0, deepest > 0
	p.brims = deepest > 0 && s.r.Storm != nil
	p.outermost = 1
	p.void = true
	p.rows = len(s.r.Rows) > 0
	for _, row := range s.r.Rows {
		p.gaps = p.gaps || len(row.Gaps) > 0
	}
	if s.r.Survey != nil {
		p.shots = len(s.r.Survey.Points)
	}
	for _, l := range s.r.Links {
		p.ditches, p.pipes = p.ditches || l.Ditch, p.pipes || !l.Ditch
	}
	p.contours, p.index = true, true
	return p
}

// legend is the blocks for what is shown.
func (s *sheet) legend(sh shown) []block {
	var out []block
	if b := s.treeBlock(sh); len(b.entries) > 0 {
		out = append(out, b)
	}
	if b := s.waterBlock(sh); len(b.entries) > 0 {
		out = append(out, b)
	}
	if b := s.flowBlock(sh); len(b.entries) > 0 {
		out = append(out, b)
	}
	if b := s.groundBlock(sh); len(b.entries) > 0 {
		out = append(out, b)
	}
	return out
}

func (s *sheet) treeBlock(sh shown) block {
	b := block{head: "Planned trees, by risk"}
	var all [unknown + 1]int
	for i := range s.r.Trees {
		all[class(&s.r.Trees[i])]++
	}
	// Worst first: what is looked for stands on top.
	for _, k := range [...]int{int(species.Severe), int(species.High), int(species.Moderate), int(species.Low), unknown} {
		if sh.trees[k] == 0 {
			continue
		}
		sym := s.symbols[k]
		b.entries = append(b.entries, entry{
			text:   sym.Name,
			number: ofAll(sh.trees[k], all[k]),
			sample: func(c *paint.Canvas, x, y float64) { sym.Draw(c, x, y, mostRadius*s.u, false) },
		})
	}
	if sh.flagged > 0 {
		b.note = "Labelled trees are flagged: likely to stand in water longer or deeper than they bear."
		if sh.short {
			b.note += " A label is the place in the row; 12–14 is three trees."
		}
		if left := sh.flagged - sh.labelled; left > 0 && sh.labelled > 0 {
			b.note += fmt.Sprintf(" %d of %d found no room here; the field list has all.", left, sh.flagged)
		}
	}
	if sh.beyond > 0 {
		if b.note != "" {
			b.note += " "
		}
		b.note += fmt.Sprintf("%d planned far off the ground: not on this map.", sh.beyond)
	}
	return b
}

func (s *sheet) waterBlock(sh shown) block {
	b := block{head: "Hollows: depth when full"}
	if s.r.Storm != nil {
		b.head = "Water when the rain ends"
	}
	for i, c := range look.Depths(s.r.Units) {
		if !sh.depths[i] {
			continue
		}
		b.entries = append(b.entries, entry{text: c.Label, sample: s.swatch(c.Fill, look.Shore)})
	}
	if sh.brims {
		b.entries = append(b.entries, entry{text: "as far as it can fill: its brim", sample: func(c *paint.Canvas, x, y float64) {
			c.Stroke(dashed([]paint.Point{{X: x - 34*s.u, Y: y}, {X: x + 34*s.u, Y: y}}, 13*s.u, 9*s.u), paint.Pen{Width: brimWidth * s.u}, look.Shore)
		}})
	}
	if len(b.entries) == 0 {
		return b
	}
	if sh.spills {
		b.entries = append(b.entries, entry{text: "spills over here when full", sample: func(c *paint.Canvas, x, y float64) {
			c.Fill(spillMark(x, y, spillReach*s.u), look.Shore)
		}})
	}
	b.note = "A number in blue is that of the hollow in words and tables."
	if sh.outermost > sh.numbered {
		b.note += fmt.Sprintf(" %d of %d found no room here.", sh.outermost-sh.numbered, sh.outermost)
	}
	return b
}

// ofAll is a count of what is on the sheet, with what there is in all where
// that is more.
func ofAll(n, all int) string {
	if n == all {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d of %d", n, all)
}

func (s *sheet) swatch(fill, edge colour) func(*paint.Canvas, float64, float64) {
	return func(c *paint.Canvas, x, y float64) {
		r := paint.Rectangle(x-28*s.u, y-14*s.u, x+28*s.u, y+14*s.u)
		c.Fill(r, fill)
		c.Stroke(r, paint.Pen{Width: 2 * s.u}, edge)
	}
}

func (s *sheet) flowBlock(sh shown) block {
	b := block{head: "Water runs here, from"}
	for i, c := range look.Flows(s.r.Units) {
		if !sh.flows[i] {
			continue
		}
		b.entries = append(b.entries, entry{text: c.Label + " of ground", sample: func(cv *paint.Canvas, x, y float64) {
			cv.Stroke(paint.Polyline(paint.Point{X: x - 34*s.u, Y: y}, paint.Point{X: x + 34*s.u, Y: y}), paint.Pen{Width: c.Width * flowWidth * s.u}, look.Flow)
			cv.Fill(drafting.ArrowHead((13+3*c.Width)*s.u, 0, x, y), look.Flow)
		}})
	}
	return b
}

func (s *sheet) groundBlock(sh shown) block {
	b := block{head: "Ground and rows"}
	stroke := func(width float64, ink colour) func(*paint.Canvas, float64, float64) {
		return func(c *paint.Canvas, x, y float64) {
			// A bend, as contours have.
			var p paint.Path
			p.MoveTo(x-34*s.u, y+7*s.u)
			p.CurveTo(x-10*s.u, y-16*s.u, x+8*s.u, y+16*s.u, x+34*s.u, y-7*s.u)
			c.Stroke(p, paint.Pen{Width: width * s.u}, ink)
		}
	}
	if sh.contours {
		b.entries = append(b.entries, entry{text: "contour, each " + s.spacing.String(), sample: stroke(1.7, look.ContourLine)})
	}
	if sh.index {
		five := s.spacing
		five.Step *= 5
		b.entries = append(b.entries, entry{text: "each " + five.String(), sample: stroke(3.4, look.ContourLine)})
	}
	if sh.rows {
		text := "row, its name at its start"
		if sh.gaps {
			text = "row and gap, name at its start"
		}
		b.entries = append(b.entries, entry{text: text, sample: func(c *paint.Canvas, x, y float64) {
			var p paint.Path
			p.MoveTo(x-34*s.u, y)
			if sh.gaps {
				p.LineTo(x-6*s.u, y)
				p.MoveTo(x+12*s.u, y)
			}
			p.LineTo(x+34*s.u, y)
			c.Stroke(p, paint.Pen{Width: 2 * s.u}, look.RowLine)
		}})
	}
	b.entries = append(b.entries, s.linkEntries(sh)...)
	if sh.shots > 0 {
		b.entries = append(b.entries, entry{text: "spot height measured", number: ofAll(sh.shots, len(s.r.Survey.Points)), sample: func(c *paint.Canvas, x, y float64) {
			c.Stroke(drafting.Cross(x, y, 8*s.u), paint.Pen{Width: 2.6 * s.u}, look.Shot)
		}})
	}
	if sh.void {
		b.entries = append(b.entries, entry{text: "no elevation known", sample: func(c *paint.Canvas, x, y float64) {
			r := paint.Rectangle(x-28*s.u, y-14*s.u, x+28*s.u, y+14*s.u)
			c.Fill(r, look.Unknown)
			var hatch paint.Path
			for k := -2; k < 4; k++ {
				hatch.MoveTo(x+(float64(k)*14-14)*s.u, y+14*s.u)
				hatch.LineTo(x+(float64(k)*14+14)*s.u, y-14*s.u)
			}
			in := c.Window(bounds(x-28*s.u, y-14*s.u, x+28*s.u, y+14*s.u))
			in.Stroke(hatch, paint.Pen{Width: 2 * s.u}, look.UnknownLine)
			c.Stroke(r, paint.Pen{Width: 2 * s.u}, look.UnknownLine)
		}})
	}
	return b
}

// columns is how many legend columns fit side by side below a map.
func (s *sheet) columns() int { return 4 }

// columnWide is the width of a legend column, px.
func (s *sheet) columnWide(n int) float64 {
	if n == 1 {
		return legendWide * s.u
	}
	return (float64(s.width) - 2*margin*s.u - float64(n-1)*40*s.u) / float64(n)
}

func (s *sheet) blockHigh(b block, wide float64) float64 {
	heads := len(s.bold.Wrap(b.head, headSize*s.u, wide))
	notes := 0
	if b.note != "" {
		notes = len(s.regular.Wrap(b.note, smallSize*s.u, wide))
	}
	return (float64(heads)*headHigh + float64(len(b.entries))*entryHigh + float64(notes)*noteHigh + min(float64(notes), 1)*noteGap + blockGap) * s.u
}

// columnsHigh is how high the legend is in n columns.
func (s *sheet) columnsHigh(blocks []block, n int) float64 {
	high := 0.0
	for _, column := range s.flowColumns(blocks, n) {
		sum := 0.0
		for _, b := range column {
			sum += s.blockHigh(b, s.columnWide(n))
		}
		high = max(high, sum)
	}
	return high
}

// flowColumns shares blocks out over n columns, in order, each to itself while
// there are columns.
func (s *sheet) flowColumns(blocks []block, n int) [][]block {
	if n == 1 {
		return [][]block{blocks}
	}
	out := make([][]block, min(n, len(blocks)))
	for i, b := range blocks {
		k := min(i, len(out)-1)
		out[k] = append(out[k], b)
	}
	return out
}

// drawLegend draws the legend for what turned out to be shown and returns where
// it and the maps end.
func (s *sheet) drawLegend() float64 {
	blocks := s.legend(s.shown)
	n, x, y := 1, float64(s.width)-(margin+legendWide)*s.u, (titleHigh+axisHigh)*s.u
	if s.below {
		n, x, y = s.columns(), margin*s.u, s.mapBottom()+gutter*s.u
	}
	wide := s.columnWide(n)
	for i, column := range s.flowColumns(blocks, n) {
		left, at := x+float64(i)*(wide+40*s.u), y
		for _, b := range column {
			s.drawBlock(b, left, at, wide)
			at += s.blockHigh(b, wide)
		}
	}
	return max(y+s.columnsHigh(blocks, n), s.mapBottom())
}

func (s *sheet) drawBlock(b block, x, y, wide float64) {
	for _, text := range s.bold.Wrap(b.head, headSize*s.u, wide) {
		s.write(s.bold, text, headSize*s.u, x, y+28*s.u, true)
		y += headHigh * s.u
	}
	for _, e := range b.entries {
		middle := y + entryHigh/2*s.u
		e.sample(s.canvas, x+sampleReach*s.u, middle)
		base := middle + paint.CapHeight*textSize/2*s.u
		room := wide - (sampleWide+16)*s.u
		if e.number != "" {
			w := s.bold.Width(e.number, textSize*s.u)
			s.write(s.bold, e.number, textSize*s.u, x+wide-w-40*s.u, base, true)
			room -= w + 50*s.u
		}
		s.write(s.regular, s.regular.Fit(e.text, textSize*s.u, room), textSize*s.u, x+(sampleWide+16)*s.u, base, true)
		y += entryHigh * s.u
	}
	if b.note != "" {
		y += noteGap * s.u
		for _, text := range s.regular.Wrap(b.note, smallSize*s.u, wide) {
			s.write(s.regular, text, smallSize*s.u, x, y+24*s.u, false)
			y += noteHigh * s.u
		}
	}
}
