package terrain

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// A Frame says where a grid lies: how many cells, how large, and where the
// first one is. Frames are compared with ==.
type Frame struct {
	Rows, Cols int

	// West and North are the outer corner of the north-west cell, metres.
	West, North float64

	// CellSize is the side of a cell, metres.
	CellSize float64

	// CRS names the coordinate system: an authority code such as
	// "EPSG:32614", or its WKT where it has no code. Empty is a local system
	// of metres.
	CRS string
}

// Len is the number of cells.
func (f Frame) Len() int { return f.Rows * f.Cols }

// Index is the place of a cell in the Cells of a grid of this frame.
func (f Frame) Index(row, col int) int { return row*f.Cols + col }

// Cell is the row and column of the cell at index i.
func (f Frame) Cell(i int) (row, col int) { return i / f.Cols, i % f.Cols }

// Holds reports whether a row and column lie on the grid.
func (f Frame) Holds(row, col int) bool {
	return row >= 0 && row < f.Rows && col >= 0 && col < f.Cols
}

// CellArea is the area of one cell, m².
func (f Frame) CellArea() float64 { return f.CellSize * f.CellSize }

// Centre is the middle of a cell, metres in the frame's system.
func (f Frame) Centre(row, col int) orb.Point {
	return orb.Point{
		f.West + (float64(col)+0.5)*f.CellSize,
		f.North - (float64(row)+0.5)*f.CellSize,
	}
}

// onRim is how far beyond the outer rim a point still lies on it, m. A corner
// of the ground written in longitude and latitude to seven decimals, as
// positions are, comes back up to 0.8 cm away, half of the last of them in
// both at the equator; 2 cm leaves room for the projection. No tree is planted
// to that.
const onRim = 0.02

// Locate is the cell that holds a point, and whether there is one. A point on
// the line between two cells belongs to the eastern and the southern one,
// except on the outer eastern and southern rim, which belong to the last. A
// point within 2 cm beyond the outer rim, but no further than half a cell,
// belongs to the nearest cell.
func (f Frame) Locate(p orb.Point) (row, col int, ok bool) {
	x := (p[0] - f.West) / f.CellSize
	y := (f.North - p[1]) / f.CellSize
	slack := min(onRim/f.CellSize, 0.5)
	if !(x >= -slack && x <= float64(f.Cols)+slack && y >= -slack && y <= float64(f.Rows)+slack) {
		return 0, 0, false
	}
	// A part of a cell short of the first is cut to 0.
	return min(int(y), f.Rows-1), min(int(x), f.Cols-1), f.Len() > 0
}

// Bound is the outer rim of the grid, metres in the frame's system.
func (f Frame) Bound() orb.Bound {
	return orb.Bound{
		Min: orb.Point{f.West, f.North - float64(f.Rows)*f.CellSize},
		Max: orb.Point{f.West + float64(f.Cols)*f.CellSize, f.North},
	}
}

// A Grid holds one T for every cell of its Frame.
//
// Elevations are a Grid[float32]; basin labels a Grid[int32]. Numbers use NaN
// for cells nobody measured.
type Grid[T any] struct {
	Frame
	Cells []T // (row, col) is Cells[row*Cols+col]
}

// NewGrid is a grid of zero values on a frame. It panics on a frame with
// fewer than no cells; a frame that came from a file is checked where the
// file is read.
func NewGrid[T any](f Frame) *Grid[T] {
	if f.Rows < 0 || f.Cols < 0 {
		panic(fmt.Sprintf("terrain: grid of %d rows and %d columns", f.Rows, f.Cols))
	}
	return &Grid[T]{Frame: f, Cells: make([]T, f.Len())}
}

// At is the value of one cell.
func (g *Grid[T]) At(row, col int) T { return g.Cells[row*g.Cols+col] }

// Set changes the value of one cell.
func (g *Grid[T]) Set(row, col int, v T) { g.Cells[row*g.Cols+col] = v }

// Row is one row of cells, sharing storage with g.
func (g *Grid[T]) Row(row int) []T {
	i := row * g.Cols
	return g.Cells[i : i+g.Cols : i+g.Cols]
}

// IsVoid reports whether an elevation is unknown.
func IsVoid(z float32) bool { return z != z }

// Void is the elevation of a cell nobody measured.
func Void() float32 { return float32(math.NaN()) }

// KnownSpan is the first and last column of a row of elevations that is not
// void; ok is false of a row of voids.
func KnownSpan(row []float32) (first, last int, ok bool) {
	for first < len(row) && IsVoid(row[first]) {
		first++
	}
	last = len(row) - 1
	for last > first && IsVoid(row[last]) {
		last--
	}
	return first, last, first < len(row)
}

// Known counts the cells of z that hold an elevation.
func Known(z *Grid[float32]) int {
	n := 0
	for _, v := range z.Cells {
		if v == v {
			n++
		}
	}
	return n
}

// AtPoint is the value of the cell that holds a point, and whether it holds
// one and is known.
func AtPoint(g *Grid[float32], p orb.Point) (float32, bool) {
	row, col, ok := g.Locate(p)
	if !ok {
		return Void(), false
	}
	v := g.At(row, col)
	return v, v == v
}
