package fieldsheet

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

// Measures of the stake list, mm.
const (
	lineHigh  = 6.9 // of a stake
	moreHigh  = 4.8 // of a further line of it
	groupHigh = 12.0
	boxSide   = 4.2
)

// columns are where the columns of the list begin; those of figures end where
// the next begins.
type columns struct{ tick, stake, square, along, offset, plant, mound, risk, lost, end float64 }

func (s *sheets) columns() columns {
	wide, _ := s.paper.Size()
	c := columns{tick: margin, end: wide - margin}
	c.stake = c.tick + 8
	c.square = c.stake + 20
	c.along = c.square + 11.5
	c.offset = c.along + 19
	c.plant = c.offset + 24 + 2.5
	c.lost = c.end
	if s.r.Odds != nil {
		c.lost = c.end - 22.5
	}
	c.risk = c.lost - 24
	c.mound = c.risk - 16
	return c
}

// A list is the pages of stakes being made.
type list struct {
	*sheets
	c    columns
	page *page
	y    float64 // of the line above what comes next
	rows int     // on the page
}

// addStakes adds the list of stakes in walking order.
func (s *sheets) addStakes() {
	l := &list{sheets: s, c: s.columns()}
	l.turn()
	if s.crowded {
		l.heading(fmt.Sprintf("Of %d trees, the flagged", len(s.r.Trees)), "all stand in stakes.csv")
	}
	for _, g := range s.groups() {
		l.group(g)
	}
}

// turn begins a page with the heads of its columns and the legend at its foot.
func (l *list) turn() {
	l.page = l.upright("Stakes")
	s, c, p := l.sheets, l.c, l.page
	y := margin + topHigh + 1.5
	for _, h := range [...]struct {
		x     float64
		right bool
		words [2]string
	}{
		{c.stake, false, [2]string{"", "Stake"}},
		{c.square, false, [2]string{"", "Square"}},
		{c.offset, true, [2]string{"From row's", "start"}},
		{c.plant - 2.5, true, [2]string{"Beside", "the row"}},
		{c.plant, false, [2]string{"", "Plant"}},
		{c.risk - 3, true, [2]string{"", "Mound"}},
		{c.risk, false, [2]string{"", "Risk"}},
		{c.lost, false, [2]string{"Odds of", "its loss"}},
	} {
		if h.x == c.end {
			continue // no odds
		}
		for k, word := range h.words {
			if word == "" {
				continue
			}
			at := y + float64(k)*4.4
			if h.right {
				s.right(p, true, headSize, h.x, at, word)
			} else {
				s.write(p, true, headSize, h.x, at, word)
			}
		}
	}
	l.y = y + 6.6
	p.rule(c.tick, l.y, c.end, l.y, 0.5)
	s.legend(p, margin, p.high-margin)
	l.rows = 0
}

// room reports whether so many millimetres are left on the page.
func (l *list) room(high float64) bool { return l.y+high <= l.page.high-margin-footing }

// group writes the stakes of a row, or those beside it, under its name.
func (l *list) group(g group) {
	title, says := l.name(g)
	if !l.room(groupHigh + 2*lineHigh) {
		l.turn()
	}
	l.heading(title, says)
	gap := 0
	for i := range g.stakes {
		st := &g.stakes[i]
		more := l.more(st.tree)
		var between string
		if g.row != nil && !g.beside {
			for gap < len(g.row.Gaps) && g.row.Gaps[gap][1] < st.along {
				if i > 0 && g.row.Gaps[gap][0] > g.stakes[i-1].along {
					between = fmt.Sprintf("gap from %s to %s: nothing is planted here", quantity.FormatLength(g.row.Gaps[gap][0], l.r.Units), quantity.FormatLength(g.row.Gaps[gap][1], l.r.Units))
				}
				gap++
			}
		}
		high := lineHigh + moreHigh*float64(len(more))
		if between != "" {
			high += lineHigh
		}
		if !l.room(high) {
			l.turn()
			l.heading(title+", continued", "")
		}
		if between != "" {
			l.write(l.page, false, headSize, l.c.stake, l.y+lineHigh-2.2, between)
			l.y += lineHigh
			l.page.rule(l.c.tick, l.y, l.c.end, l.y, 0.15)
		}
		l.stake(g, st, more)
	}
}

// name is what a group is called and what is to be known of it.
func (l *list) name(g group) (title, says string) {
	if g.row == nil {
		return "Single positions", "measured from the south-west corner of the square on the map: east, then north"
	}
	if g.beside {
		return "Beside row " + g.row.Name, "single positions, measured from row " + g.row.Name + " as seen from its start; below 0 is before it"
	}
	line := g.row.Line
	says = fmt.Sprintf("%s long, %s; it runs %s", quantity.FormatLength(g.row.Length, l.r.Units), wording.Count(len(g.stakes), "plant"), heading(line[0], line[len(line)-1]))
	if square := l.squares.name(line[0]); square != "" {
		says += " from square " + square
	}
	return "Row " + g.row.Name, says
}

