package hydro

import "wetfeet/terrain"

// The neighbours of a cell are numbered in the order of their index,
//
//	0 1 2
//	3   4
//	5 6 7
//
// so that the lower number is the lower index in every tie, and the opposite
// of neighbour k is 7 − k.
var (
	rowStep = [8]int{-1, -1, -1, 0, 0, 1, 1, 1}
	colStep = [8]int{-1, 0, 1, -1, 1, -1, 0, 1}
)

const diagonals = 1<<0 | 1<<2 | 1<<5 | 1<<7

// isDiagonal reports whether neighbour k touches at a corner only.
func isDiagonal(k int) bool { return diagonals>>k&1 != 0 }

// offsets are the differences in index to the eight neighbours.
func offsets(f terrain.Frame) (d [8]int) {
	for k := range d {
		d[k] = rowStep[k]*f.Cols + colStep[k]
	}
	return d
}
