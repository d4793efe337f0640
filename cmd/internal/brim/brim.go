// Package brim says where water is drawn when every hollow is full.
//
// # Model
//
// Map and section share one rule. A place is wet where the spill level of the
// hollow it lies in stands above the ground, both taken over [Soften] around
// it: the noise of single cells would else fray the water's edge and lay films
// where none stand. Verdicts on trees do not use it; they read the grids.
//
// # Units
//
// Metres.
package brim

import (
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Soften is the standard deviation over which depths of water are smoothed for
// drawing, m: as far as the noise of the ground asks for and two cells at
// most. That takes six parts in seven off noise from cell to cell, which would
// make the water's edge ragged, and leaves the depth of a hollow ten cells
// wide nearly as it is; the ground smoothed for contours can be too smooth for
// that.
func Soften(d *hydro.Drainage) float64 { return min(d.Smooth, 2*d.Ground.CellSize) }

// Reach is how many cells around a window its smoothing looks at.
const Reach = 9

// Dry stands for the depth of water, m, on ground away from any hollow.
const Dry = -0.02

// Depth is the depth of water on a cell when every hollow is full, going on
// below nothing just outside a hollow so that the edge of the water can be
// found between cells: on banks and islands it is the spill level less the
// ground, and just less than nothing where the ground falls away outside.
func Depth(d *hydro.Drainage, row, col int) float64 {
	h := d.Hollows
	if h == nil || len(h.All) == 0 {
		return Dry
	}
	i := h.Index(row, col)
	z := float64(d.Ground.Cells[i])
	if k := h.Outer[i]; k != 0 {
		return h.All[k-1].Spill - z
	}
	spill := math.Inf(-1)
	if k := nearby(h, row, col, 1); k != 0 {
		spill = h.All[k-1].Spill
	}
	if z > spill { // also where there is no hollow near
		return max(spill-z, Dry)
	}
	return -0.001
}

// nearby is one more than the index of the hollow with the highest spill level
// that covers a cell no more than so many away, 0 for none.
func nearby(h *hydro.Hollows, row, col, far int) int32 {
	var best int32
	for r := max(row-far, 0); r <= min(row+far, h.Rows-1); r++ {
		for c := max(col-far, 0); c <= min(col+far, h.Cols-1); c++ {
			if k := h.Outer[h.Index(r, c)]; k != 0 && (best == 0 || h.All[k-1].Spill > h.All[best-1].Spill) {
				best = k
			}
		}
	}
	return best
}

// A Profile is the ground and the water along a line.
type Profile struct {
	Along  []float64 // distance from the line's start, m
	Ground []float64 // in full detail, m; NaN off the ground
	Soft   []float64 // over Soften, m; NaN off the ground
	Level  []float64 // of the water, m; NaN where it is dry by the rule
}

// Along samples a line: at(s) is the point at a distance s from its start.
// There are n samples, the first at from and the last at to; n is at least 2.
func Along(d *hydro.Drainage, at func(float64) orb.Point, from, to float64, n int) Profile {
	p := Profile{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range n {
		p.Along[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	// Patches along the line, so that a row across a wide site costs its
	// length and not the site.
	const most = 64 // cells
	for lo := 0; lo < n; {
		hi := lo + 1
		for hi < n && p.Along[hi]-p.Along[lo] <= most*d.Ground.CellSize {
			hi++
		}
		p.fill(d, at, lo, hi)
		lo = hi
	}
	return p
}

// fill samples between two indices, through one patch of smoothed ground.
func (p *Profile) fill(d *hydro.Drainage, at func(float64) orb.Point, lo, hi int) {
	points := make(orb.MultiPoint, 0, hi-lo)
	for i := lo; i < hi; i++ {
		points = append(points, at(p.Along[i]))
	}
	ground, water, row0, col0 := patch(d, points.Bound())
	for i := lo; i < hi; i++ {
		p.Ground[i], p.Soft[i], p.Level[i] = math.NaN(), math.NaN(), math.NaN()
		row, col, ok := d.Ground.Locate(points[i-lo])
		if !ok || terrain.IsVoid(d.Ground.At(row, col)) {
			continue
		}
		p.Ground[i] = float64(d.Ground.At(row, col))
		p.Soft[i] = between(ground, points[i-lo], row-row0, col-col0)
		if between(water, points[i-lo], row-row0, col-col0) > 0 {
			if k := nearby(d.Hollows, row, col, 4); k != 0 {
				p.Level[i] = d.Hollows.All[k-1].Spill
				if own := d.Hollows.Outer[d.Ground.Index(row, col)]; own != 0 {
					p.Level[i] = d.Hollows.All[own-1].Spill
				}
			}
		}
	}
}

// patch is the ground and the depth of water within a bound, both smoothed,
// and the row and column of the site its first cell is.
func patch(d *hydro.Drainage, b orb.Bound) (ground, water *terrain.Grid[float32], row0, col0 int) {
	f := d.Ground.Frame
	row0 = max(int(math.Floor((f.North-b.Max[1])/f.CellSize))-Reach, 0)
	col0 = max(int(math.Floor((b.Min[0]-f.West)/f.CellSize))-Reach, 0)
	row1 := min(int(math.Ceil((f.North-b.Min[1])/f.CellSize))+Reach, f.Rows)
	col1 := min(int(math.Ceil((b.Max[0]-f.West)/f.CellSize))+Reach, f.Cols)
	g := terrain.Frame{
		Rows: max(row1-row0, 0), Cols: max(col1-col0, 0), CellSize: f.CellSize, CRS: f.CRS,
		West: f.West + float64(col0)*f.CellSize, North: f.North - float64(row0)*f.CellSize,
	}
	rawGround, rawWater := terrain.NewGrid[float32](g), terrain.NewGrid[float32](g)
	for r := range g.Rows {
		for c := range g.Cols {
			z := d.Ground.At(row0+r, col0+c)
			rawGround.Set(r, c, z)
			rawWater.Set(r, c, Dry)
			if !terrain.IsVoid(z) {
				rawWater.Set(r, c, float32(Depth(d, row0+r, col0+c)))
			}
		}
	}
	ground, water = terrain.NewGrid[float32](g), terrain.NewGrid[float32](g)
	terrain.Smooth(ground, rawGround, Soften(d))
	terrain.Smooth(water, rawWater, Soften(d))
	return ground, water, row0, col0
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
