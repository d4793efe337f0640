// Package brim says where water is drawn, when every hollow is full and at
// any time of a storm.
//
// # Model
//
// Map and section share one rule. A place is wet where the level of the water
// it drains to stands above the ground, both taken over [Soften] around it: the
// noise of single cells would else fray the water's edge and lay films where
// none stand. Verdicts on trees do not use it; they read the grids.
//
// # Units
//
// Metres; hours from the start of a storm.
package brim

import (
	"math"
	"slices"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
)

// Soften is the standard deviation over which depths of water are smoothed for
// drawing, m: as far as the noise of the ground asks for and two cells at
// most. That takes six parts in seven off noise from cell to cell, which would
// make the water's edge ragged, and leaves the depth of a hollow ten cells
// wide nearly as it is; the ground smoothed for contours can be too smooth for
// that.
func Soften(d *hydro.Drainage) float64 { return min(d.Smooth, 2*d.Ground.CellSize) }

// Reach is how many cells around a window its smoothing looks at.
const Reach = 9

// Dry stands for the depth of water, m, on ground away from any.
const Dry = -0.02

// A Water is how high water stands over a ground.
type Water struct {
	of    *hydro.Hollows
	pond  []int32   // of each cell, one more than the index in level of the water it can stand in, 0 for none
	level []float64 // m; −Inf where the hollow is dry
}

// Full is the water when every hollow is full to the brim.
func Full(h *hydro.Hollows) Water {
	if h == nil {
		return Water{}
	}
	w := Water{h, h.Outer, make([]float64, len(h.All))}
	for i := range h.All {
		w.level[i] = h.All[i].Spill
	}
	return w
}

// At is the water so many hours into a storm over the hollows of its site.
//
// A cell stands in the water over the floor of the leaf it drains to, if that
// is higher than the cell: from there on down to the floor nothing parts them.
func At(h *hydro.Hollows, history *storm.History, hours float64) Water {
	w := Water{h, h.Inner, make([]float64, len(h.All))}
	for i := range h.All {
		w.level[i] = math.Inf(-1)
		if !h.All[i].IsLeaf() {
			continue
		}
		if z := history.Level(i, hours); z > h.All[i].Floor {
			w.level[i] = z
		}
	}
	return w
}

// AtPeak is the highest water of each hollow in a storm, whenever that was.
func AtPeak(h *hydro.Hollows, history *storm.History) Water {
	w := Water{h, h.Inner, make([]float64, len(h.All))}
	for i := range h.All {
		w.level[i] = math.Inf(-1)
		if !h.All[i].IsLeaf() {
			continue
		}
		if z := history.Peak(i).Level; z > h.All[i].Floor {
			w.level[i] = z
		}
	}
	return w
}

// Dry reports whether there is no water at all.
func (w Water) Dry() bool {
	return !slices.ContainsFunc(w.level, func(z float64) bool { return z > math.Inf(-1) })
}

// Level is the level of the water that covers a cell, m, and whether any does.
func (w Water) Level(row, col int) (float64, bool) {
	if len(w.level) == 0 {
		return 0, false
	}
	i := w.of.Index(row, col)
	if w.of.Outer[i] == 0 || w.pond[i] == 0 {
		return 0, false
	}
	level := w.level[w.pond[i]-1]
	return level, level > float64(w.of.Ground().Cells[i])
}

// Depth is the depth of water on a cell, going on below nothing just outside
// the water so that its edge can be found between cells: there it is the level
// of the water beside it less the ground. A void is dry.
func (w Water) Depth(row, col int) float64 {
	if len(w.level) == 0 {
		return Dry
	}
	z := float64(w.of.Ground().At(row, col))
	if z != z {
		return Dry
	}
	if level, wet := w.Level(row, col); wet {
		return level - z
	}
	beside := w.highest(row, col, 1)
	if z > beside || math.IsInf(beside, -1) {
		return max(beside-z, Dry)
	}
	return -0.001
}

// highest is the level of the highest water on any cell no more than so many
// away, m; −Inf for none.
func (w Water) highest(row, col, far int) float64 {
	best := math.Inf(-1)
	for r := max(row-far, 0); r <= min(row+far, w.of.Rows-1); r++ {
		for c := max(col-far, 0); c <= min(col+far, w.of.Cols-1); c++ {
			if level, wet := w.Level(r, c); wet && level > best {
				best = level
			}
		}
	}
	return best
}
