package hydro

import (
	"errors"
	"fmt"
	"iter"
	"math"

	"github.com/paulmach/orb"

	"wetfeet/terrain"
)

// A Ditch is a line of water someone drew: a ditch, a drain, the shore of a
// lake.
type Ditch struct {
	Name string // what the user calls it, for messages

	Line orb.LineString // in the frame's system

	// Level of its water, m, in the datum of the ground: one for all of the
	// line, or one for each of its points with straight falls between. None
	// leaves it to the ground.
	Level []float64
}

// Check says what is wrong with a ditch, all of it.
func (d Ditch) Check() error {
	var bad []error
	if len(d.Line) < 2 {
		bad = append(bad, fmt.Errorf("ditch %q has %d points and needs two or more", d.Name, len(d.Line)))
	}
	for i, p := range d.Line {
		if !isFinite(p[0]) || !isFinite(p[1]) {
			bad = append(bad, fmt.Errorf("ditch %q: point %d is at %g, %g, which is nowhere", d.Name, i+1, p[0], p[1]))
		}
	}
	if n := len(d.Level); n > 1 && n != len(d.Line) {
		bad = append(bad, fmt.Errorf("ditch %q has %d levels for %d points; give none, one, or one for each", d.Name, n, len(d.Line)))
	}
	for i, l := range d.Level {
		if !isFinite(l) {
			bad = append(bad, fmt.Errorf("ditch %q: level %d is %g and not a height in metres", d.Name, i+1, l))
		}
	}
	return errors.Join(bad...)
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// LevelAt is the level of the water so many metres along the line, NaN where
// it is left to the ground.
func (d Ditch) LevelAt(along float64) float64 {
	switch len(d.Level) {
	case 0:
		return math.NaN()
	case 1:
		return d.Level[0]
	}
	for i := range len(d.Line) - 1 {
		length := distance(d.Line[i], d.Line[i+1])
		if along <= length {
			if length == 0 {
				return d.Level[i]
			}
			t := max(0, along/length)
			return float64((1-t)*d.Level[i]) + float64(t*d.Level[i+1])
		}
		along -= length
	}
	return d.Level[len(d.Level)-1]
}

// A Stretch is a part of a line, in metres along it.
type Stretch struct{ From, To float64 }

// Middle is half way along the stretch.
func (s Stretch) Middle() float64 { return (s.From + s.To) / 2 }

// Length is how long the stretch is, m.
func (s Stretch) Length() float64 { return s.To - s.From }

// Crossed yields the cells that a line runs through, in order along it, each
// with the part of the line that lies in it. A cell comes again where the line
// comes back to it, and at every bend within it. Two cells in a row share a
// side, so that no path of eight neighbours slips through the line: a corner
// that is met exactly is passed by the column first, over a stretch of no
// length. What lies beyond the grid is left out.
//
//	Amanatides, J., Woo, A. (1987). A fast voxel traversal algorithm for ray
//	tracing. Eurographics 87, 3–10.
func Crossed(f terrain.Frame, line orb.LineString) iter.Seq2[int, Stretch] {
	return func(yield func(int, Stretch) bool) {
		begin := 0.0
		for i := range len(line) - 1 {
			length := distance(line[i], line[i+1])
			if !crossSegment(f, line[i], line[i+1], begin, length, yield) {
				return
			}
			begin += length
		}
	}
}

// crossSegment is Crossed for one straight part of a line that begins so many
// metres along it.
func crossSegment(f terrain.Frame, a, b orb.Point, begin, length float64, yield func(int, Stretch) bool) bool {
	// In cells from the north-west corner, columns and rows.
	x, y := (a[0]-f.West)/f.CellSize, (f.North-a[1])/f.CellSize
	dx, dy := (b[0]-a[0])/f.CellSize, (a[1]-b[1])/f.CellSize

	// Only what lies on the grid is walked, however far the line goes.
	t0, t1 := 0.0, 1.0
	for _, side := range [4][2]float64{{-dx, x}, {dx, float64(f.Cols) - x}, {-dy, y}, {dy, float64(f.Rows) - y}} {
		switch p, q := side[0], side[1]; {
		case p == 0 && q < 0:
			return true
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	if !(t0 <= t1) {
		return true
	}

	col := min(max(int(math.Floor(x+float64(t0*dx))), 0), f.Cols-1)
	row := min(max(int(math.Floor(y+float64(t0*dy))), 0), f.Rows-1)
	// nextX and nextY are where the line crosses into the next column and row.
	crossing := func(cell int, from, by float64) float64 {
		switch {
		case by > 0:
			return (float64(cell+1) - from) / by
		case by < 0:
			return (float64(cell) - from) / by
		}
		return math.Inf(1)
	}
	for t := t0; ; {
		nextX, nextY := crossing(col, x, dx), crossing(row, y, dy)
		next := max(t, min(nextX, nextY, t1))
		s := Stretch{From: begin + float64(t*length), To: begin + float64(next*length)}
		if !yield(f.Index(row, col), s) {
			return false
		}
		if min(nextX, nextY) >= t1 {
			return true
		}
		if nextX <= nextY {
			col += sign(dx)
		} else {
			row += sign(dy)
		}
		if !f.Holds(row, col) {
			return true
		}
		t = next
	}
}

func sign(v float64) int {
	if v < 0 {
		return -1
	}
	return 1
}

func distance(a, b orb.Point) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }
