package assess

import (
	"slices"

	"wetfeet/terrain"
)

// percentiles ranks values among the known cells of a grid: for each, the
// share of cells below it plus half of those equal to it, 0 to 100.
//
// One pass over the cells with a search among the values is exact and needs
// no sorted copy of a grid that may hold sixteen million of them.
func percentiles(g *terrain.Grid[float32], values []float32) []float64 {
	steps := slices.Clone(values)
	slices.Sort(steps)
	steps = slices.Compact(steps)
	below := make([]int, len(steps)+1) // cells that lie between step i-1 and step i
	equal := make([]int, len(steps))
	known := 0
	for _, v := range g.Cells {
		if v != v {
			continue
		}
		known++
		i, found := slices.BinarySearch(steps, v)
		if found {
			equal[i]++
		} else {
			below[i]++
		}
	}
	rank := make(map[float32]float64, len(steps))
	sum := 0
	for i, s := range steps {
		sum += below[i]
		rank[s] = 100 * (float64(sum) + float64(equal[i])/2) / float64(max(known, 1))
		sum += equal[i]
	}
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = rank[v]
	}
	return out
}