func (l *list) heading(title, says string) {
	y := l.y + groupHigh - 3.6
	title = l.bold.Fit(title, rowSize, 80)
	x := l.c.tick + l.write(l.page, true, rowSize, l.c.tick, y, title) + 5
	if says != "" {
		l.write(l.page, false, headSize, x, y, l.regular.Fit(says, headSize, l.c.end-x))
	}
	l.y += groupHigh
	l.page.rule(l.c.tick, l.y, l.c.end, l.y, 0.5)
}

// more is what is to be done about a tree and known of it, in lines.
func (l *list) more(t *assess.Tree) []string {
	var words []string
	if l.cut(t.ID, true, stakeSize, l.idRoom()) {
		words = append(words, t.ID)
	}
	if l.cut(t.Plant(), false, textSize, l.plantRoom()) {
		words = append(words, t.Plant())
	}
	if !t.OnGround || t.Flagged && t.Advice != "keep" {
		words = append(words, l.r.Do(t))
	}
	if t.Tried {
		words = append(words, "planted here knowingly, to see whether it lives")
	}
	return l.regular.Wrap(strings.Join(words, "; "), headSize, l.c.end-l.c.stake)
}

// cut reports whether a text is too long for its column; then it stands in full
// below.
func (l *list) cut(text string, bold bool, size, room float64) bool {
	return l.width(bold, size, text) > room
}

func (l *list) idRoom() float64    { return l.c.square - l.c.stake - 1.5 }
func (l *list) plantRoom() float64 { return l.c.mound - l.c.plant }

// moundOf is the height of the mound a tree is to have.
func (l *list) moundOf(t *assess.Tree) string {
	if h := t.MoundToBuild(); h > 0 {
		return quantity.FormatMound(h, l.r.Units)
	}
	return "–"
}

// where are the two measures of a stake.
func (l *list) where(g group, st *stake) (along, offset string) {
	u := l.r.Units
	if g.row == nil {
		col, row := l.squares.cell(st.tree.Point)
		if l.squares.name(st.tree.Point) == "" {
			return "off", "the map"
		}
		c := l.squares.corner(col, row)
		return quantity.FormatLength(st.tree.Point[0]-c[0], u) + " E", quantity.FormatLength(st.tree.Point[1]-c[1], u) + " N"
	}
	along = strings.Replace(quantity.FormatLength(st.along, u), "-", "−", 1)
	const onLine = 0.005 // m
	switch {
	case math.Abs(st.offset) < onLine:
		offset = "on it"
	case st.offset > 0:
		offset = quantity.FormatLength(st.offset, u) + " right"
	default:
		offset = quantity.FormatLength(-st.offset, u) + " left"
	}
	return along, offset
}

// lossWords are the odds that a tree is lost, no finer than they are known.
func lossWords(t *assess.Tree) string {
	if !t.OnGround || t.Draws == nil {
		return "–"
	}
	return species.Tenths(t.Odds)
}

func (l *list) stake(g group, st *stake, more []string) {
	c, p, t := l.c, l.page, st.tree
	y := l.y + lineHigh - 2.2
	p.box(c.tick+0.6, y)
	l.write(p, true, stakeSize, c.stake, y, l.bold.Fit(t.ID, stakeSize, l.idRoom()))
	l.write(p, false, textSize, c.square, y, l.squares.name(t.Point))
	along, offset := l.where(g, st)
	l.right(p, false, textSize, c.offset, y, along)
	l.right(p, false, textSize, c.plant-2.5, y, l.regular.Fit(offset, textSize, c.plant-2.5-c.offset-1))
	l.write(p, false, textSize, c.plant, y, l.regular.Fit(t.Plant(), textSize, l.plantRoom()))
	l.right(p, false, textSize, c.risk-3, y, l.moundOf(t))
	m := symbol(t)
	p.mark(m, c.risk+2.4, y-1.3, 2.3)
	l.write(p, t.Flagged, textSize, c.risk+6, y, m.Name)
	if l.r.Odds != nil {
		l.write(p, false, textSize, c.lost, y, lossWords(t))
	}
	l.y += lineHigh
	for _, text := range more {
		l.write(p, false, headSize, c.stake, l.y+moreHigh-2.4, text)
		l.y += moreHigh
	}
	l.rows++
	wide := 0.15
	if l.rows%5 == 0 {
		wide = 0.4 // leads the eye across
	}
	p.rule(c.tick, l.y, c.end, l.y, wide)
}
