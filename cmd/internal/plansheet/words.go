package plansheet

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/quantity"
)

// Cautions stand on every plan. They are common practice, no source, and give
// way to local codes and to people licensed for the work.
var Cautions = []string{
	"Check levels on site before digging.",
	"Have buried pipes, cables and irrigation lines located and marked first.",
	"Not a boundary survey: no line here is a property line.",
	"Ask your local office which permits digging, draining or raising ground needs.",
}

// A block is a part of the words: so high, and added at a place.
type block struct {
	high float64
	add  func(x, y float64)
}

const (
	lead     = 1.36 // of a line, in sizes of its text
	blockGap = 3.2
	rowHigh  = 5.0 // of a line of the legend
	sample   = 13.0
	factCol  = 15.0
)

func (s *sheet) title() string {
	if t := strings.TrimSpace(s.p.Title); t != "" {
		return t
	}
	return "Unnamed site"
}

// blocks are the words of the sheet for columns of a width.
func (s *sheet) blocks(wide float64, sh shown) []block {
	out := []block{s.titleBlock(wide), s.scaleBlock(wide), s.legendBlock(wide, sh), s.factBlock(wide, sh), s.handBlock(wide)}
	return append(out, s.cautionBlock(wide))
}

// wordsSize is how wide the columns of a way are and how high its words.
func (s *sheet) wordsSize(w way) (column, high float64) {
	most := shown{contours: true, index: true, rough: s.p.Error != nil, shots: len(s.p.Shots), labelled: len(s.p.Shots), outline: len(s.p.Outline) > 0, holes: len(s.p.Outline) > 1}
	most.doubtful = len(s.p.Suspicious) > 0 && s.o.Show == Contours
	for _, l := range s.p.Breaklines {
		most.kinds[l.Kind] = true
	}
	switch s.o.Show {
	case Errors:
		most.contours, most.index, most.rough = false, false, false
		for k := range look.Errors(s.p.Units) {
			most.classes = append(most.classes, k)
		}
		most.next = len(s.p.Next) > 0
	case Residuals:
		most.index, most.rough, most.shots = false, false, 0
		most.marks = append(look.Residuals(), look.Residual(math.NaN()))
	}
	if w.below {
		column, n := columns(w)
		for _, c := range share(s.blocks(column, most), n) {
			high = max(high, stack(c))
		}
		return column, high
	}
	for column = leastCol; column < mostCol; column += 6 {
		if stack(s.blocks(column, most)) <= w.high-2*margin {
			break
		}
	}
	return column, 0
}

// columns is how wide and how many the columns below a plan are.
func columns(w way) (wide float64, n int) {
	room := w.wide - 2*margin
	n = int((room + gutter) / (leastCol - 5 + gutter))
	return (room - gutter*float64(n-1)) / float64(n), n
}

func stack(blocks []block) float64 {
	sum := -blockGap
	for _, b := range blocks {
		sum += b.high + blockGap
	}
	return sum
}

// share puts blocks, in their order, in n columns as level as can be.
func share(blocks []block, n int) [][]block {
	best := [][]block{blocks}
	for limit := stack(blocks); ; limit -= 2 {
		out := [][]block{nil}
		for _, b := range blocks {
			last := len(out) - 1
			if len(out[last]) > 0 && stack(append(out[last][:len(out[last]):len(out[last])], b)) > limit {
				out = append(out, nil)
				last++
			}
			out[last] = append(out[last], b)
		}
		if len(out) > n {
			return best
		}
		best = out
		if limit < 2 {
			return best
		}
	}
}

// addWords writes the words for what turned out to be shown.
func (s *sheet) addWords() {
	w := s.way
	if !w.below {
		x, y := w.wide-margin-w.column, margin
		for _, b := range s.blocks(w.column, s.shown) {
			b.add(x, y)
			y += b.high + blockGap
		}
		return
	}
	_, n := columns(w)
	_, high := w.room()
	top := margin + axis + high + foot + gutter
	for i, column := range share(s.blocks(w.column, s.shown), n) {
		x, y := margin+float64(i)*(w.column+gutter), top
		for _, b := range column {
			b.add(x, y)
			y += b.high + blockGap
		}
	}
}

// paragraph is wrapped text.
func (s *sheet) paragraph(text string, bold bool, size, wide float64) block {
	lines := s.face(bold).Wrap(text, size, wide)
	return block{float64(len(lines)) * lead * size, func(x, y float64) {
		for i, l := range lines {
			s.write(l, bold, size, x, y+(float64(i)*lead+1)*size, look.Print)
		}
	}}
}

// pile is blocks set close.
func pile(gap float64, parts ...block) block {
	high := -gap
	for _, b := range parts {
		high += b.high + gap
	}
	return block{high, func(x, y float64) {
		for _, b := range parts {
			b.add(x, y)
			y += b.high + gap
		}
	}}
}

