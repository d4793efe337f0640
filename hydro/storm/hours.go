package storm

import (
	"cmp"
	"slices"
	"sort"

	"wetfeet/terrain"
)

// A Span is a time from one hour to another.
type Span struct{ From, To float64 }

// Total is the length of spans that do not overlap, h.
func Total(spans []Span) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.To - s.From
	}
	return sum
}

// Longest is the length of the longest of some spans, h.
func Longest(spans []Span) float64 {
	most := 0.0
	for _, s := range spans {
		most = max(most, s.To-s.From)
	}
	return most
}

// UnderWater lists the times at which water stands above a level so many
// metres over the ground of a cell, such as that of a root crown. One that
// ends with the history may have gone on.
func (h *History) UnderWater(cell int, above float64) []Span {
	i, level := h.site.holding(cell, above)
	if i == outside {
		return nil
	}
	var list []Span
	for _, s := range h.tracks[i] {
		list = s.above(list, level)
	}
	for k := h.site.hollow[i].parent; k != outside; k = h.site.hollow[k].parent {
		for _, s := range h.tracks[k] {
			list = append(list, Span{s[0].Hours, s[len(s)-1].Hours})
		}
	}
	return union(list)
}

// above adds the times at which a level is exceeded.
func (s spell) above(list []Span, level float64) []Span {
	for n := 1; n < len(s); n++ {
		a, b := s[n-1], s[n]
		if b.Hours == a.Hours || a.Level <= level && b.Level <= level {
			continue
		}
		cross := a.Hours + (b.Hours-a.Hours)*((level-a.Level)/(b.Level-a.Level))
		span := Span{a.Hours, b.Hours}
		switch {
		case a.Level <= level:
			span.From = cross
		case b.Level < level:
			span.To = cross
		}
		if n := len(list); n > 0 && list[n-1].To == span.From {
			list[n-1].To = span.To // most of a spell is one time
		} else {
			list = append(list, span)
		}
	}
	return list
}

// union joins spans that touch or overlap, in place.
func union(list []Span) []Span {
	slices.SortFunc(list, func(a, b Span) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	out := list[:0]
	for _, s := range list {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
		} else if s.To > s.From {
			out = append(out, s)
		}
	}
	return out
}

// Roots are the roots of a tree. They are wet while water stands above the
// crown, and from then until the drainable water of the root zone has left it
// at an even rate.
type Roots struct {
	Crown    float64 // above the ground, m: the height of a mound, say
	Depth    float64 // of the root zone, m
	Porosity float64 // drainable, a fraction: what leaves by its own weight
	Drainage float64 // rate at which it leaves, mm/h
}

// Lag is how long the root zone takes to drain, h.
func (r Roots) Lag() float64 {
	water := 1000 * r.Depth * r.Porosity
	if water == 0 {
		return 0
	}
	return water / r.Drainage
}

// RootsWet lists the times at which roots in a cell are wet. The last may end
// after the history.
func (h *History) RootsWet(cell int, r Roots) []Span {
	list := h.UnderWater(cell, r.Crown)
	for i := range list {
		list[i].To += r.Lag()
	}
	return union(list)
}

// HoursGrid writes into every cell of dst how long, in all, water stands above
// a level so many metres over its ground, h: 0 where it never does, NaN where
// the ground is not known.
func (h *History) HoursGrid(dst *terrain.Grid[float32], above float64) {
	s := h.site
	if dst.Frame != s.frame {
		panic("storm: hours lie on another grid than the ground")
	}
	ground := s.h.Ground().Cells
	terrain.Bands(dst.Rows, func(lo, hi int) {
		for i := lo * dst.Cols; i < hi*dst.Cols; i++ {
			dst.Cells[i] = ground[i] - ground[i] // NaN stays
		}
	})
	n := len(s.hollow)
	curves := make([]exceedance, n)
	eachHollow(n, func(i int) { curves[i] = exceed(h.tracks[i]) })
	later := make([]float64, n) // hours that the hollows it is part of stand as one
	for _, i := range s.inwards {
		if p := s.hollow[i].parent; p != outside {
			later[i] = later[p] + curves[p].all
		}
	}
	eachHollow(n, func(i int) {
		for _, c := range s.h.Own(i) {
			level, k := float64(ground[c])+above, int32(i)
			for k != outside && s.h.All[k].Spill <= level {
				k = s.hollow[k].parent
			}
			if k != outside {
				dst.Cells[c] = float32(curves[k].hours(level) + later[k])
			}
		}
	})
}

// An exceedance says for how long a level is exceeded in the spells of a
// hollow. Between two steps it is a straight line; at some it also jumps.
type exceedance struct {
	all   float64 // h, of all spells
	steps []step  // highest level first
}

type step struct {
	level    float64
	at, just float64 // hours that the level, and one just below it, is exceeded
	slope    float64 // hours for a metre, below it
}

func exceed(spells []spell) exceedance {
	type edge struct{ level, slope, jump float64 }
	var edges []edge
	var e exceedance
	for _, s := range spells {
		e.all += s[len(s)-1].Hours - s[0].Hours
		for n := 1; n < len(s); n++ {
			hours, lo, hi := s[n].Hours-s[n-1].Hours, s[n-1].Level, s[n].Level
			if lo > hi {
				lo, hi = hi, lo
			}
			if lo == hi {
				edges = append(edges, edge{lo, 0, hours})
			} else {
				edges = append(edges, edge{hi, hours / (hi - lo), 0}, edge{lo, -hours / (hi - lo), 0})
			}
		}
	}
	slices.SortFunc(edges, func(a, b edge) int {
		return cmp.Or(cmp.Compare(b.level, a.level), cmp.Compare(b.slope, a.slope), cmp.Compare(a.jump, b.jump))
	})
	for _, d := range edges {
		n := len(e.steps)
		if n == 0 || e.steps[n-1].level != d.level {
			now := step{level: d.level}
			if n > 0 {
				last := e.steps[n-1]
				now.at = last.just + float64(last.slope*(last.level-d.level))
				now.just, now.slope = now.at, last.slope
			}
			e.steps = append(e.steps, now)
			n++
		}
		e.steps[n-1].just += d.jump
		e.steps[n-1].slope = max(e.steps[n-1].slope+d.slope, 0)
	}
	return e
}

// hours is how long a level is exceeded.
func (e *exceedance) hours(level float64) float64 {
	n := sort.Search(len(e.steps), func(n int) bool { return e.steps[n].level <= level })
	switch {
	case n < len(e.steps) && e.steps[n].level == level:
		return e.steps[n].at
	case n == 0:
		return 0
	case n == len(e.steps):
		return e.all
	}
	last := &e.steps[n-1]
	return min(last.just+float64(last.slope*(last.level-level)), e.all)
}

// Depth writes the depth of the water that stands at a time, m, into every
// cell of dst: 0 where the ground is dry, NaN where it is not known.
func (h *History) Depth(dst *terrain.Grid[float32], hours float64) {
	h.stateAt(hours).Depth(dst)
}

// stateAt is the water at a time as far as levels tell it.
func (h *History) stateAt(hours float64) *State {
	s := h.site
	st := &State{site: s, volume: make([]float64, len(s.hollow))}
	one := make([]bool, len(s.hollow))
	for _, i := range s.inwards {
		spells := h.tracks[i]
		n := sort.Search(len(spells), func(n int) bool { return spells[n][len(spells[n])-1].Hours >= hours })
		if n < len(spells) && spells[n][0].Hours <= hours {
			one[i] = true
			st.volume[i] = s.store().Volume(int(i), spells[n].at(hours))
		}
	}
	st.settle(one)
	return st
}
