package brim

import (
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A Profile is the ground and the water along a line.
type Profile struct {
	Along  []float64   // distance from the line's start, m
	Ground []float64   // in full detail, m; NaN off the ground
	Soft   []float64   // over Soften, m; NaN off the ground
	Levels [][]float64 // of each water asked for, m; NaN where it is dry by the rule
}

// Along samples a line: at(s) is the point at a distance s from its start.
// There are n samples, the first at from and the last at to; n is at least 2.
// All waters are over the ground of d.
func Along(d *hydro.Drainage, at func(float64) orb.Point, from, to float64, n int, waters ...Water) Profile {
	p := Profile{Along: make([]float64, n), Ground: make([]float64, n), Soft: make([]float64, n), Levels: make([][]float64, len(waters))}
	for i := range n {
		p.Along[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	for k := range p.Levels {
		p.Levels[k] = make([]float64, n)
	}
	// Patches along the line, so that a row across a wide site costs its
	// length and not the site.
	const most = 64 // cells
	for lo := 0; lo < n; {
		hi := lo + 1
		for hi < n && p.Along[hi]-p.Along[lo] <= most*d.Ground.CellSize {
			hi++
		}
		p.fill(d, at, lo, hi, waters)
		lo = hi
	}
	return p
}

// fill samples between two indices, through one patch of smoothed ground.
func (p *Profile) fill(d *hydro.Drainage, at func(float64) orb.Point, lo, hi int, waters []Water) {
	points := make(orb.MultiPoint, 0, hi-lo)
	for i := lo; i < hi; i++ {
		points = append(points, at(p.Along[i]))
	}
	known := make([]bool, len(points))
	cells := make([][2]int, len(points))
	for i, q := range points {
		p.Ground[lo+i], p.Soft[lo+i] = math.NaN(), math.NaN()
		row, col, ok := d.Ground.Locate(q)
		if !ok || terrain.IsVoid(d.Ground.At(row, col)) {
			continue
		}
		known[i], cells[i] = true, [2]int{row, col}
		p.Ground[lo+i] = float64(d.Ground.At(row, col))
	}
	patch := patchOf(d.Ground.Frame, points.Bound())
	ground := patch.smoothed(d, func(row, col int) float64 { return float64(d.Ground.At(row, col)) })
	for i := range points {
		if known[i] {
			p.Soft[lo+i] = between(ground, points[i], cells[i][0]-patch.row, cells[i][1]-patch.col)
		}
	}
	for k, w := range waters {
		depth := patch.smoothed(d, w.Depth)
		for i := range points {
			p.Levels[k][lo+i] = math.NaN()
			if known[i] && between(depth, points[i], cells[i][0]-patch.row, cells[i][1]-patch.col) > 0 {
				p.Levels[k][lo+i] = w.near(cells[i][0], cells[i][1])
			}
		}
	}
}

// near is the level of the water that a place is drawn in, m: that on its cell
// or else the highest within a few cells, NaN for none.
func (w Water) near(row, col int) float64 {
	const far = 4 // cells
	if level, wet := w.Level(row, col); wet {
		return level
	}
	if level := w.highest(row, col, far); !math.IsInf(level, -1) {
		return level
	}
	return math.NaN()
}

// A patch is a part of the site.
type patch struct {
	terrain.Frame
	row, col int // of the site, its first cell
}

// patchOf is the cells of f within a bound and as far around it as smoothing
// looks.
func patchOf(f terrain.Frame, b orb.Bound) patch {
	row0 := max(int(math.Floor((f.North-b.Max[1])/f.CellSize))-Reach, 0)
	col0 := max(int(math.Floor((b.Min[0]-f.West)/f.CellSize))-Reach, 0)
	row1 := min(int(math.Ceil((f.North-b.Min[1])/f.CellSize))+Reach, f.Rows)
	col1 := min(int(math.Ceil((b.Max[0]-f.West)/f.CellSize))+Reach, f.Cols)
	return patch{terrain.Frame{
		Rows: max(row1-row0, 0), Cols: max(col1-col0, 0), CellSize: f.CellSize, CRS: f.CRS,
		West: f.West + float64(col0)*f.CellSize, North: f.North - float64(row0)*f.CellSize,
	}, row0, col0}
}

// smoothed is a value of the cells of the patch, by their place on the site,
// over Soften.
func (p patch) smoothed(d *hydro.Drainage, value func(row, col int) float64) *terrain.Grid[float32] {
	raw, out := terrain.NewGrid[float32](p.Frame), terrain.NewGrid[float32](p.Frame)
	for r := range p.Rows {
		for c := range p.Cols {
			raw.Set(r, c, float32(value(p.row+r, p.col+c)))
		}
	}
	terrain.Smooth(out, raw, Soften(d))
	return out
}

// between is the value at a point in a cell, taken linearly between the middles
// of the four cells around it, or that of the cell where one of them is void.
func between(z *terrain.Grid[float32], q orb.Point, row, col int) float64 {
	x, y := (q[0]-z.West)/z.CellSize-0.5, (z.North-q[1])/z.CellSize-0.5
	r, c := min(max(int(math.Floor(y)), 0), z.Rows-1), min(max(int(math.Floor(x)), 0), z.Cols-1)
	r1, c1 := min(r+1, z.Rows-1), min(c+1, z.Cols-1)
	s, t := min(max(x-float64(c), 0), 1), min(max(y-float64(r), 0), 1)
	above := (1-s)*float64(z.At(r, c)) + s*float64(z.At(r, c1))
	below := (1-s)*float64(z.At(r1, c)) + s*float64(z.At(r1, c1))
	if v := (1-t)*above + t*below; v == v {
		return v
	}
	return float64(z.At(row, col))
}