func (s *sheet) titleBlock(wide float64) block {
	lines := s.bold.Wrap(s.title(), titleSize, wide)
	if len(lines) > 2 {
		lines = []string{lines[0], s.bold.Fit(strings.Join(lines[1:], " "), titleSize, wide)}
	}
	parts := []block{{float64(len(lines)) * 1.2 * titleSize, func(x, y float64) {
		for i, l := range lines {
			s.write(l, true, titleSize, x, y+(float64(i)*1.2+0.85)*titleSize, look.Print)
		}
	}}, s.paragraph(s.o.Show.String(), false, headSize, wide)}
	if s.p.Invented {
		const mark = "INVENTED PLACE"
		parts = append(parts, block{6, func(x, y float64) {
			w := s.bold.Width(mark, textSize)
			s.stroke(nil, paint.Rectangle(x+0.3, y+0.8, x+w+3.3, y+5.4), paint.Pen{Width: 0.4}, look.Print)
			s.write(mark, true, textSize, x+1.8, y+4, look.Print)
		}})
	}
	return pile(0.8, parts...)
}

// scaleWords are the scale as a reader of either units writes it.
func (s *sheet) scaleWords() string {
	if s.p.Units == quantity.Feet && s.way.scale%12 == 0 {
		return fmt.Sprintf("1 in = %d ft", s.way.scale/12)
	}
	return fmt.Sprintf("1:%d", s.way.scale)
}

func (s *sheet) scaleBlock(wide float64) block {
	return block{16, func(x, y float64) {
		s.stroke(nil, paint.Polyline(paint.Point{X: x, Y: y}, paint.Point{X: x + wide, Y: y}), paint.Pen{Width: 0.3}, look.Print)
		s.write(s.scaleWords(), true, 14*point, x, y+7, look.Print)
		under := fmt.Sprintf("on %s, printed at 100 %%", s.o.Paper)
		if s.p.Units == quantity.Feet {
			under = fmt.Sprintf("1:%d %s", s.way.scale, under)
		}
		s.write(s.regular.Fit(under, textSize, wide-17), false, textSize, x, y+12, look.Print)
		s.addNorth(x+wide-8, y+8.2, 4.8)
	}}
}

// legendBlock holds what is on the sheet and nothing else.
func (s *sheet) legendBlock(wide float64, sh shown) block {
	var parts []block
	row := func(text string, draw func(x, y float64)) {
		lines := s.regular.Wrap(text, textSize, wide-sample-1.5)
		high := rowHigh + float64(max(len(lines)-1, 0))*lead*textSize
		parts = append(parts, block{high, func(x, y float64) {
			draw(x, y+rowHigh/2)
			for i, l := range lines {
				s.write(l, false, textSize, x+sample+1.5, y+rowHigh/2+paint.CapHeight*textSize/2+float64(i)*lead*textSize, look.Print)
			}
		}})
	}
	line := func(pen paint.Pen) func(x, y float64) {
		return func(x, y float64) {
			var p paint.Path // a bend, as contours have
			p.MoveTo(x, y+0.9)
			p.CurveTo(x+4.5, y-2, x+8, y+2, x+sample-0.5, y-0.9)
			s.stroke(nil, p, pen, look.ContourText)
		}
	}
	for _, k := range sh.classes {
		c := look.Errors(s.p.Units)[k]
		row("error "+c.Label, func(x, y float64) {
			box := paint.Rectangle(x+0.3, y-1.8, x+sample-0.5, y+1.8)
			s.fill(nil, box, c.Fill)
			s.stroke(nil, box, paint.Pen{Width: 0.2}, look.Print)
		})
	}
	for _, m := range sh.marks {
		row(m.Name, func(x, y float64) { m.Draw(onto{s, nil}, x+sample/2, y, markRadius, false) })
	}
	if sh.next {
		row("measure here next", func(x, y float64) { s.addNumber(nil, 1, x+sample/2, y) })
	}
	if sh.contours {
		row("contour, every "+s.spacing.String(), line(paint.Pen{Width: thinPen}))
	}
	if sh.index {
		five := s.spacing
		five.Step *= 5
		row("every "+five.String(), line(paint.Pen{Width: thickPen}))
	}
	if sh.rough {
		row("broken: may be off by more than half of that", line(paint.Pen{Width: thinPen, Dash: roughDash}))
	}
	if sh.shots > 0 && s.o.Show == Errors {
		row("spot height", func(x, y float64) {
			s.stroke(nil, diagonal(x+sample/2, y, crossArm), paint.Pen{Width: 0.3}, look.Print)
		})
	} else if sh.shots > 0 {
		_, unit := s.p.unit()
		row("spot height, "+unit, func(x, y float64) {
			s.stroke(nil, diagonal(x+2, y, crossArm), paint.Pen{Width: 0.3}, look.Print)
			s.write("0.00", false, labelSize, x+3.5, y+paint.CapHeight*labelSize/2, look.Print)
		})
	}
	if sh.doubtful {
		row("with ?: in doubt, see the survey page", func(x, y float64) {
			s.stroke(nil, diagonal(x+2, y, crossArm), paint.Pen{Width: 0.3}, look.Print)
			s.write("0.00?", false, labelSize, x+3.5, y+paint.CapHeight*labelSize/2, look.Print)
		})
	}
	for k := range kinds {
		if !sh.kinds[k] {
			continue
		}
		text := Kind(k).String()
		switch Kind(k) {
		case Ditch:
			text += ", arrow down it"
		case BankTop:
			text += ", teeth to the lower side"
		}
		row(text, func(x, y float64) {
			points := []paint.Point{{X: x, Y: y}, {X: x + sample - 0.5, Y: y}}
			// Ground that falls to the right and below.
			s.drawStyle(nil, points, styleOf(Kind(k)), func(x, y float64) float64 { return -x - y })
		})
	}
	edge := func(pen paint.Pen) func(x, y float64) {
		return func(x, y float64) {
			s.stroke(nil, paint.Polyline(paint.Point{X: x, Y: y}, paint.Point{X: x + sample - 0.5, Y: y}), pen, look.Print)
		}
	}
	if sh.outline {
		row("edge of the area surveyed", edge(outlinePen))
	}
	if sh.holes {
		row("not surveyed within", edge(holePen))
	}
	return pile(0, parts...)
}

