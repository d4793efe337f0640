package fieldsheet

import (
	"math"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/assess"

	"github.com/paulmach/orb"
)

// Squares are a grid to find one's place by: letters to the east, numbers to
// the south. Its lines are whole multiples of the side of a square in the
// system of the ground.
type squares struct {
	west, north float64 // of the first square, m
	side        float64 // m
	cols, rows  int
	letters     []string
}

// squaresOver cover a part of the ground with squares of a side, m.
func squaresOver(b orb.Bound, side float64, rows []assess.Row) squares {
	q := squares{side: side, west: math.Floor(b.Min[0]/side) * side, north: math.Ceil(b.Max[1]/side) * side}
	q.cols = max(1, int(math.Ceil((b.Max[0]-q.west)/side-1e-9)))
	q.rows = max(1, int(math.Ceil((q.north-b.Min[1])/side-1e-9)))
	q.letters = alphabet(rows)
	return q
}

// alphabet are the letters for squares: without I and O, which look like
// figures, and without those that name a row, unless hardly any are left.
func alphabet(rows []assess.Row) []string {
	taken := make(map[string]bool)
	for _, r := range rows {
		taken[strings.ToUpper(r.Name)] = true
	}
	var all, free []string
	for _, c := range "ABCDEFGHJKLMNPQRSTUVWXYZ" {
		all = append(all, string(c))
		if !taken[string(c)] {
			free = append(free, string(c))
		}
	}
	if len(free) < 4 {
		return all
	}
	return free
}

// letter is that of a column; after the last letter they go on in pairs.
func (q squares) letter(col int) string {
	n := len(q.letters)
	if col < n {
		return q.letters[col]
	}
	return q.letter(col/n-1) + q.letters[col%n]
}

// cell is the column and row of the square a point lies in; it may lie off the
// grid.
func (q squares) cell(p orb.Point) (col, row int) {
	return int(math.Floor((p[0] - q.west) / q.side)), int(math.Floor((q.north - p[1]) / q.side))
}

// name is the square a point lies in, empty where it lies off them.
func (q squares) name(p orb.Point) string {
	if !(math.Abs(p[0]-q.west) < 1e9 && math.Abs(p[1]-q.north) < 1e9) {
		return ""
	}
	col, row := q.cell(p)
	if col < 0 || row < 0 || col >= q.cols || row >= q.rows {
		return ""
	}
	return q.letter(col) + strconv.Itoa(row+1)
}

// corner is the south-west corner of a square.
func (q squares) corner(col, row int) orb.Point {
	return orb.Point{q.west + float64(col)*q.side, q.north - float64(row+1)*q.side}
}
