package fieldbook

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/terrain/quantity"
)

// A Suspect is a reading, or the level of a benchmark, that would bring the
// loops to close if it were another.
type Suspect struct {
	SetUp   int    // from 1; 0 for the level of a benchmark
	Sight   string // "back sight", "fore sight", "intermediate sight" or "level"
	Point   string
	Line    int
	Page    string
	Reading string  // as typed
	Change  float64 // that the loops ask of it, m
	Why     string  // what slip that would be, or empty
	Closes  bool    // every loop closes with the change

	Units quantity.Units // the book was kept in, for String

	cost float64
}

func (s Suspect) String() string {
	var b strings.Builder
	if s.SetUp > 0 {
		fmt.Fprintf(&b, "set-up %d, ", s.SetUp)
	}
	fmt.Fprintf(&b, "%s", s.Sight)
	switch s.Sight {
	case "level":
		b.WriteString(" of ")
	default:
		b.WriteString(" onto ")
	}
	fmt.Fprintf(&b, "%s (%s), %s: %s too %s", cmp.Or(s.Point, "a turning point"), place{s.Line, s.Page}, quote(s.Reading),
		exact(math.Abs(s.Change), s.Units), map[bool]string{true: "low", false: "high"}[s.Change > 0])
	if s.Why != "" {
		b.WriteString("; " + s.Why)
	}
	return b.String()
}

// suspects ranks what may be wrong when loops do not close: the most likely
// first.
//
// One wrong reading shows in every loop it is part of, by the same amount,
// and in no other. So a reading is a suspect if one change of it brings all
// loops within what is allowed; a loop that closed clears the set-ups it runs
// through. Among equals come first those where the change is a slip people
// make with those very figures, then those where it mends a step in the
// ground from one shot to the next.
func (n *network) suspects(bookings []Booking) []Suspect {
	in := map[int][]int{}       // loops of each sight
	anchored := map[int][]int{} // of each benchmark
	for i, l := range n.loops {
		for k := range l.signs {
			in[k] = append(in[k], i)
		}
		for p := range l.anchors {
			anchored[p] = append(anchored[p], i)
		}
	}
	var out []Suspect
	for k := range n.sights {
		if len(in[k]) == 0 {
			continue
		}
		sign := func(l *loop) float64 { return l.signs[k] }
		change, closes, cost, ok := n.mend(in[k], sign)
		if !ok {
			continue
		}
		s := n.sights[k]
		e := s.entry
		sheet := n.runs[n.setUps[s.setUp].run].sheet
		if r := s.reading() + change; r < 0 || r > sheet.staff {
			continue // no staff reads that
		}
		typed := e.cell(s.role)
		slip, price := n.slip(k, change, n.tolerance(in[k]))
		mends := n.step(bookings, k, change)
		if mends > 0.5 {
			slip = strings.TrimPrefix(slip+"; the ground steps by about as much just there", "; ")
		}
		out = append(out, Suspect{SetUp: s.setUp + 1, Sight: sightNames[s.role], Point: e.name, Line: e.line, Page: e.page,
			Reading: typed.text, Change: change, Why: slip, Closes: closes, cost: cost + price - mends})
	}
	for p := range n.pegs {
		if len(anchored[p]) == 0 {
			continue
		}
		change, closes, cost, ok := n.mend(anchored[p], func(l *loop) float64 { return l.anchors[p] })
		if ok {
			peg := n.pegs[p]
			text := exact(peg.level, unitsOf(bookings))
			out = append(out, Suspect{Sight: "level", Point: peg.name, Line: peg.at.line, Page: peg.at.page, Reading: text,
				Change: change, Why: "a benchmark moved, or its level copied wrong", Closes: closes, cost: cost + 2.5})
		}
	}
	slices.SortStableFunc(out, func(a, b Suspect) int {
		return cmp.Or(cmp.Compare(b2i(b.Closes), b2i(a.Closes)), cmp.Compare(a.cost, b.cost), cmp.Compare(a.Line, b.Line), cmp.Compare(b.Sight, a.Sight))
	})
	return out
}

var sightNames = map[role]string{backRole: "back sight", interRole: "intermediate sight", foreRole: "fore sight"}

