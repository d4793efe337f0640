package hydro

import (
	"math"

	"wetfeet/terrain"
)

// spreadPools lets the wetness of a hollow's floor reach over all of the
// hollow. Where the flow keeps hollows it ends in their lowest cell, and an
// index of the flow alone calls that one cell wet and those around it, which
// stand under the same water, dry.
//
// The water of a full hollow covers every cell below its brim, so each of
// them is given the catchment of the hollow's wettest cell, in the part that
// its depth is of the greatest depth, and keeps its own index where that is
// higher. The wettest stays the wettest, and at the brim nothing changes.
//
// The hollows are those of the full detail of the ground, the depths those
// under their brim of z, the smoothed ground the index was routed on: its own
// hollows are too shallow where a bank narrower than the smoothing dams them.
func spreadPools(index, z *terrain.Grid[float32], h *Hollows) {
	wettest := make([]float32, len(h.All))
	deepest := make([]float32, len(h.All))
	for i := range wettest {
		wettest[i] = float32(math.Inf(-1))
	}
	depth := func(k, i int) float32 { return float32(h.All[k].Spill) - z.Cells[i] }
	for i, outer := range h.Outer {
		if k := int(outer) - 1; k >= 0 {
			wettest[k] = max(wettest[k], index.Cells[i])
			deepest[k] = max(deepest[k], depth(k, i))
		}
	}
	terrain.Bands(z.Rows, func(lo, hi int) {
		for i := lo * z.Cols; i < hi*z.Cols; i++ {
			k := int(h.Outer[i]) - 1
			if k < 0 {
				continue
			}
			if d := depth(k, i); d > 0 {
				part := math.Log(float64(d / deepest[k]))
				index.Cells[i] = max(index.Cells[i], wettest[k]+float32(part))
			}
		}
	})
}
