package contour

import (
	"fmt"
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A Line is one contour, with the higher ground on its left.
type Line struct {
	Level  float64        // m
	Closed bool           // a ring: the last point repeats the first
	Points orb.LineString // in the system of the grid, m
}

// A piece is the part of a contour in one square, from the side where it
// comes in to the side where it goes out.
type piece struct{ in, out int }

// Lines are the contours of z at the given levels, which must rise.
//
// Every point of a line lies between two neighbouring cell middles, one at or
// above the level and one below, where straight ground between them has the
// level. Neighbouring points of a line differ.
//
// Lines come by level. Those of one level come in the order in which the grid,
// read from north to south and west to east, first meets them, open ones
// before rings; a ring begins at the square where it is first met.
//
// Lines panics if levels do not rise.
func Lines(z *terrain.Grid[float32], levels []float64) []Line {
	for i := 1; i < len(levels); i++ {
		if !(levels[i] > levels[i-1]) {
			panic(fmt.Sprintf("contour: level %v follows %v", levels[i], levels[i-1]))
		}
	}
	var lines []Line
	for k, pieces := range march(z, levels) {
		lines = append(lines, join(z, levels[k], pieces)...)
	}
	return lines
}

// march finds the pieces of every level, each level in reading order of the
// squares.
//
// The number of levels at or below each middle is found once; a square is
// crossed by exactly the levels between the least and the most of its four.
func march(z *terrain.Grid[float32], levels []float64) [][]piece {
	pieces := make([][]piece, len(levels))
	if z.Rows < 2 || z.Cols < 2 || len(levels) == 0 {
		return pieces
	}
	above, below := make([]int32, z.Cols), make([]int32, z.Cols)
	rank(above, z.Row(0), levels)
	for r := range z.Rows - 1 {
		rank(below, z.Row(r+1), levels)
		for c := range z.Cols - 1 {
			nw, ne, sw, se := above[c], above[c+1], below[c], below[c+1]
			if nw == ne && nw == sw && nw == se {
				continue
			}
			lo, hi := min(nw, ne, sw, se), max(nw, ne, sw, se)
			if lo < 0 {
				continue // a void corner
			}
			for k := lo; k < hi; k++ {
				pieces[k] = cross(pieces[k], z, r, c, levels[k], nw > k, ne > k, sw > k, se > k)
			}
		}
		above, below = below, above
	}
	return pieces
}

// rank writes, for each elevation of a row, how many levels lie at or below
// it, and -1 for a void. Neighbours are alike, so the search starts from the
// last answer.
func rank(dst []int32, row []float32, levels []float64) {
	k := 0
	for c, v := range row {
		if v != v {
			dst[c] = -1
			continue
		}
		z := float64(v)
		for k < len(levels) && levels[k] <= z {
			k++
		}
		for k > 0 && levels[k-1] > z {
			k--
		}
		dst[c] = int32(k)
	}
}

// Sides are numbered over the whole grid: 2i runs east from the middle of cell
// i and 2i+1 south from it.

// cross adds the one or two pieces of a level in the square whose north-west
// middle is (r, c), high ground to the left.
func cross(to []piece, z *terrain.Grid[float32], r, c int, level float64, nw, ne, sw, se bool) []piece {
	i := z.Index(r, c)
	north, west := 2*i, 2*i+1
	south, east := 2*(i+z.Cols), 2*(i+1)+1
	corners := 0
	for k, high := range [...]bool{nw, ne, sw, se} {
		if high {
			corners |= 1 << k
		}
	}
	const NW, NE, SW, SE = 1, 2, 4, 8
	switch corners {
	case NW:
		return append(to, piece{west, north})
	case NE:
		return append(to, piece{north, east})
	case SW:
		return append(to, piece{south, west})
	case SE:
		return append(to, piece{east, south})
	case NW | NE:
		return append(to, piece{west, east})
	case SW | SE:
		return append(to, piece{east, west})
	case NW | SW:
		return append(to, piece{south, north})
	case NE | SE:
		return append(to, piece{north, south})
	case NE | SW | SE:
		return append(to, piece{north, west})
	case NW | SW | SE:
		return append(to, piece{east, north})
	case NW | NE | SE:
		return append(to, piece{west, south})
	case NW | NE | SW:
		return append(to, piece{south, east})
	}
	// A saddle.
	mean := (float64(z.At(r, c)) + float64(z.At(r, c+1)) + float64(z.At(r+1, c)) + float64(z.At(r+1, c+1))) / 4
	joined := mean >= level
	switch {
	case corners == NW|SE && joined:
		return append(to, piece{east, north}, piece{west, south})
	case corners == NW|SE:
		return append(to, piece{west, north}, piece{east, south})
	case joined: // NE and SW
		return append(to, piece{north, west}, piece{south, east})
	}
	return append(to, piece{north, east}, piece{south, west})
}

// join links the pieces of one level into lines. A side is the end of at most
// one piece and the beginning of at most one, because high ground is always
// to the left.
func join(z *terrain.Grid[float32], level float64, pieces []piece) []Line {
	startsAt := make(map[int]int, len(pieces)) // side to piece
	ends := make(map[int]bool, len(pieces))
	for i, p := range pieces {
		startsAt[p.in] = i
		ends[p.out] = true
	}
	var lines []Line
	used := make([]bool, len(pieces))
	follow := func(i int) {
		first := pieces[i].in
		points := orb.LineString{crossing(z, first, level)}
		closed := false
		for {
			used[i] = true
			side := pieces[i].out
			if p := crossing(z, side, level); p != points[len(points)-1] {
				points = append(points, p)
			}
			next, ok := startsAt[side]
			if !ok {
				break
			}
			if used[next] {
				closed = true
				break
			}
			i = next
		}
		// A summit exactly at the level is a ring of one point: no line.
		if len(points) < 2 || closed && len(points) < 4 {
			return
		}
		lines = append(lines, Line{level, closed, slices.Clip(points)})
	}
	for i, p := range pieces {
		if !ends[p.in] {
			follow(i)
		}
	}
	for i := range pieces {
		if !used[i] {
			follow(i)
		}
	}
	return lines
}

// crossing is where the straight ground along a side has the level. It is
// reckoned from the higher end whichever way the line runs, so that the lines
// on both sides of it meet to the last bit.
func crossing(z *terrain.Grid[float32], side int, level float64) orb.Point {
	i := side / 2
	j := i + 1
	if side%2 == 1 {
		j = i + z.Cols
	}
	high, low := float64(z.Cells[i]), float64(z.Cells[j])
	if high < low {
		i, j, high, low = j, i, low, high
	}
	t := (high - level) / (high - low)
	p, q := z.Centre(z.Cell(i)), z.Centre(z.Cell(j))
	return orb.Point{p[0] + float64(t*(q[0]-p[0])), p[1] + float64(t*(q[1]-p[1]))}
}
