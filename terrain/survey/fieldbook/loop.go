package fieldbook

import (
	"cmp"
	"maps"
	"slices"
)

// A loop is one way the levelling checks itself: a sight onto a point whose
// level was known or carried there before.
type loop struct {
	close   int             // the sight that closes
	point   int             // what it closes on
	misfit  float64         // level carried less level there was, m
	signs   map[int]float64 // how the misfit changes with each sight's reading
	anchors map[int]float64 // how it changes with each benchmark's level
	setUps  []int
	length  float64 // m; 0 where not known
	allowed float64 // m
	order   Order
	repeat  bool // a ground shot read twice: it checks, but nothing hangs on it
}

// carry takes levels from the benchmarks through the set-ups, in the order of
// the book, and notes every loop. Set-ups that hang on no known level stay
// without a height.
func (n *network) carry() {
	left := make([]int, len(n.setUps))
	for i := range left {
		left[i] = i
	}
	for len(left) > 0 {
		rest := left[:0:0]
		for _, i := range left {
			if k := n.setUps[i].sights[0]; n.pegs[n.sights[k].point].reached {
				n.solve(i, k)
			} else {
				rest = append(rest, i)
			}
		}
		if len(rest) == len(left) { // nothing more from back sights: take one from any sight
			at := slices.IndexFunc(rest, func(i int) bool { return n.known(i) >= 0 })
			if at < 0 {
				break
			}
			n.solve(rest[at], n.known(rest[at]))
			rest = slices.Delete(rest, at, at+1)
		}
		left = rest
	}
}

// known is a sight of a set-up onto a point with a level that carries, or -1.
func (n *network) known(i int) int {
	for _, k := range n.setUps[i].sights {
		if p := n.pegs[n.sights[k].point]; p.reached && (p.fixed || p.turning) {
			return k
		}
	}
	return -1
}

// solve gives a set-up its height of instrument from one sight and its points
// their levels. Points that had one close a loop.
func (n *network) solve(i, from int) {
	s := &n.setUps[i]
	s.ref = from
	s.height = n.pegs[n.sights[from].point].level + n.sights[from].reading()
	for _, k := range s.sights {
		if k == from {
			continue
		}
		p := &n.pegs[n.sights[k].point]
		level := s.height - n.sights[k].reading()
		if !p.reached {
			p.reached, p.level, p.via = true, level, k
			continue
		}
		repeat := !p.turning && !p.fixed
		if repeat && n.repeats == maxRepeats {
			continue // still held against each other as points
		}
		n.repeats += b2i(repeat)
		n.loops = append(n.loops, n.closed(i, k, level-p.level))
	}
}

// closed describes the loop that a sight closes.
func (n *network) closed(i, k int, misfit float64) loop {
	l := loop{close: k, point: n.sights[k].point, misfit: misfit, signs: map[int]float64{k: -1}, anchors: map[int]float64{}}
	l.repeat = !n.pegs[l.point].turning && !n.pegs[l.point].fixed
	l.signs[n.setUps[i].ref]++
	n.trace(n.sights[n.setUps[i].ref].point, 1, &l)
	n.trace(l.point, -1, &l)
	maps.DeleteFunc(l.signs, func(_ int, v float64) bool { return v == 0 })
	maps.DeleteFunc(l.anchors, func(_ int, v float64) bool { return v == 0 })
	seen := map[int]bool{}
	known := true
	for k := range l.signs {
		if s := n.sights[k].setUp; !seen[s] {
			seen[s] = true
			known = known && n.setUps[s].length > 0
		}
	}
	l.setUps = slices.Sorted(maps.Keys(seen))
	for _, s := range l.setUps {
		l.length += n.setUps[s].length
	}
	if !known {
		l.length = 0
	}
	return l
}

// maxRepeats bounds the ground shots read again that help to find a mistake.
const maxRepeats = 500

