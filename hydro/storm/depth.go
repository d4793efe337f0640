package storm

import (
	"wetfeet/terrain"
)

// Depth writes the depth of standing water, m, into every cell of dst: 0 where
// the ground is dry, NaN where it is not known. It panics if dst lies on
// another grid than the ground.
func (st *State) Depth(dst *terrain.Grid[float32]) {
	s := st.site
	if dst.Frame != s.frame {
		panic("storm: depths lie on another grid than the ground")
	}
	ground := s.h.Ground()
	terrain.Bands(dst.Rows, func(lo, hi int) {
		z := ground.Cells[lo*dst.Cols : hi*dst.Cols]
		out := dst.Cells[lo*dst.Cols:][:len(z)]
		for i, v := range z {
			out[i] = v - v // NaN stays
		}
	})
	write := func(i int, level, share float64) {
		for _, c := range s.h.Own(i) {
			if depth := level - float64(ground.Cells[c]); depth > 0 {
				dst.Cells[c] = float32(share * depth)
			}
		}
	}
	// First the hollows that hold their own water, then those it covers.
	levels := make([]float64, len(st.over))
	eachHollow(len(st.over), func(i int) {
		if st.over[i] == int32(i) && st.volume[i] > 0 {
			levels[i] = s.store().Level(i, st.volume[i])
			write(i, levels[i], s.underBase(i, st.volume[i]))
		}
	})
	eachHollow(len(st.over), func(i int) {
		if over := st.over[i]; over != int32(i) && over != outside {
			write(i, levels[over], 1)
		}
	})
}

// underBase is the part of the water below its base that a hollow holds. A
// hollow begins where its children spill to each other, and has no cells
// below that, but for those of hollows that were left out as noise. They take
// the first water, while the level stays.
func (s *Site) underBase(i int, volume float64) float64 {
	if s.hollow[i].child == outside {
		return 1
	}
	held := s.held(int32(i))
	if most := s.atBase(i); volume < most {
		return (volume - held) / (most - held)
	}
	return 1
}

// atBase is the water in a hollow when its level begins to rise, m³: what its
// children hold, and what stands in its own cells below its base.
func (s *Site) atBase(i int) float64 {
	return max(s.store().Volume(i, s.store().Base(i)), s.held(int32(i)))
}

// WaterLevel is the level of the water that covers a cell, m, and whether any
// does.
func (st *State) WaterLevel(cell int) (level float64, wet bool) {
	s := st.site
	i := s.owners()[cell]
	if i == outside || st.over[i] == outside {
		return 0, false
	}
	pond := int(st.over[i])
	level = s.store().Level(pond, st.volume[pond])
	return level, level > float64(s.h.Ground().Cells[cell]) && st.volume[pond] > 0
}
