package storm

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// A Point is a level, m, at a time, h.
type Point struct{ Hours, Level float64 }

// A spell is the time that a hollow's water stood as one, level by level.
// Between two points the level moves along a straight line.
type spell []Point

// begin starts a spell of a pond.
func (m *Simulation) begin(i int32) {
	m.ponds[i].began, m.ponds[i].top = m.ponds[i].at, m.ponds[i].level
	if m.watched != nil && !m.watched[i] {
		return
	}
	m.tracks[i] = append(m.tracks[i], spell{{m.ponds[i].at, m.ponds[i].level}})
}

// note adds where a pond stands now to its spell.
func (m *Simulation) note(i int32) {
	m.ponds[i].top = max(m.ponds[i].top, m.ponds[i].level)
	last := len(m.tracks[i]) - 1
	if last < 0 {
		return
	}
	s := m.tracks[i][last]
	p := Point{m.now, m.ponds[i].level}
	n := len(s)
	switch {
	case s[n-1] == p:
		return
	case n > 1 && s[n-1].Level == p.Level && s[n-2].Level == p.Level:
		s[n-1] = p
		return
	}
	m.tracks[i][last] = append(s, p)
}

// end ends the spell of a pond and drops it if it took no time.
func (m *Simulation) end(i int32) {
	m.note(i)
	p := &m.ponds[i]
	p.active = false
	if p.began < m.now {
		m.highest[i] = max(m.highest[i], p.top)
	}
	last := len(m.tracks[i]) - 1
	if last < 0 {
		return
	}
	if s := m.tracks[i][last]; s[0].Hours == s[len(s)-1].Hours {
		m.tracks[i] = m.tracks[i][:last]
	}
}

// A History is what became of the water of a site, from the start to Hours.
type History struct {
	Balance
	Hours float64

	site   *Site
	tracks [][]spell
}

// History is what has happened so far. The simulation may go on and does not
// change it.
func (m *Simulation) History() *History {
	for i := range m.ponds {
		if m.ponds[i].active {
			m.bring(int32(i))
			m.note(int32(i))
		}
	}
	h := &History{Balance: m.Balance(), Hours: m.now, site: m.site, tracks: make([][]spell, len(m.tracks))}
	for i, spells := range m.tracks {
		h.tracks[i] = slices.Clone(spells)
		if n := len(spells); n > 0 { // the last may still grow
			h.tracks[i][n-1] = slices.Clone(spells[n-1])
		}
	}
	return h
}

// Forget drops what has happened so far from later histories, but for where
// the water stands now.
func (m *Simulation) Forget() {
	for i := range m.tracks {
		m.tracks[i], m.highest[i] = nil, math.Inf(-1)
		if m.ponds[i].active {
			m.bring(int32(i))
			m.begin(int32(i))
		}
	}
}

// Levels is the level of the water in hollow i over its floor, from the start
// to the end: straight between points. Where it is dry the level is the floor.
func (h *History) Levels(i int) []Point {
	points := 0
	for k := h.site.leaf(i); k != outside; k = h.site.hollow[k].parent {
		for _, s := range h.tracks[k] {
			points += len(s)
		}
	}
	list := make([]Point, 0, points)
	for k := h.site.leaf(i); k != outside; k = h.site.hollow[k].parent {
		for _, s := range h.tracks[k] {
			list = append(list, s...)
		}
	}
	// Where one spell ends and another begins the levels are the same.
	slices.SortStableFunc(list, func(a, b Point) int { return cmp.Compare(a.Hours, b.Hours) })
	return slices.Compact(list)
}

// Level is the level of the water in hollow i over its floor at a time, m.
func (h *History) Level(i int, hours float64) float64 {
	for k := h.site.leaf(i); k != outside; k = h.site.hollow[k].parent {
		spells := h.tracks[k]
		n := sort.Search(len(spells), func(n int) bool { return spells[n][len(spells[n])-1].Hours >= hours })
		if n < len(spells) && spells[n][0].Hours <= hours {
			return spells[n].at(hours)
		}
	}
	return h.site.h.All[i].Floor
}

// at is the level at a time within a spell.
func (s spell) at(hours float64) float64 {
	n := sort.Search(len(s), func(n int) bool { return s[n].Hours >= hours })
	if n == 0 || s[n].Hours == hours {
		return s[n].Level
	}
	a, b := s[n-1], s[n]
	return a.Level + (b.Level-a.Level)*((hours-a.Hours)/(b.Hours-a.Hours))
}

// Peak is the highest level of the water in hollow i over its floor, m, and
// when it was first reached, h.
func (h *History) Peak(i int) Point {
	best := Point{0, h.site.h.All[i].Floor}
	for k := h.site.leaf(i); k != outside; k = h.site.hollow[k].parent {
		for _, s := range h.tracks[k] {
			for _, p := range s {
				if p.Level > best.Level || p.Level == best.Level && p.Hours < best.Hours {
					best = p
				}
			}
		}
	}
	return best
}

// Highest is, for every hollow, watched or not, the highest level at which
// water has stood as one over all of it, m: its own or that of a hollow it is
// part of; −Inf where none has. A cell that a hollow wets and its children do
// not has been under water if its ground lies lower.
func (m *Simulation) Highest() []float64 {
	high := slices.Clone(m.highest)
	for _, i := range m.site.inwards {
		if p := &m.ponds[i]; p.active {
			high[i] = max(high[i], p.top, p.level)
		}
		if up := m.site.hollow[i].parent; up != outside {
			high[i] = max(high[i], high[up])
		}
	}
	return high
}
