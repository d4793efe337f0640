package fieldbook

import (
	"math"
	"slices"
)

// A knownLevel is a height the book states or another sheet found.
type knownLevel struct {
	level float64 // m
	sd    float64 // m; 0 for a benchmark
	at    place
	given bool // stated in the book, not reduced
}

// knownLevels are the heights the book states, by point. Two that differ are
// a mistake.
func knownLevels(b *Book, bad *mistakes) map[string]knownLevel {
	known := map[string]knownLevel{}
	state := func(key, name, column string, v float64, at place) {
		if key == "" {
			bad.add(at, column, "a known level for %s, which names no one point", quote(name))
			return
		}
		if before, ok := known[key]; ok && math.Abs(before.level-v) > 0.0005 {
			bad.add(at, column, "%s is %.3f m here but %.3f m on %s; a benchmark has one level", name, v, before.level, before.at)
			return
		} else if !ok {
			known[key] = knownLevel{level: v, at: at, given: true}
		}
	}
	for _, s := range b.sheets {
		readings, levels := 0, 0
		for _, e := range s.entries {
			if e.any(backRole, interRole, foreRole, readingRole) {
				readings++
				levels += b2i(e.filled(knownRole))
			}
			if e.filled(knownRole) {
				state(e.key, e.name, "level", e.num(knownRole), e.place)
			}
			if e.station != nil && e.station.known.ok && e.station.at.line > 0 {
				state(e.station.home, e.station.homeAs, "home", e.station.known.v, e.station.at)
				e.station.at.line = -e.station.at.line // once
			}
		}
		for _, e := range s.entries {
			if e.station != nil && e.station.at.line < 0 {
				e.station.at.line = -e.station.at.line
			}
		}
		if readings > 6 && levels*2 > readings {
			bad.hint("the column level is filled for most points: it is for benchmarks alone; a column of your own reductions is named rl")
		}
	}
	return known
}

// planes reduces the laser and water sheets, in the order of the book, so
// that a point of one may be the benchmark of the next.
func (r *reducing) planes() {
	for _, s := range r.book.sheets {
		if s.kind != laserSheet && s.kind != waterSheet {
			continue
		}
		for lo := 0; lo < len(s.entries); {
			hi := lo + 1
			for hi < len(s.entries) && s.entries[hi].station == s.entries[lo].station {
				hi++
			}
			r.plane(s, s.entries[lo:hi])
			lo = hi
		}
	}
}

// plane reduces the readings of one station. The plane of light, the water
// level or the grade is level p; ground is p less the reading, or p plus the
// reading where readings grow with the ground.
func (r *reducing) plane(s *sheet, entries []*entry) {
	st := entries[0].station
	sigma := s.readingError(s.kind)
	way := -1.0
	if s.up {
		way = 1
	}
	set := SetUp{Number: len(r.out.SetUps) + 1, Kind: s.kind.String(), Line: entries[0].line, Page: entries[0].page, Sights: len(entries)}
	var home knownLevel
	if st.home != "" {
		var ok bool
		if home, ok = r.known[st.home]; !ok {
			r.bad.add(st.at, "home", "%s has no known level; give it behind the name, as home: BM1, 100.00", quote(st.homeAs))
			return
		}
		set.From = st.homeAs
	}
	if s.kind == waterSheet && s.has(homeRole) && st.home == "" {
		r.bad.add(entries[0].place, "home", "home readings, but no home: line says on which point the home staff stands, as home: BM1, 100.00")
		return
	}

	// The level of the plane by each benchmark read from here. Stated levels
	// come before those carried from elsewhere in the book.
	var planes []float64
	var marks []*entry
	benchmark := 0.0 // variance of the benchmarks' own levels
	for _, stated := range []bool{true, false} {
		for _, e := range entries {
			if k, ok := r.known[e.key]; ok && e.key != "" && st.home == "" && k.given == stated {
				planes, marks = append(planes, k.level-way*e.num(readingRole)), append(marks, e)
				benchmark += k.sd * k.sd
			}
		}
		if len(marks) > 0 {
			break
		}
	}
	var p, variance float64
	switch {
	case st.home != "":
		variance = home.sd*home.sd + sigma*sigma
	case st.height.ok:
		p = st.height.v
		set.From = "instrument height"
	case len(planes) == 0:
		r.bad.add(entries[0].place, "level", "no benchmark is read from this set-up and no instrument height is given; fill the level of a known point, or write instrument height: 101.25")
		return
	default:
		for _, v := range planes {
			p += v
		}
		n := float64(len(planes))
		p /= n
		variance = (sigma*sigma + benchmark/n) / n
		set.From = marks[0].name
	}
	allowed := max(3*math.Sqrt2*sigma, s.order.Allowable(1, 0))
	for i, e := range marks {
		against, by := p, "the instrument height"
		if !st.height.ok {
			if i == 0 {
				continue
			}
			against, by = planes[0], "the reading of "+marks[0].name+" on "+marks[0].String()
		}
		off := planes[i] - against
		set.Closed = true
		r.out.Misclosures = append(r.out.Misclosures, Misclosure{Loop: "against " + by, From: marks[0].name, To: e.name, Line: e.line, Page: e.page,
			SetUps: 1, Value: -off, Allowable: allowed, Known: r.known[e.key].given,
			Order: Order{Name: "benchmark read again", Metres: allowed, By: SetUps, Source: "three standard deviations of two readings, or the order over one set-up"}})
		if math.Abs(off) > allowed {
			r.bad.add(e.place, "reading", "%s puts the plane of this set-up %.3f m %s than %s does (%.3f m is allowed): the reading, the level of the benchmark or a moved instrument is wrong",
				e.name, math.Abs(off), map[bool]string{true: "higher", false: "lower"}[off > 0], by, allowed)
		}
	}
	set.Instrument = p
	set.Error = math.Sqrt(variance)
	if s.kind == laserSheet && !set.Closed && len(entries) > 5 {
		r.remark("the laser set-up of %s is not checked; read the benchmark again at the end and a moved instrument will show", entries[0].place)
	}
	for _, e := range entries {
		level, v := p+way*e.num(readingRole), variance+sigma*sigma
		if st.home != "" {
			if !e.filled(homeRole) && s.has(homeRole) {
				r.bad.add(e.place, "home", "is empty; the water moves, so each row needs the reading at both ends")
				continue
			}
			level = home.level + e.num(homeRole) - e.num(readingRole)
			p = home.level + e.num(homeRole)
		}
		if k, ok := r.known[e.key]; ok && e.key != "" && (k.given || slices.Contains(marks, e)) {
			if st.home != "" && e.key != st.home && math.Abs(level-k.level) > max(allowed, 3*k.sd) {
				r.bad.add(e.place, "reading", "%s comes to %.3f m, but is known to be %.3f m (%.3f m is allowed)", e.name, level, k.level, allowed)
			}
			level, v = k.level, k.sd*k.sd
		}
		r.height(e, level, math.Sqrt(v), set.Number)
	}
	r.out.SetUps = append(r.out.SetUps, set)
}
