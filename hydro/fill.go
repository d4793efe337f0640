package hydro

import "wetfeet/terrain"

// Fill writes into dst the ground z with every hollow filled level to its
// lowest brim: the lowest surface, nowhere below z, from which each cell has
// a way to the rim or to a void that never climbs. Cells have eight
// neighbours. The rim of the grid and every cell beside a void let water out
// at their own level.
//
// No cell is lowered, voids stay voids, and filling twice is the same as
// filling once. −0 comes out as 0. Both grids must have the same frame, or
// Fill panics; dst may be z. The result does not depend on the number of
// processors.
//
// The ground is parted into basins, the basins are joined over their lowest
// saddles, and each fills to the highest saddle on its way out: see findBasins
// and lowestWays for whose work this is. It takes time in proportion to the
// cells. Memory is read in order, where a flood from the rim jumps about: one
// core took 20 ns a cell on 16 million cells of smooth lowland and 60 of noisy,
// a flood with a bucket queue 77 and 69. And it can use more cores. Beside the
// grids it asks for 4 bytes a cell on smooth and 18 on noisy ground.
func Fill(dst, z *terrain.Grid[float32]) {
	if dst.Frame != z.Frame {
		panic("hydro: Fill between grids of different frames")
	}
	b := findBasins(z, anyWay)
	brim := lowestWays(len(b.pits), b.saddles).levels()
	terrain.Bands(z.Rows, func(lo, hi int) {
		for i := lo * z.Cols; i < hi*z.Cols; i++ {
			v := z.Cells[i]
			if !terrain.IsVoid(v) {
				v = level(max(rank(v), brim[b.label[i]]))
			}
			dst.Cells[i] = v
		}
	})
}
