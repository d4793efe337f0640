package fieldbook

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Reduce turns the readings of a book into heights, adjusts the levelling and
// gives each shot the position it was taped or fixed at.
//
// What is wrong is told all at once: a *survey.FileError for what the book
// says wrongly, a *MisclosureError for levelling that does not close within
// its order, or both joined. Either is ErrInput.
func (b *Book) Reduce(o Options) (*Reduction, error) {
	r := &reducing{
		book: b, options: o, bad: &mistakes{file: b.File},
		out:   &Reduction{File: b.File, Title: b.Title, Date: b.Date, CRS: b.CRS, Columns: []string{"code", "remarks"}, Remarks: slices.Clone(b.Remarks)},
		spots: map[string]spot{}, where: map[*entry]spot{}, byEntry: map[*entry]float64{}, byName: map[string]int{},
	}
	r.known = knownLevels(b, r.bad)
	failed := r.levelling()
	r.planes()
	r.coordinates()
	r.fixes()
	if failed == nil {
		r.settle()
	}
	r.tapes()
	if failed == nil && len(r.bad.all) == 0 {
		r.collect()
	}
	if err := r.bad.err(); err != nil || failed != nil {
		if failed == nil {
			return nil, err
		}
		return nil, errors.Join(err, failed)
	}
	for _, c := range r.out.Checks {
		if !c.OK {
			return nil, fmt.Errorf("%s: the two ways of reduction differ: %s: %g m", b.File, c.Name, c.Value)
		}
	}
	return r.out, nil
}

// reducing is the work on one book.
type reducing struct {
	book    *Book
	options Options
	bad     *mistakes
	out     *Reduction

	known    map[string]knownLevel // by point
	heights  []observed
	byName   map[string]int     // of out.Points
	byEntry  map[*entry]float64 // heights
	spots    map[string]spot    // by point
	where    map[*entry]spot
	toldBase bool
}

func (r *reducing) remark(format string, args ...any) {
	r.out.Remarks = append(r.out.Remarks, fmt.Sprintf(format, args...))
}

// observed is a height as one row of the book gives it.
type observed struct {
	entry *entry
	level float64
	sd    float64 // 0 where not known, or for a benchmark
	setUp int
	peg   bool // of a turning point or benchmark: all its sights were adjusted to one level
}

func (r *reducing) height(e *entry, level, sd float64, setUp int) {
	if level < lowest || level > highest {
		r.bad.add(e.place, "", "%s comes to %.0f m, an impossible height; heights lie between %.0f and %.0f m", nameOr(e), level, lowest, highest)
		return
	}
	r.heights = append(r.heights, observed{entry: e, level: level, sd: sd, setUp: setUp})
	r.byEntry[e] = level
	if _, ok := r.known[e.key]; !ok && e.key != "" {
		r.known[e.key] = knownLevel{level: level, sd: sd, at: e.place}
	}
}

// levelOf is the level of a point, stated or found.
func (r *reducing) levelOf(key string) (float64, bool) {
	if key == "" {
		return 0, false
	}
	if k, ok := r.known[key]; ok {
		return k.level, true
	}
	if i, ok := r.byName[key]; ok {
		return r.out.Points[i].Level, true
	}
	return 0, false
}

// levelling reduces the level sheets. The error is a *MisclosureError.
func (r *reducing) levelling() error {
	before := len(r.bad.all)
	n := newNetwork(r.book, r.known, r.bad)
	if len(n.setUps) == 0 || len(r.bad.all) > before {
		return nil // cannot be followed
	}
	n.carry()
	n.allow(r.options.Order, r.options.Share)
	r.out.Remarks = append(r.out.Remarks, n.complain(r.options.Open)...)
	if slices.ContainsFunc(n.setUps, func(s stand) bool { return s.ref < 0 }) {
		return nil
	}
	bookings := make([]Booking, len(n.runs))
	for i := range n.runs {
		var apart float64
		bookings[i], apart = n.book(i)
		r.arithmetic(bookings[i], apart)
	}
	r.out.Units = unitsOf(bookings)
	worst := false
	for _, l := range n.loops {
		worst = worst || !l.repeat && math.Abs(l.misfit) > l.allowed
	}
	if worst {
		e := &MisclosureError{File: r.book.File, Units: r.out.Units, Suspects: n.suspects(bookings)}
		for i := range e.Suspects {
			e.Suspects[i].Units = e.Units
		}
		for _, l := range n.loops {
			if math.Abs(l.misfit) > l.allowed {
				e.Misclosures = append(e.Misclosures, n.misclosure(l))
			}
		}
		return e
	}
	scale, redundant := n.adjust(r.options.Share)
	if scale > 1.0005 {
		r.remark("the levelling closes worse than its readings are said to be: from %d redundant sights each has an error of %.1f times that stated, and the errors of the shots grow with it", redundant, scale)
	}
	for i := range bookings {
		n.correct(i, &bookings[i])
		r.ownReduction(n.runs[i], bookings[i])
	}
	r.out.Bookings = bookings
	closed := n.unchecked()
	for i, s := range n.setUps {
		from, to := n.back(i), n.fore(i)
		r.out.SetUps = append(r.out.SetUps, SetUp{Number: i + 1, Kind: levelSheet.String(), Line: from.entry.line, Page: from.entry.page,
			From: n.pegs[from.point].label(), To: n.pegs[to.point].label(), Sights: len(s.sights), Length: s.length,
			Instrument: s.fitted, Error: s.sd, Correction: n.adjusted(s.sights[len(s.sights)-1]) - n.adjusted(s.sights[0]) - (from.reading() - to.reading()),
			Closed: !slices.Contains(closed[s.run], i)})
	}
	for _, l := range n.loops {
		m := n.misclosure(l)
		m.PerSetUp = -m.Value / float64(m.SetUps)
		r.out.Misclosures = append(r.out.Misclosures, m)
	}
	r.levelled(n, scale)
	return nil
}

