package fieldbook

import "math"

// A Booking is one line of levelling reduced as a book page is: by rise and
// fall and by height of instrument, each the other's check.
type Booking struct {
	From, To string
	Unit     string // the book was kept in: "m" or "ft", for the tables
	Rows     []BookingRow

	// What the arithmetic check compares, m.
	SumBack, SumFore, SumRise, SumFall, First, Last float64
}

// A BookingRow is one row of a level book, every figure in metres, NaN where
// the row has none.
type BookingRow struct {
	Line             int
	Page             string
	Point, Remarks   string
	SetUp            int // that the reading was taken from, from 1; for a turning point, of its fore sight
	Back, Inter      float64
	Fore, Rise, Fall float64
	Instrument       float64 // height of instrument, where a back sight sets it
	Level            float64 // reduced, as carried
	Correction       float64 // to Level
	Adjusted         float64
}

// book reduces one run both ways, and reports how far the two differ at most.
func (n *network) book(r int) (b Booking, apart float64) {
	run := n.runs[r]
	nan := math.NaN()
	start := n.pegs[run.first].level
	b = Booking{From: n.pegs[run.first].label(), Unit: "m", First: start, Last: start}
	if inFeet(run.sheet.unitOf(backRole)) {
		b.Unit = "ft"
	}
	next := 0                        // set-up to come
	var height, held, rising float64 // held: level of the point by height of instrument; rising: by rise and fall
	var before float64               // reading before, within the set-up
	held, rising = start, start
	var last float64 // reading before, and whether it was the closing one
	lastInter := false
	for _, e := range run.rows {
		row := BookingRow{Line: e.line, Page: e.page, Point: e.name, Remarks: e.text(remarkRole),
			Back: nan, Inter: nan, Fore: nan, Rise: nan, Fall: nan, Instrument: nan, SetUp: next}
		if e.any(interRole, foreRole) {
			reading := e.num(interRole)
			if row.Inter = reading; e.filled(foreRole) {
				row.Inter, row.Fore = nan, e.num(foreRole)
				reading = row.Fore
				b.SumFore += reading
			}
			step := before - reading
			if step >= 0 {
				row.Rise = step
				b.SumRise += step
			} else {
				row.Fall = -step
				b.SumFall -= step
			}
			rising += step
			held = height - reading
			before, last, lastInter = reading, reading, !e.filled(foreRole)
		}
		row.Level = held
		if e.filled(backRole) {
			row.Back = e.num(backRole)
			b.SumBack += row.Back
			height = held + row.Back
			row.Instrument = height
			before = row.Back
			if !e.filled(foreRole) {
				row.SetUp = next + 1
			}
			next++
		}
		apart = max(apart, math.Abs(held-rising))
		b.Rows = append(b.Rows, row)
	}
	if lastInter { // a page that ends on an intermediate sight balances with it as the closing one
		b.SumFore += last
	}
	for i := range b.Rows {
		if s := b.Rows[i].SetUp; s > 0 && s <= len(run.setUps) {
			b.Rows[i].SetUp = run.setUps[s-1] + 1
		}
	}
	b.Last = held
	b.To = n.pegs[n.fore(run.setUps[len(run.setUps)-1]).point].label()
	return b, apart
}

// correct writes the adjusted levels into a booking.
func (n *network) correct(r int, b *Booking) {
	run := n.runs[r]
	at := map[*entry]float64{}
	for _, i := range run.setUps {
		for _, k := range n.setUps[i].sights {
			at[n.sights[k].entry] = n.adjusted(k)
		}
	}
	for i, e := range run.rows {
		b.Rows[i].Adjusted = at[e]
		b.Rows[i].Correction = at[e] - b.Rows[i].Level
	}
}

// adjusted is the level of the point of a sight: the adjusted one of a peg,
// or that of the ground as this set-up saw it.
func (n *network) adjusted(k int) float64 {
	s := n.sights[k]
	if p := n.pegs[s.point]; p.fixed || p.turning {
		return p.fitted
	}
	return n.setUps[s.setUp].fitted - s.reading()
}

// unitOf is the unit a column was typed in.
func (s *sheet) unitOf(r role) string {
	for _, c := range s.columns {
		if c.role == r && c.unit != "" {
			return c.unit
		}
	}
	for _, e := range s.entries {
		if unit := e.cell(r).unit; unit != "" {
			return unit
		}
	}
	return s.unit
}
