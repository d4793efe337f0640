package relief

import (
	"cmp"
	"slices"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// Backed is water that stands, when all hollows are full, where it did not
// before the ground was changed: what a mound or a bank dams up.
type Backed struct {
	Cell   int     // where it is deepest
	Depth  float64 // more than before there, m
	Area   float64 // m²
	Volume float64 // more than before, m³
}

// Backwater compares two states of a ground, hollows filled, and lists what
// stands higher after by more than so much, m, beside the ground that was
// itself raised: by the hollow it is in, largest first. It panics on grids
// that differ in frame.
func Backwater(before, after *terrain.Grid[float32], least float64) []Backed {
	if before.Frame != after.Frame {
		panic("relief: the two grounds lie on different grids")
	}
	was, is := terrain.NewGrid[float32](before.Frame), terrain.NewGrid[float32](before.Frame)
	hydro.Fill(was, before)
	hydro.Fill(is, after)
	var hollows *hydro.Hollows
	at := map[int32]int{}
	var all []Backed
	for i := range is.Cells {
		rise := float64(is.Cells[i]) - float64(was.Cells[i])
		if !(rise > least) || after.Cells[i] != before.Cells[i] {
			continue
		}
		if hollows == nil {
			hollows = hydro.FindHollows(after)
		}
		outer := hollows.Outer[i]
		k, ok := at[outer]
		if !ok {
			k = len(all)
			at[outer] = k
			all = append(all, Backed{})
		}
		b := &all[k]
		if rise > b.Depth {
			b.Cell, b.Depth = i, rise
		}
		b.Area += before.CellArea()
		b.Volume += rise * before.CellArea()
	}
	slices.SortFunc(all, func(a, b Backed) int { return cmp.Or(cmp.Compare(b.Volume, a.Volume), cmp.Compare(a.Cell, b.Cell)) })
	return all
}
