package terrain

import (
	"fmt"
	"math"
)

// Slope writes the steepness of z into dst, rise over run.
//
// It weighs the direct neighbours twice as much as the diagonal ones, after
//
//	Horn, B.K.P. (1981). Hill shading and the reflectance map. Proceedings
//	of the IEEE 69(1), 14–47.
//
// Where a neighbour is missing, beyond the rim or void, the ground is taken
// to run straight on: the missing elevation is twice the centre less the one
// opposite. A diagonal neighbour whose opposite is missing too lies on the
// plane through the direct ones, and a direct one is then level with the
// centre. So a plane has its own slope up to the rim and in the corners, as
// long as one neighbour each way is known. A void has no slope: NaN.
//
// Dst must not be z. It panics when the two differ in rows or columns.
func Slope(dst, z *Grid[float32]) {
	if dst.Rows != z.Rows || dst.Cols != z.Cols {
		panic(fmt.Sprintf("terrain: slope of %d×%d cells into %d×%d", z.Rows, z.Cols, dst.Rows, dst.Cols))
	}
	perEight := 1 / (8 * z.CellSize)
	Bands(z.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			out := dst.Row(r)
			if r > 0 && r < z.Rows-1 {
				slopeRow(out, z.Row(r-1), z.Row(r), z.Row(r+1), perEight)
				// What the loop could not reach or a void has spoilt.
				mid := z.Row(r)
				for c, v := range out {
					if c == 0 || c == len(out)-1 || v != v && mid[c] == mid[c] {
						out[c] = slopeAtRim(z, r, c, perEight)
					}
				}
				continue
			}
			for c := range out {
				out[c] = slopeAtRim(z, r, c, perEight)
			}
		}
	})
}

// slopeRow is Horn's formula for the cells of one row that have all eight
// neighbours. Differences of float32 are taken in float64, where they are
// exact: at 500 m a float32 step is a fifth of the drop of a 1 m cell on a
// slope of 1 in 5000.
func slopeRow(out, north, mid, south []float32, perEight float64) {
	north, mid, south = north[:len(out)], mid[:len(out)], south[:len(out)]
	for c := 1; c < len(out)-1; c++ {
		nw, n, ne := float64(north[c-1]), float64(north[c]), float64(north[c+1])
		w, e := float64(mid[c-1]), float64(mid[c+1])
		sw, s, se := float64(south[c-1]), float64(south[c]), float64(south[c+1])
		dx := (ne - nw) + 2*(e-w) + (se - sw)
		dy := (nw - sw) + 2*(n-s) + (ne - se)
		// The middle takes no part in the formula, yet a void has no slope.
		out[c] = float32(steepness(dx, dy)*perEight) + (mid[c] - mid[c])
	}
}

// steepness rounds each square before they meet, so that processors that can
// fuse the two steps agree with those that cannot.
func steepness(dx, dy float64) float64 {
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// slopeAtRim is Horn's formula for a cell that lacks neighbours.
func slopeAtRim(z *Grid[float32], r, c int, perEight float64) float32 {
	centre := float64(z.At(r, c))
	if centre != centre {
		return Void()
	}
	known := func(dr, dc int) (float64, bool) {
		if !z.Holds(r+dr, c+dc) {
			return 0, false
		}
		v := float64(z.At(r+dr, c+dc))
		return v, v == v
	}
	// across is the rise from the far cell through the centre to the near
	// one, and whether either is known.
	across := func(dr, dc int) (float64, bool) {
		a, okA := known(dr, dc)
		b, okB := known(-dr, -dc)
		switch {
		case okA && okB:
			return a - b, true
		case okA:
			return 2 * (a - centre), true
		case okB:
			return 2 * (centre - b), true
		}
		return 0, false
	}
	x, _ := across(0, 1)
	y, _ := across(-1, 0)
	rising, ok := across(-1, 1) // towards the north-east
	if !ok {
		rising = x + y
	}
	falling, ok := across(1, 1) // towards the south-east
	if !ok {
		falling = x - y
	}
	dx := rising + 2*x + falling
	dy := rising + 2*y - falling
	return float32(steepness(dx, dy) * perEight)
}