// misclosure is a loop as it is told.
func (n *network) misclosure(l loop) Misclosure {
	e := n.sights[l.close].entry
	to := n.pegs[l.point]
	m := Misclosure{To: to.label(), Line: e.line, Page: e.page, SetUps: len(l.setUps), Metres: l.length,
		Value: l.misfit, Allowable: l.allowed, Order: l.order, Repeat: l.repeat, Known: to.fixed}
	m.From = m.To
	for _, p := range slices.Sorted(maps.Keys(l.anchors)) {
		if l.anchors[p] > 0 {
			m.From = n.pegs[p].label()
		}
	}
	m.Loop = "from " + m.From + " to " + m.To
	if m.From == m.To {
		m.Loop = "round from " + m.To
	}
	return m
}

// arithmetic keeps the sums a book page is checked by.
func (r *reducing) arithmetic(b Booking, apart float64) {
	const rounding = 1e-6 // m
	line := "from " + b.From + " to " + b.To
	for _, c := range []Check{
		{Name: line + ": sum of back sights less fore sights against last less first", Value: (b.SumBack - b.SumFore) - (b.Last - b.First)},
		{Name: line + ": sum of rises less falls against last less first", Value: (b.SumRise - b.SumFall) - (b.Last - b.First)},
		{Name: line + ": rise and fall against height of instrument, largest difference", Value: apart},
	} {
		c.Allowed, c.OK = rounding, math.Abs(c.Value) <= rounding
		r.out.Checks = append(r.out.Checks, c)
	}
}

// ownReduction holds the levels the grower worked out against these.
func (r *reducing) ownReduction(run run, b Booking) {
	const rounding = 0.006 // m: a hundredth of a foot and its neighbour
	for i, e := range run.rows {
		if !e.filled(bookedRole) {
			continue
		}
		own := e.num(bookedRole)
		if off := own - b.Rows[i].Level; math.Abs(off) > rounding && math.Abs(own-b.Rows[i].Adjusted) > rounding {
			r.remark("%s: the book has a reduced level of %.3f m for %s, these readings give %.3f m: the arithmetic or a reading slipped by %+.3f m",
				e.place, own, nameOr(e), b.Rows[i].Level, off)
		}
	}
}

// levelled hands on what the levelling found.
func (r *reducing) levelled(n *network, scale float64) {
	for k := range n.sights {
		s := n.sights[k]
		p, set := n.pegs[s.point], n.setUps[s.setUp]
		switch {
		case p.fixed:
			r.height(s.entry, p.level, 0, s.setUp+1)
		case p.turning:
			before := len(r.heights)
			r.height(s.entry, p.fitted, p.sd, s.setUp+1)
			for i := before; i < len(r.heights); i++ {
				r.heights[i].peg = true
			}
		default:
			sigma := scale * n.runs[set.run].sheet.readingError(levelSheet)
			r.height(s.entry, n.adjusted(k), math.Hypot(set.sd, sigma), s.setUp+1)
		}
	}
}

// settle makes one point of the heights of each name, in the order of the
// book. Heights that agree within three times their error, or three
// centimetres, are averaged; others are a mistake.
func (r *reducing) settle() {
	type pool struct {
		sum, weight float64
		peg         bool // its adjusted level is in
	}
	slices.SortStableFunc(r.heights, func(a, b observed) int { return a.entry.line - b.entry.line })
	var pools []pool
	var seen []*entry // the row last pooled for each point
	for _, h := range r.heights {
		key := h.entry.key
		i, ok := r.byName[key]
		if last := len(r.out.Points) - 1; key == "" && last >= 0 && seen[last] == h.entry {
			continue // a turning point without a name: its fore and back sight of one row
		}
		if !ok || key == "" {
			k, stated := r.known[key]
			i = len(r.out.Points)
			r.byName[key] = i
			r.out.Points = append(r.out.Points, Point{Name: h.entry.name, Line: h.entry.line, Page: h.entry.page, Level: h.level, Error: h.sd,
				Benchmark: stated && k.given && key != ""})
			pools, seen = append(pools, pool{}), append(seen, nil)
		}
		p := &r.out.Points[i]
		if seen[i] == h.entry { // a turning point: the fore and the back sight of one row
			continue
		}
		if p.Readings > 0 {
			if allowed := max(groundAgrees, 3*math.Hypot(p.Error, h.sd)); math.Abs(h.level-p.Level) > allowed {
				r.bad.add(h.entry.place, "point", "%s comes to %s, but to %s on %s (%s is allowed); give a second point a second name, or correct a reading",
					nameOr(h.entry), exact(h.level, r.out.Units), exact(p.Level, r.out.Units), place{p.Line, p.Page}, exact(allowed, r.out.Units))
				continue
			}
		}
		seen[i] = h.entry
		p.Readings++
		q := &pools[i]
		if p.Benchmark || h.peg && q.peg {
			continue
		}
		q.peg = q.peg || h.peg
		if h.sd > 0 { // a height of unknown error says nothing beside one of known error
			q.sum, q.weight = q.sum+h.level/(h.sd*h.sd), q.weight+1/(h.sd*h.sd)
		}
		if q.weight > 0 && p.Readings > 1 {
			p.Level, p.Error = q.sum/q.weight, 1/math.Sqrt(q.weight)
		}
	}
	delete(r.byName, "")
	if len(r.out.Points) < 2 && len(r.bad.all) == 0 {
		r.bad.add(place{}, "", "%d point with a height; a book needs a known level and at least one point beside it", len(r.out.Points))
	}
}
