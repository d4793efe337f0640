package hydro

import (
	"runtime"
	"slices"
	"sort"
	"sync"
)

// Storage says how much water stands in each hollow at any level, and how
// high any volume stands, exactly for the cells: the ground is a step at each
// and nothing is fitted.
//
// A hollow with children has a level of its own only once both are full and
// the water has joined. So its curve begins at the level where they spill to
// each other and with the volume they hold then; below it, ask the children.
type Storage struct {
	h *Hollows

	// By place in h.wetted, the cells that a hollow wets and its children do
	// not being sorted by level.
	level []float32
	below []float64 // sum, over those of the same hollow before it, of level − Base, m
}

// Storage makes the curves of all hollows. It sorts the cells of each and
// takes 12 bytes for a cell that lies in one.
func (h *Hollows) Storage() *Storage {
	s := &Storage{h: h, level: make([]float32, len(h.wetted)), below: make([]float64, len(h.wetted))}
	// Hollows lie in order of size, so each worker takes every n-th of them.
	n := runtime.GOMAXPROCS(0)
	var wg sync.WaitGroup
	for w := range n {
		wg.Go(func() {
			for i := w; i < len(h.All); i += n {
				s.make(i)
			}
		})
	}
	wg.Wait()
	return s
}

// make makes the curve of one hollow.
func (s *Storage) make(i int) {
	level, below := s.own(i)
	for k, cell := range s.h.own(i) {
		level[k] = s.h.ground.Cells[cell]
	}
	sortLevels(level)
	base, sum := s.Base(i), 0.0
	for k, z := range level {
		below[k] = sum
		sum += float64(z) - base
	}
}

// sortLevels sorts elevations. None is void.
func sortLevels(levels []float32) {
	const few = 1000
	if len(levels) < few {
		slices.Sort(levels)
		return
	}
	spots := make([]spot, len(levels))
	for i, z := range levels {
		spots[i].rank = rank(z)
	}
	sortSpots(spots)
	for i, s := range spots {
		levels[i] = level(s.rank)
	}
}

// own is the part of the curves that belongs to one hollow.
func (s *Storage) own(i int) (level []float32, below []float64) {
	first, n := s.h.first[i], len(s.h.own(i))
	return s.level[first:][:n], s.below[first:][:n]
}

// Base is the level at which the curve of a hollow begins, m: its floor, or
// the level at which its children join.
func (s *Storage) Base(i int) float64 {
	if a := &s.h.All[i]; !a.IsLeaf() {
		return s.h.All[a.Children[0]].Spill
	}
	return s.h.All[i].Floor
}

// under is the number of cells in the children of a hollow and the volume the
// children hold, in cells times metres.
func (s *Storage) under(i int) (cells, volume float64) {
	if a := &s.h.All[i]; !a.IsLeaf() {
		for _, k := range a.Children {
			cells += float64(s.h.All[k].Cells)
			volume += s.h.All[k].Volume
		}
	}
	return cells, volume / s.h.CellArea()
}

// Volume is the water in hollow h.All[i] when it stands at a level, m³. A
// level below [Storage.Base] counts as that, and one above the spill level as
// that.
func (s *Storage) Volume(i int, level float64) float64 {
	a := &s.h.All[i]
	if level >= a.Spill {
		return a.Volume
	}
	base := s.Base(i)
	level = max(level, base)
	cells, volume := s.under(i)
	k, dry := s.wet(i, level)
	return (volume + float64((cells+float64(k))*(level-base)) - dry) * s.h.CellArea()
}

// Area is the surface of the water in hollow h.All[i] when it stands at a
// level, m². It takes the same levels as [Storage.Volume].
func (s *Storage) Area(i int, level float64) float64 {
	level = min(max(level, s.Base(i)), s.h.All[i].Spill)
	cells, _ := s.under(i)
	k, _ := s.wet(i, level)
	return (cells + float64(k)) * s.h.CellArea()
}

// wet counts the cells of the hollow's own below a level and sums their
// heights above its base.
func (s *Storage) wet(i int, level float64) (k int, heights float64) {
	z, below := s.own(i)
	k = sort.Search(len(z), func(k int) bool { return float64(z[k]) >= level })
	if k > 0 {
		heights = below[k-1] + (float64(z[k-1]) - s.Base(i))
	}
	return k, heights
}

// Level is where a volume of water, m³, stands in hollow h.All[i]: the
// inverse of [Storage.Volume]. A volume that its children can hold stands at
// [Storage.Base], and one that is too much for it at its spill level.
func (s *Storage) Level(i int, volume float64) float64 {
	a := &s.h.All[i]
	base := s.Base(i)
	cells, held := s.under(i)
	volume /= s.h.CellArea()
	switch {
	case volume*s.h.CellArea() >= a.Volume:
		return a.Spill
	case volume <= held:
		return base
	}
	// The k lowest cells of its own are wet when the volume is more than what
	// stands at the level of the last of them.
	z, below := s.own(i)
	k := sort.Search(len(z), func(k int) bool {
		rise := float64(z[k]) - base
		return held+float64((cells+float64(k))*rise)-below[k] >= volume
	})
	heights := 0.0
	if k > 0 {
		heights = below[k-1] + (float64(z[k-1]) - base)
	}
	if cells+float64(k) == 0 {
		return base
	}
	return min(max(base+(volume-held+heights)/(cells+float64(k)), base), a.Spill)
}