// mend is the change of one figure that brings the loops nearest to closing,
// by least squares in units of what is allowed, whether they then all close,
// and what is left over. It is not ok where the change mends nothing.
func (n *network) mend(in []int, sign func(*loop) float64) (change float64, closes bool, cost float64, ok bool) {
	top, bottom := 0.0, 0.0
	for _, i := range in {
		l := &n.loops[i]
		s, w := sign(l), 1/(l.allowed*l.allowed)
		top -= s * l.misfit * w
		bottom += s * s * w
	}
	if bottom == 0 {
		return 0, false, 0, false
	}
	change = top / bottom
	closes = true
	was, is := 0.0, 0.0
	for i := range n.loops {
		l := &n.loops[i]
		left := l.misfit + sign(l)*change
		closes = closes && math.Abs(left) <= l.allowed
		was += l.misfit * l.misfit / (l.allowed * l.allowed)
		is += left * left / (l.allowed * l.allowed)
	}
	return change, closes, math.Sqrt(is / float64(len(n.loops))), is < was/2
}

// tolerance is the tightest allowance of some loops, m.
func (n *network) tolerance(in []int) float64 {
	t := math.Inf(1)
	for _, i := range in {
		t = min(t, n.loops[i].allowed)
	}
	return t
}

// step is how far a change mends the ground's own step between the two shots
// it stands between: 1 where it takes a step of its size away, -1 where it
// makes one, 0 where a benchmark, which may stand proud of the ground, is one
// of the two.
func (n *network) step(bookings []Booking, k int, change float64) float64 {
	s := n.sights[k]
	r := n.setUps[s.setUp].run
	run := n.runs[r]
	t := slices.Index(run.rows, s.entry)
	a, b, shift := t, t+1, change // what lies beyond a back sight rises with it
	if s.role == foreRole {
		a, b, shift = t-1, t, -change
	}
	if s.role == interRole || a < 0 || b >= len(run.rows) || n.isFixed(run.rows[a]) || n.isFixed(run.rows[b]) {
		return 0
	}
	rise := bookings[r].Rows[b].Level - bookings[r].Rows[a].Level
	return (math.Abs(rise) - math.Abs(rise+shift)) / math.Abs(change)
}

func (n *network) isFixed(e *entry) bool {
	p, ok := n.byKey[e.key]
	return ok && n.pegs[p].fixed
}

// A MisclosureError is levelling that misses by more than its order allows.
type MisclosureError struct {
	File        string
	Units       quantity.Units // the book was kept in, for Error
	Misclosures []Misclosure   // those beyond the allowable
	Suspects    []Suspect      // most likely first
}

// Is makes every MisclosureError an ErrInput.
func (e *MisclosureError) Is(target error) bool { return target == ErrInput }

func (e *MisclosureError) Error() string {
	var lines []string
	for _, m := range e.Misclosures {
		text := fmt.Sprintf("%s, %s: the levelling %s misses by %s where %s is allowed, order %s over %s",
			e.File, place{m.Line, m.Page}, m.Loop, signed(m.Value, e.Units), exact(m.Allowable, e.Units), m.Order, m.over())
		if m.Repeat {
			text = fmt.Sprintf("%s, %s: %s has a height that differs by %s from the one it had before, more than %s; give a second point a second name, or correct a reading",
				e.File, place{m.Line, m.Page}, m.To, signed(m.Value, e.Units), exact(m.Allowable, e.Units))
		}
		if !m.Repeat && !m.Known {
			text += fmt.Sprintf("; if %s there is another point than before, give it another name", m.To)
		}
		lines = append(lines, text)
	}
	const shown = 4
	switch {
	case len(e.Suspects) == 0:
		lines = append(lines, "no single reading explains it; level it again")
	case !e.Suspects[0].Closes:
		lines = append(lines, "no single reading explains all of it: two are wrong, or a name stands for two points; nearest: "+e.Suspects[0].String())
	default:
		lines = append(lines, "most likely wrong: "+e.Suspects[0].String())
		for i, s := range e.Suspects[1:] {
			if i == shown || !s.Closes {
				break
			}
			lines = append(lines, "it may also be: "+s.String())
		}
	}
	return strings.Join(lines, "\n")
}
