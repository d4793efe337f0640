package odds

import (
	"wetfeet/hydro"
)

// Known is a hollow of the likeliest ground, by the cells it wets when full.
type Known struct {
	Cells []int32
}

// KnownOf is hollow h.All[i] of a ground. It shares the cells with h.
func KnownOf(h *hydro.Hollows, i int) Known { return Known{Cells: h.Wets(i)} }

// leastShare is the least part of a known hollow that another must wet to be
// taken for it. A bowl drained to a third of its depth still wets a third of
// its cells; common practice, no source.
const leastShare = 0.1

// Match finds known hollows again among others of the same frame: for each the
// index in h.All of the hollow whose extent is most like its own, the first
// among equals, or hydro.Outside where none wets a tenth of it.
func Match(known []Known, h *hydro.Hollows) []int {
	m := matcher{owner: make([]int32, h.Len())}
	m.of(h)
	out := make([]int, len(known))
	for i := range known {
		out[i] = m.match(&known[i])
	}
	return out
}

// A matcher finds hollows of one ground by their cells.
type matcher struct {
	h     *hydro.Hollows
	owner []int32 // by cell, one more than the index of the innermost hollow that wets it, or 0

	// By hollow, 0 between matches: cells of the known one of which it is the
	// owner, and all that it wets.
	owned, both []int32
	owners, met []int32 // the hollows where those are not 0
}

// of takes the hollows of another ground.
func (m *matcher) of(h *hydro.Hollows) {
	m.h = h
	own(h, m.owner)
	if n := len(h.All); len(m.both) < n {
		m.owned, m.both = make([]int32, n+n/2), make([]int32, n+n/2)
	}
}

// own writes for every cell one more than the index of the innermost hollow
// that wets it, or 0.
func own(h *hydro.Hollows, owner []int32) {
	clear(owner)
	for i := range h.All {
		for _, c := range h.Own(i) {
			owner[c] = int32(i + 1)
		}
	}
}

func (m *matcher) match(k *Known) int {
	m.owners, m.met = m.owners[:0], m.met[:0]
	for _, c := range k.Cells {
		if i := m.owner[c] - 1; i >= 0 {
			if m.owned[i] == 0 {
				m.owners = append(m.owners, i)
			}
			m.owned[i]++
		}
	}
	for _, owner := range m.owners {
		for i := owner; i != hydro.Outside; i = int32(m.h.All[i].Parent) {
			if m.both[i] == 0 {
				m.met = append(m.met, i)
			}
			m.both[i] += m.owned[owner]
		}
		m.owned[owner] = 0
	}
	best, alike := hydro.Outside, 0.0
	for _, i := range m.met {
		both := float64(m.both[i])
		m.both[i] = 0
		if both < leastShare*float64(len(k.Cells)) {
			continue
		}
		a := both / (float64(len(k.Cells)) + float64(m.h.All[i].Cells) - both)
		if a > alike || a == alike && int(i) < best {
			best, alike = int(i), a
		}
	}
	return best
}