// trace adds the way a peg got its level, back to a benchmark.
func (n *network) trace(p int, sign float64, l *loop) {
	for n.pegs[p].via >= 0 {
		k := n.pegs[p].via
		l.signs[k] -= sign
		ref := n.setUps[n.sights[k].setUp].ref
		l.signs[ref] += sign
		p = n.sights[ref].point
	}
	l.anchors[p] += sign
}

// allow sets what each loop may miss by. An order by length needs the lengths.
func (n *network) allow(force *Order, share *Share) {
	told := map[int]bool{}
	for i := range n.loops {
		l := &n.loops[i]
		r := n.sights[l.close].setUp
		sheet := n.runs[n.setUps[r].run].sheet
		l.order = sheet.order
		if force != nil {
			l.order = *force
		}
		if l.order.By != SetUps && l.length == 0 {
			if run := n.setUps[r].run; !told[run] && !l.repeat {
				told[run] = true
				n.bad.add(n.sights[l.close].entry.place, "", "order %s needs the length levelled: fill the distance column at the turning points, say sight: 30 m for the usual sight, or choose an order by set-ups", l.order)
			}
			l.order = orders[0]
		}
		by := sheet.share
		if share != nil {
			by = *share
		}
		if run := n.setUps[r].run; by == ByDistance && l.length == 0 && !told[run] && !l.repeat {
			told[run] = true
			n.bad.add(n.sights[l.close].entry.place, "", "sharing by distance needs the length levelled: fill the distance column at the turning points, say sight: 30 m for the usual sight, or share by set-ups")
		}
		l.allowed = l.order.Allowable(len(l.setUps), l.length)
		if l.repeat {
			l.allowed = max(l.allowed, groundAgrees)
		}
	}
}

// groundAgrees is within how much two readings of a staff on open ground are
// taken for the same spot, m. Common practice, no source.
const groundAgrees = 0.03

// unchecked are the set-ups in no loop, by run.
func (n *network) unchecked() map[int][]int {
	in := make([]bool, len(n.setUps))
	for _, l := range n.loops {
		if l.repeat {
			continue
		}
		for _, s := range l.setUps {
			in[s] = true
		}
	}
	out := map[int][]int{}
	for i, s := range n.setUps {
		if !in[i] && s.ref >= 0 {
			out[s.run] = append(out[s.run], i)
		}
	}
	return out
}

// complain tells of lines that hang on nothing or close on nothing.
func (n *network) complain(allowOpen bool) (remarks []string) {
	var open = n.unchecked()
	for i, r := range n.runs {
		var lost []string
		for _, s := range r.setUps {
			if n.setUps[s].ref < 0 {
				lost = append(lost, n.pegs[n.back(s).point].label())
			}
		}
		start, end := n.back(r.setUps[0]).entry, n.fore(r.setUps[len(r.setUps)-1])
		if len(lost) > 0 {
			n.bad.add(start.place, "level", "the line from %s hangs on no known level; give the level of a benchmark in it (100.00 if only differences matter)", n.pegs[r.first].label())
			continue
		}
		loose := open[i]
		switch {
		case len(loose) == 0:
		case allowOpen || r.sheet.open:
			remarks = append(remarks, n.looseText(i, loose)+": nothing checks the readings there")
		case len(r.setUps) == 1:
			remarks = append(remarks, n.looseText(i, loose)+": a single set-up, not closed; sight the benchmark again at the end and a moved level will show")
		default:
			n.bad.add(end.entry.place, "", "an unclosed line: %s; carry it back to a known level, or write closing: open if there is no going back", n.looseText(i, loose))
		}
	}
	return remarks
}

func (n *network) looseText(r int, loose []int) string {
	end := n.fore(loose[len(loose)-1])
	which := "set-up " + n.number(loose[0])
	if len(loose) > 1 {
		which = "set-ups " + n.number(loose[0]) + " to " + n.number(loose[len(loose)-1])
	}
	return "the line from " + n.pegs[n.runs[r].first].label() + " ends on " + n.pegs[end.point].label() + " (" + end.entry.String() + ") and closes on nothing (" + which + ")"
}

func (p *peg) label() string { return cmp.Or(p.name, "the point of "+p.at.String()) }
