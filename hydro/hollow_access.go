package hydro

import "wetfeet/terrain"

// Ground is the ground the hollows were found in. It must not be changed.
func (h *Hollows) Ground() *terrain.Grid[float32] { return h.ground }

// Own lists the cells that hollow h.All[i] wets when full and its children do
// not, in order. It must not be changed.
func (h *Hollows) Own(i int) []int32 { return h.own(i) }

// Hollows are the hollows the curves belong to.
func (s *Storage) Hollows() *Hollows { return s.h }

// OwnLevels are the elevations of the cells that hollow h.All[i] wets when
// full and its children do not, lowest first, m. It must not be changed.
func (s *Storage) OwnLevels(i int) []float32 {
	levels, _ := s.own(i)
	return levels
}

// Wets lists the cells that hollow h.All[i] wets when full, those that its
// children do not wet first. It must not be changed.
func (h *Hollows) Wets(i int) []int32 { return h.wetted[h.first[i]:][:h.All[i].Cells] }
