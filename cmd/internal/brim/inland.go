package brim

import (
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// rim is how many cells from the end of the known ground a flow line stops.
// Water leaves all along there, and a line that follows it says nothing.
const rim = 3

// Inland reports whether all ground within three cells of a point is known, as
// far as its eight neighbours so far off tell: there flow lines are drawn.
func Inland(g *terrain.Grid[float32], at orb.Point) bool {
	row, col, ok := g.Locate(at)
	if !ok {
		return false
	}
	for r := row - rim; r <= row+rim; r += rim {
		for c := col - rim; c <= col+rim; c += rim {
			if !g.Holds(r, c) || terrain.IsVoid(g.At(r, c)) {
				return false
			}
		}
	}
	return true
}
