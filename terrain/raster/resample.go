package raster

import (
	"math"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// resample makes the frame's cells from a window of the source.
//
// The elevation of a point is bilinear between the four middles around it: a
// plane stays that plane. Where a cell of the frame covers several of the
// raster's, it is the mean of such points spread evenly over it, so that none
// is passed over. A point whose nearest
// cell is a void is a void, and a cell half of whose points are voids is one;
// beside a void the cells that are known are weighed alone.
//
// This is done here and not by GDAL's warper because that keeps no plane when
// cells grow by a part: its kernel, widened and sampled at whole cells, leaves
// ripples of a twentieth of a cell of slope, which water would follow.
func resample(s *source, pl *place, p *plan, g *Ground) (*terrain.Grid[float32], error) {
	w := p.read
	src := terrain.Grid[float32]{Frame: terrain.Frame{Rows: w.rows, Cols: w.cols}, Cells: make([]float32, w.rows*w.cols)}
	if err := s.readInto(w, src.Cells); err != nil {
		return nil, err
	}
	g.measure(&src, p.ratio)
	l, err := newLattice(pl, p)
	if err != nil {
		return nil, err
	}
	z := terrain.NewGrid[float32](p.frame)
	k := l.perSide()
	terrain.Bands(z.Rows, func(lo, hi int) {
		t := l.tracer()
		sum, known := make([]float64, z.Cols), make([]int32, z.Cols)
		for row := lo; row < hi; row++ {
			clear(sum)
			clear(known)
			for i := range k {
				t.row(float64(row) + (float64(i)+0.5)/float64(k))
				for j := range k {
					t.sum(&src, (float64(j)+0.5)/float64(k), sum, known)
				}
			}
			cells := z.Row(row)
			for c, n := range known {
				cells[c] = terrain.Void()
				if 2*int(n) >= k*k {
					cells[c] = float32(sum[c] / float64(n))
				}
			}
		}
	})
	return z, nil
}

// latticeStep is the cells between two points whose place in the raster is
// worked out by the projections themselves; between them it is interpolated.
// A line bows by step² cells / 8 Earth radii, which for cells of 10 m and 16
// of them is 5e-5 of a cell.
const latticeStep = 16

// A lattice holds, for every latticeStep-th corner of the frame's cells, the
// column and row of the source window there.
type lattice struct {
	rows, cols int
	at         []orb.Point
}

func newLattice(pl *place, p *plan) (*lattice, error) {
	f := p.frame
	l := &lattice{rows: (f.Rows-1)/latticeStep + 2, cols: (f.Cols-1)/latticeStep + 2}
	l.at = make([]orb.Point, 0, l.rows*l.cols)
	for r := range l.rows {
		for c := range l.cols {
			l.at = append(l.at, orb.Point{
				f.West + float64(c*latticeStep)*f.CellSize,
				f.North - float64(r*latticeStep)*f.CellSize,
			})
		}
	}
	if pl.reproject {
		back, err := newTransform(p.to, p.from)
		if err != nil {
			return nil, err
		}
		defer back.Close()
		if err := back.Points(l.at); err != nil {
			return nil, err
		}
	}
	for i, q := range l.at {
		if pl.reproject && p.from.Geographic() {
			q[0] = pl.nearLongitude(q[0])
		}
		c, r := pl.cell(q)
		l.at[i] = orb.Point{c - float64(p.read.col), r - float64(p.read.row)}
	}
	return l, nil
}

// perSide is how many points a side the mean of a cell is taken from.
//
// Where a cell of the frame is as large as a whole number of the raster's,
// it is that number: then the mean is that of the cells, and where both have
// the same size it is the plain bilinear value. Where it is not, one cell
// would be read off the middle of a cell of the raster, with all its noise,
// and another off a corner, with the noise of four averaged, in beats across
// the site, and the loud ones make hollows beside the quiet: cells of 0.7 m
// from cells of 1 m needed a mark 1.54 times the raster's noise to keep no
// more than four false hollows in a million cells. Points twice as close as
// the cells of the raster level that: 1.36 times, and 1.34 with points four
// times as close. Between 0.9 and 1.1, as after most changes of projection,
// plain values needed 1.11 at most and are kept, for they blur the least.
func (l *lattice) perSide() int {
	i := l.rows/2*l.cols + l.cols/2 // a node with others to the west and north
	most := 0.0
	for _, j := range []int{i - 1, i - l.cols} {
		most = max(most, math.Abs(l.at[i][0]-l.at[j][0]), math.Abs(l.at[i][1]-l.at[j][1]))
	}
	const enough = 64 // a mean of four thousand points
	most /= latticeStep
	whole := max(1, math.Round(most))
	const same, alike = 1e-3, 0.1
	if off := math.Abs(most - whole); off > same && (whole > 1 || off > alike) {
		whole = math.Ceil(2 * most)
	}
	return int(min(whole, enough))
}

// A tracer follows one line of the frame through the source.
type tracer struct {
	*lattice
	line []orb.Point // the lattice's nodes on that line
}

func (l *lattice) tracer() *tracer { return &tracer{l, make([]orb.Point, l.cols)} }

// row moves the tracer to a line, counted in rows from the frame's rim.
func (t *tracer) row(y float64) {
	v := y / latticeStep
	r := int(v)
	v -= float64(r)
	above, below := t.at[r*t.cols:(r+1)*t.cols], t.at[(r+1)*t.cols:(r+2)*t.cols]
	for i, a := range above {
		b := below[i]
		t.line[i] = orb.Point{a[0] + float64(v*(b[0]-a[0])), a[1] + float64(v*(b[1]-a[1]))}
	}
}

// sum adds to every cell of the line the elevation at a part of its width.
func (t *tracer) sum(src *terrain.Grid[float32], part float64, sum []float64, known []int32) {
	for c := range sum {
		n := c / latticeStep
		u := (float64(c-n*latticeStep) + part) / latticeStep
		a, b := t.line[n], t.line[n+1]
		z, ok := bilinear(src, a[0]+float64(u*(b[0]-a[0])), a[1]+float64(u*(b[1]-a[1])))
		if ok {
			sum[c] += z
			known[c]++
		}
	}
}

// bilinear is the elevation at a column and row of src, counted from its rim,
// and whether there is one.
func bilinear(src *terrain.Grid[float32], x, y float64) (float64, bool) {
	if !(x >= 0 && x <= float64(src.Cols) && y >= 0 && y <= float64(src.Rows)) {
		return 0, false
	}
	x -= 0.5 // from middle to middle
	y -= 0.5
	// Beyond the outermost middles the outermost cells go on.
	c, r := min(max(0, int(x)), src.Cols-2), min(max(0, int(y)), src.Rows-2)
	u, v := min(max(0, x-float64(c)), 1), min(max(0, y-float64(r)), 1)
	i := r*src.Cols + c
	top, foot := src.Cells[i:i+2:i+2], src.Cells[i+src.Cols:i+src.Cols+2:i+src.Cols+2]
	nw, ne, sw, se := float64(top[0]), float64(top[1]), float64(foot[0]), float64(foot[1])
	north, south := nw+float64(u*(ne-nw)), sw+float64(u*(se-sw))
	if z := north + float64(v*(south-north)); z == z {
		return z, true
	}
	return besideVoid(nw, ne, sw, se, u, v)
}

// besideVoid is bilinear where not all four cells are known.
func besideVoid(nw, ne, sw, se, u, v float64) (float64, bool) {
	nearest := [2][2]float64{{nw, ne}, {sw, se}}[int(math.Round(v))][int(math.Round(u))]
	if nearest != nearest {
		return 0, false
	}
	var sum, weight float64
	for _, q := range [4][2]float64{{nw, (1 - u) * (1 - v)}, {ne, u * (1 - v)}, {sw, (1 - u) * v}, {se, u * v}} {
		if q[0] == q[0] {
			sum += float64(q[0] * q[1])
			weight += q[1]
		}
	}
	return sum / weight, true
}
