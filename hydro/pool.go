package hydro

import "wetfeet/terrain"

import "math"

// spreadPools lets the wetness of a hollow's floor reach over all of the
// hollow. Where the flow keeps hollows it ends in their lowest cell, and an
// index of the flow alone calls that one cell wet and those around it, which
// stand under the same water, dry.
//
// The water of a full hollow covers every cell below its brim, so each of
// them is given the catchment of the hollow's wettest cell in the part that
// its depth is of the greatest depth, and keeps its own index where that is
// higher. The floor stays the wettest, and at the brim nothing changes.
//
// z is the ground the index was routed on.
func spreadPools(index, z *terrain.Grid[float32]) {
	filled := terrain.NewGrid[float32](z.Frame)
	Fill(filled, z)
	step := offsets(z.Frame)
	seen := make([]bool, len(z.Cells))
	var pool []int32
	for first := range z.Cells {
		if seen[first] || !(filled.Cells[first] > z.Cells[first]) {
			continue
		}
		level := filled.Cells[first]
		wettest, deepest := float32(math.Inf(-1)), float32(0)
		pool = append(pool[:0], int32(first))
		seen[first] = true
		for k := 0; k < len(pool); k++ {
			i := int(pool[k])
			wettest = max(wettest, index.Cells[i])
			deepest = max(deepest, level-z.Cells[i])
			// A cell under water is never on the rim, so it has all eight.
			for _, s := range step {
				if j := i + s; !seen[j] && filled.Cells[j] == level && level > z.Cells[j] {
					seen[j] = true
					pool = append(pool, int32(j))
				}
			}
		}
		for _, i := range pool {
			part := float64((level - z.Cells[i]) / deepest)
			index.Cells[i] = max(index.Cells[i], wettest+float32(math.Log(part)))
		}
	}
}
