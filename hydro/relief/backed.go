package relief

import (
	"cmp"
	"slices"

	"wetfeet/terrain"
)

// A Stage is water on a ground, both in metres: where it is dry, the level of
// the water is that of the ground.
type Stage struct{ Ground, Water *terrain.Grid[float32] }

// Backed is water that stands higher than before the ground was changed: what
// a mound or a bank dams up.
type Backed struct {
	Cell   int     // where it rose most
	Depth  float64 // more than before there, m
	Area   float64 // where it rose, m²
	Volume float64 // more than before, m³

	Cells []int32 // where it rose, ascending
}

// Backwater compares the water of two stages of one site and lists what stands
// higher after by more than so much, m, beside the ground that was itself
// raised: cells that touch together, the most water first. It panics on stages
// that differ in frame.
func Backwater(before, after Stage, least float64) []Backed {
	f := before.Ground.Frame
	if f != before.Water.Frame || f != after.Ground.Frame || f != after.Water.Frame {
		panic("relief: the two stages lie on different grids")
	}
	rise := func(i int) float64 {
		if after.Ground.Cells[i] != before.Ground.Cells[i] {
			return 0
		}
		return float64(after.Water.Cells[i]) - float64(before.Water.Cells[i])
	}
	seen := make([]bool, f.Len())
	var all []Backed
	for first := range seen {
		if seen[first] || !(rise(first) > least) {
			continue
		}
		b := Backed{Cells: []int32{int32(first)}}
		seen[first] = true
		for n := 0; n < len(b.Cells); n++ {
			i := int(b.Cells[n])
			row, col := before.Ground.Cell(i)
			for r := max(0, row-1); r <= min(f.Rows-1, row+1); r++ {
				for c := max(0, col-1); c <= min(f.Cols-1, col+1); c++ {
					if j := f.Index(r, c); !seen[j] && rise(j) > least {
						seen[j] = true
						b.Cells = append(b.Cells, int32(j))
					}
				}
			}
		}
		slices.Sort(b.Cells)
		for _, i := range b.Cells {
			up := rise(int(i))
			if up > b.Depth {
				b.Cell, b.Depth = int(i), up
			}
			b.Volume += up * f.CellArea()
		}
		b.Area = float64(len(b.Cells)) * f.CellArea()
		all = append(all, b)
	}
	slices.SortFunc(all, func(a, b Backed) int { return cmp.Or(cmp.Compare(b.Volume, a.Volume), cmp.Compare(a.Cell, b.Cell)) })
	return all
}
