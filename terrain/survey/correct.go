package survey

import (
	"fmt"
	"math"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// CorrectOptions adjusts Correct. The zero value is the common case.
type CorrectOptions struct {
	Kernel Kernel

	// Lines are what the correction does not smooth across. Where they have
	// heights the corrected raster takes them.
	Lines []Breakline

	// Outline is where ground is kept: inside any of these rings. None is
	// everywhere. Inside Holes all is void.
	Outline, Holes []orb.Ring

	// Error is one standard deviation of the shots that state none, m. Zero
	// fits it to what the shots read above or below the raster: then it holds
	// the raster's own noise from cell to cell as well.
	Error float64

	// RasterError is one standard deviation of the raster's noise from cell to
	// cell, m. It is not corrected, as every cell has its own: it is added to
	// the error of what is compared, and to that of the answer.
	RasterError float64

	// Margin is how far outside the convex hull of the shots the correction is
	// trusted in full, m. Zero is their spacing.
	Margin float64

	// Fade is over how far beyond the margin it gives way to the plain shift,
	// m. Zero is the distance at which likeness has all but gone, but no less
	// than one and no more than four spacings of the shots.
	Fade float64
}

// A Correction is a raster brought to a grower's own shots.
type Correction struct {
	Ground *terrain.Grid[float32] // the raster, corrected
	Error  *terrain.Grid[float32] // one standard deviation, m

	// Shift is what the raster is too low by as a whole, m, mostly a difference
	// of datum, and ShiftError its standard deviation.
	Shift, ShiftError float64

	Model   *Model // of what the shots read above the raster, trend constant
	Used    []int  // the shots that lie on the raster, of those given
	Remarks []string
}

// Correct brings a raster to shots in its own system, m: a lidar tile is
// right about the neighbourhood and wrong in the bed, a level the other way
// round.
//
// What the shots read above the raster, between the middles of its cells by
// bilinear interpolation, is taken for a constant shift and a random surface
// about it. The shift is the mean by generalised least squares, with the
// error that the shots' likeness to each other leaves it; it is put to the
// whole raster. Near the shots the kriged surface is added to it, so that the
// ground passes by the shots within their error, and the error falls to
// theirs. Beyond the margin that gives way, smoothly, to the shift alone: with
// a weight w left of the surface, the error is that of an estimate shrunk by
// w, whose variance is V∞ - (2w - w²)(V∞ - V) between kriging's V and V∞ far
// from all shots. There are no steps.
//
// The shots may lie in a line. Fewer than three on the raster, or all at one
// place, are ErrInput.
func Correct(raster *terrain.Grid[float32], shots []Shot, o CorrectOptions) (*Correction, error) {
	c := &Correction{}
	var apart []Shot
	for i, s := range shots {
		z, ok := bilinear(raster, s.Point)
		if !ok {
			continue
		}
		c.Used = append(c.Used, i)
		s.Z -= z
		if e := s.errorOr(o.Error); e > 0 {
			s.Error = math.Hypot(e, o.RasterError)
		}
		apart = append(apart, s)
	}
	if off := len(shots) - len(apart); off > 0 {
		c.Remarks = append(c.Remarks, fmt.Sprintf("%d of %d shots lie off the raster or on cells nobody measured, and were not used", off, len(shots)))
	}
	if len(apart) < 3 {
		return nil, faultf("%d of %d shots lie on the raster; at least 3 are needed to correct it", len(apart), len(shots))
	}
	apart, _ = steadied(apart, func(i int) float64 { return slopeAt(raster, apart[i].Point) })
	m, err := Fit(apart, Options{Trend: Constant, Kernel: o.Kernel, Margin: o.Margin, Lines: above(raster, o.Lines)})
	if err != nil {
		return nil, fmt.Errorf("what the shots read above the raster: %w", err)
	}
	c.Model = m
	c.Remarks = append(c.Remarks, m.Remarks...)
	c.Shift = m.level + m.drift.beta[0]
	c.ShiftError = math.Sqrt(m.Covariance.Sill) / m.drift.root.Data[0]
	if o.Fade == 0 {
		o.Fade = min(max(m.Covariance.Reach(), m.spacing), 4*m.spacing)
	}
	c.draw(raster, max(m.Margin, 0), max(o.Fade, 0), o.RasterError)
	c.cut([2][]orb.Ring{o.Outline, o.Holes})
	return c, nil
}

// draw makes the corrected ground and its error.
func (c *Correction) draw(raster *terrain.Grid[float32], margin, fade, noise float64) {
	near := *c.Model
	near.Margin = margin + fade
	more, sd := near.Grid(raster.Frame)
	far := c.Model.Covariance.Sill + c.ShiftError*c.ShiftError
	c.Ground, c.Error = more, sd
	terrain.Bands(raster.Rows, func(lo, hi int) {
		for i := lo * raster.Cols; i < hi*raster.Cols; i++ {
			if terrain.IsVoid(raster.Cells[i]) {
				c.Ground.Cells[i], c.Error.Cells[i] = terrain.Void(), terrain.Void()
				continue
			}
			shift, variance := c.Shift, far
			if v := float64(more.Cells[i]); v == v {
				w := faded(near.hull.distance(raster.Centre(raster.Cell(i)))-margin, fade)
				shift += w * (v - c.Shift)
				e := float64(sd.Cells[i])
				variance -= (2*w - w*w) * max(far-e*e, 0)
			}
			c.Ground.Cells[i] = float32(float64(raster.Cells[i]) + shift)
			c.Error.Cells[i] = float32(math.Sqrt(variance + noise*noise))
		}
	})
}

// cut makes void what lies outside the outlines or in holes.
func (c *Correction) cut(rings [2][]orb.Ring) {
	if len(rings[0])+len(rings[1]) == 0 {
		return
	}
	Cut(c.Ground, rings[0], rings[1])
	Cut(c.Error, rings[0], rings[1])
}

// Cut makes void, in place, every cell of a grid whose middle lies outside the
// outlines, where there are some, or in a hole. The rings are in the system of
// the grid.
func Cut(g *terrain.Grid[float32], outline, holes []orb.Ring) {
	terrain.Bands(g.Rows, func(lo, hi int) {
		for row := lo; row < hi; row++ {
			cells := g.Row(row)
			for col := range cells {
				if !within([2][]orb.Ring{outline, holes}, g.Centre(row, col)) {
					cells[col] = terrain.Void()
				}
			}
		}
	})
}

// above are lines with their heights above a raster instead, a vertex to
// every cell that they run through, since the raster is not straight between
// the vertices someone measured. Parts off the raster are left out.
func above(raster *terrain.Grid[float32], lines []Breakline) []Breakline {
	var out []Breakline
	for _, l := range lines {
		if l.Z == nil {
			out = append(out, l)
			continue
		}
		part := l
		part.Line, part.Z = nil, nil
		end := func() {
			if len(part.Line) > 1 {
				out = append(out, part)
			}
			part.Line, part.Z = nil, nil
		}
		add := func(p orb.Point, z float64) {
			if under, ok := bilinear(raster, p); ok {
				part.Line, part.Z = append(part.Line, p), append(part.Z, z-under)
			} else {
				end()
			}
		}
		add(l.Line[0], l.Z[0])
		for i := 1; i < len(l.Line); i++ {
			a, b := l.Line[i-1], l.Line[i]
			n := max(1, int(math.Ceil(math.Hypot(b[0]-a[0], b[1]-a[1])/raster.CellSize)))
			for k := 1; k <= n; k++ {
				t := float64(k) / float64(n)
				add(orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}, l.Z[i-1]+t*(l.Z[i]-l.Z[i-1]))
			}
		}
		end()
	}
	return out
}

