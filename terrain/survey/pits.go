package survey

import (
	"cmp"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A Pit is a depression of the surface that no shot lies in.
type Pit struct {
	Floor  orb.Point // middle of its lowest cell
	Depth  float64   // of the floor below where water would spill, m
	Error  float64   // one standard deviation of the surface at the floor, m
	Cells  int
	Volume float64 // m³
}

// Pits lists the depressions of a surface that were invented between the
// shots: deeper than its error at the floor, and with no shot in any of their
// cells. Such a hollow may be there, but nobody saw it. The deepest comes
// first, equals by cell.
//
// The fill raises a ground to where water would spill, each depression level
// with its brim, and leaves voids and all else as they are; both grids have
// the frame of the surface. It is an argument because what water does is not
// this package's matter. It panics on grids of different frames.
func Pits(z, sd *terrain.Grid[float32], shots []Shot, fill func(dst, z *terrain.Grid[float32])) []Pit {
	if z.Frame != sd.Frame {
		panic("survey: a surface and an error of different frames")
	}
	full := terrain.NewGrid[float32](z.Frame)
	fill(full, z)
	seen := make([]bool, z.Len())
	for _, s := range shots {
		if row, col, ok := z.Locate(s.Point); ok {
			seen[z.Index(row, col)] = true
		}
	}
	var pits []Pit
	var floors []int
	visited := make([]bool, z.Len())
	var stack []int
	for first := range z.Cells {
		if visited[first] || !(full.Cells[first] > z.Cells[first]) {
			continue
		}
		floor, cells, volume, held := first, 0, 0.0, false
		stack, visited[first] = append(stack[:0], first), true
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			cells++
			volume += float64(full.Cells[i]-z.Cells[i]) * z.CellArea()
			held = held || seen[i]
			if z.Cells[i] < z.Cells[floor] || z.Cells[i] == z.Cells[floor] && i < floor {
				floor = i
			}
			row, col := z.Cell(i)
			for r := row - 1; r <= row+1; r++ {
				for c := col - 1; c <= col+1; c++ {
					if !z.Holds(r, c) {
						continue
					}
					// Wet cells side by side with one brim are one depression.
					if j := z.Index(r, c); !visited[j] && full.Cells[j] > z.Cells[j] && full.Cells[j] == full.Cells[i] {
						visited[j] = true
						stack = append(stack, j)
					}
				}
			}
		}
		p := Pit{Floor: z.Centre(z.Cell(floor)), Depth: float64(full.Cells[floor] - z.Cells[floor]), Error: float64(sd.Cells[floor]), Cells: cells, Volume: volume}
		if !held && p.Depth > p.Error {
			pits, floors = append(pits, p), append(floors, floor)
		}
	}
	order := make([]int, len(pits))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(pits[b].Depth, pits[a].Depth), cmp.Compare(floors[a], floors[b]))
	})
	sorted := make([]Pit, len(pits))
	for k, i := range order {
		sorted[k] = pits[i]
	}
	return sorted
}