// factBlock is what the drawing rests on.
func (s *sheet) factBlock(wide float64, sh shown) block {
	var parts []block
	fact := func(name, text string) {
		value := s.paragraph(text, false, textSize, wide-factCol)
		parts = append(parts, block{value.high, func(x, y float64) {
			s.write(name, true, textSize, x, y+textSize, look.Print)
			value.add(x+factCol, y)
		}})
	}
	unit := "metres"
	if s.p.Units == quantity.Feet {
		unit = "feet"
	}
	datum := strings.TrimSpace(s.p.Datum)
	if datum == "" {
		fact("Levels", unit+"; what they are above is not known: they compare with each other only")
	} else {
		fact("Levels", unit+" "+datum)
	}
	if s.errors.known {
		fact("Error", fmt.Sprintf("half of the ground is good to ±%s, nine tenths to ±%s (one standard deviation)",
			quantity.FormatDepth(s.errors.middle, s.p.Units), quantity.FormatDepth(s.errors.most, s.p.Units)))
	} else {
		fact("Error", "of the surface not known")
	}
	if s.p.LeaveOneOut > 0 {
		fact("Checked", fmt.Sprintf("each spot height left out in turn is missed by %s (root mean square)", quantity.FormatDepth(s.p.LeaveOneOut, s.p.Units)))
	}
	if n := len(s.p.Shots); n > 0 {
		text := fmt.Sprintf("%d spot heights measured", n)
		if n == 1 {
			text = "1 spot height measured"
		}
		if sh.shots < n {
			text += fmt.Sprintf(", %d drawn", sh.shots)
		}
		if s.o.Show == Contours && sh.labelled < sh.shots {
			text += fmt.Sprintf(", %d with room for their level", sh.labelled)
		}
		fact("Shots", text)
	}
	north := "north is up"
	if s.way.turn != 0 {
		north = "turned: mind the arrow"
	}
	_, gridUnit := s.p.GridUnit()
	fact("Grid", fmt.Sprintf("%s, %s; %s", drafting.SystemName(s.p.Ground.CRS), gridUnit, north))
	for _, n := range s.p.Notes {
		parts = append(parts, s.paragraph(n, false, smallSize, wide))
	}
	return pile(0.9, parts...)
}

// handBlock leaves lines for what is filled in by hand.
func (s *sheet) handBlock(wide float64) block {
	var parts []block
	row := func(name, text string) {
		parts = append(parts, block{6, func(x, y float64) {
			w := s.write(name, true, textSize, x, y+4.6, look.Print)
			if text != "" {
				s.write(s.regular.Fit(text, textSize, wide-w-2), false, textSize, x+w+2, y+4.6, look.Print)
				return
			}
			s.stroke(nil, paint.Polyline(paint.Point{X: x + w + 1.5, Y: y + 5}, paint.Point{X: x + wide, Y: y + 5}), paint.Pen{Width: 0.2}, look.Print)
		}})
	}
	row("Surveyed on", strings.TrimSpace(s.p.Date))
	row("Levels checked on site by", "")
	row("on", "")
	return pile(0, parts...)
}

func (s *sheet) cautionBlock(wide float64) block {
	const pad = 1.8
	text := s.paragraph(strings.Join(Cautions, " "), true, smallSize, wide-2*pad)
	return block{text.high + 2*pad, func(x, y float64) {
		s.stroke(nil, paint.Rectangle(x+0.25, y, x+wide-0.25, y+text.high+2*pad), paint.Pen{Width: 0.5}, look.Print)
		text.add(x+pad, y+pad-0.1)
	}}
}