// slopeAt is how steep a raster is at a point, over two cells, rise over run;
// 0 where that is not known.
func slopeAt(g *terrain.Grid[float32], p orb.Point) float64 {
	d := g.CellSize
	var z [4]float64
	for i, q := range [4]orb.Point{{p[0] - d, p[1]}, {p[0] + d, p[1]}, {p[0], p[1] - d}, {p[0], p[1] + d}} {
		var ok bool
		if z[i], ok = bilinear(g, q); !ok {
			return 0
		}
	}
	return math.Hypot(z[1]-z[0], z[3]-z[2]) / (2 * d)
}

// faded falls smoothly from 1 at no distance to 0 at the end.
func faded(d, end float64) float64 {
	switch {
	case d <= 0:
		return 1
	case d >= end:
		return 0
	}
	t := 1 - d/end
	return t * t * (3 - 2*t)
}

// bilinear is the height between the middles of the four cells around a
// point; of the cell itself where one of the others is void or off the grid.
func bilinear(g *terrain.Grid[float32], p orb.Point) (float64, bool) {
	own, ok := terrain.AtPoint(g, p)
	if !ok {
		return 0, false
	}
	x, y := (p[0]-g.West)/g.CellSize-0.5, (g.North-p[1])/g.CellSize-0.5
	col, row := int(math.Floor(x)), int(math.Floor(y))
	if !g.Holds(row, col) || !g.Holds(row+1, col+1) {
		return float64(own), true
	}
	fx, fy := x-float64(col), y-float64(row)
	north := (1-fx)*float64(g.At(row, col)) + fx*float64(g.At(row, col+1))
	south := (1-fx)*float64(g.At(row+1, col)) + fx*float64(g.At(row+1, col+1))
	if z := (1-fy)*north + fy*south; z == z {
		return z, true
	}
	return float64(own), true
}
