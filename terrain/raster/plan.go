package raster

import (
	"fmt"
	"math"
	"strconv"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
)

// minSide is the fewest cells a side: with less than three there is no cell
// that has neighbours all round.
const minSide = 3

// A plan says what is read of a raster and onto which grid it goes.
type plan struct {
	frame        terrain.Frame
	read         window
	flipX, flipY bool              // the stored columns run west, the stored rows north
	resample     bool              // otherwise the window is the frame
	ratio        float64           // side of a cell of the frame, in cells of the raster, if resampled
	from, to     *godal.SpatialRef // the raster's system and the grid's; nil for a local one
	cut          orb.MultiPolygon  // in the frame's system, nil for none
	ownsTo       bool
}

func (p *plan) Close() {
	if p.ownsTo {
		p.to.Close()
	}
}

// maxFromMeridian is how far, in degrees of longitude, a raster may reach
// from the middle of its UTM zone. At 6.5° on the equator a metre is 0.6 %
// out, which is still within trueToScale; the widest zone, 33 on Svalbard,
// reaches 6°.
const maxFromMeridian = 6.5

// draw works out the plan. Nothing the size of the raster is allocated.
func draw(pl *place, o Options, g *Ground) (*plan, error) {
	p := &plan{from: pl.sr, to: pl.sr}
	err := p.draw(pl, o, g)
	if err == nil {
		err = p.afford(o)
	}
	if err != nil {
		p.Close()
		return nil, err
	}
	return p, nil
}

func (p *plan) draw(pl *place, o Options, g *Ground) error {
	if pl.reproject {
		if err := p.zone(pl, o, g); err != nil {
			return err
		}
	}
	if err := p.boundary(pl, o); err != nil {
		return err
	}
	side, square := pl.square()
	cell := o.CellSize
	keeps := square && !pl.reproject && (cell == 0 || math.Abs(cell-side) <= 1e-9*side)
	if keeps {
		return p.copyWindow(pl, side)
	}
	p.resample = true
	natural, err := p.naturalCell(pl)
	if err != nil {
		return err
	}
	if cell == 0 {
		cell = natural
		if !pl.reproject && square {
			cell = side
		}
	}
	if !pl.reproject && !square {
		what := fmt.Sprintf("oblong (%.6g by %.6g m)", math.Abs(pl.gt[1]), math.Abs(pl.gt[5]))
		if pl.gt[2] != 0 || pl.gt[4] != 0 {
			what = fmt.Sprintf("turned by %.3g degrees", turn(pl.gt))
		}
		g.remark("its cells are %s; they were resampled to upright squares of %s m", what, metresText(cell))
	} else if o.CellSize != 0 && !pl.reproject {
		g.remark("its cells of %s m were resampled to %s m, as asked for", metresText(side), metresText(cell))
	}
	if pl.reproject {
		g.remark("its coordinates %s, so it was resampled to cells of %s m in %s", pl.why, metresText(cell), label(p.to))
	}
	p.ratio = cell / natural
	return p.resampledFrame(pl, cell)
}

// turn is the angle of a raster's rows against east, degrees.
func turn(gt [6]float64) float64 { return math.Atan2(gt[4], gt[1]) * 180 / math.Pi }

// zone picks the UTM zone of the middle of the site.
func (p *plan) zone(pl *place, o Options, g *Ground) error {
	toLL, err := toLonLat(pl.sr)
	if err != nil {
		return err
	}
	defer toLL.Close()
	// What the grid will span, as longitudes and latitudes: the boundary, or
	// else the whole raster.
	var middle orb.Point
	var rim []orb.Point
	if len(o.Boundary) > 0 {
		middle, rim, err = boundarySpan(o)
	} else if middle, err = toLL.Point(pl.at(float64(pl.cols)/2, float64(pl.rows)/2)); err == nil {
		rim = p.border(pl, window{0, 0, pl.cols, pl.rows})
		if toLL.Points(rim) != nil {
			return tooWide(UTM(middle[0], middle[1]))
		}
	}
	if err != nil {
		return err
	}
	if !(middle[1] <= 84 && middle[1] >= -80) {
		return bad("lies at latitude %.4g, beyond the UTM zones (80° south to 84° north); bring it to a projected system of metres first", middle[1])
	}
	code := UTM(middle[0], middle[1])
	if code == "" {
		return bad("has its middle at %s, which is no longitude and latitude", show(middle))
	}
	if p.to, err = parseCRS(code); err != nil {
		return err
	}
	p.ownsTo = true
	back, err := FromLonLat(code)
	if err != nil {
		return err
	}
	for _, q := range rim {
		at, err := back(orb.Point{q[0], middle[1]})
		// The easting of the widest reach allowed, on the raster's parallel.
		if err != nil || math.Abs(at[0]-500e3) > maxFromMeridian*111.32e3*math.Cos(middle[1]*math.Pi/180) || math.Abs(math.Remainder(q[0]-middle[0], 360)) > 2*maxFromMeridian {
			return tooWide(code)
		}
	}
	return nil
}

func tooWide(code string) error {
	return bad("reaches more than %.1f° from the middle of its UTM zone (%s), too far for one grid of true metres; cut it to the site with a smaller boundary", maxFromMeridian, code)
}

// border is points along the rim of a window, in the raster's coordinates.
func (p *plan) border(pl *place, w window) []orb.Point {
	const steps = 32
	pts := make([]orb.Point, 0, 4*steps)
	c0, r0 := float64(w.col), float64(w.row)
	c1, r1 := c0+float64(w.cols), r0+float64(w.rows)
	for i := range steps {
		f := float64(i) / steps
		pts = append(pts,
			pl.at(c0+f*(c1-c0), r0), pl.at(c1, r0+f*(r1-r0)),
			pl.at(c1-f*(c1-c0), r1), pl.at(c0, r1-f*(r1-r0)))
	}
	return pts
}

// boundary brings the boundary to the grid's system.
func (p *plan) boundary(pl *place, o Options) error {
	if len(o.Boundary) == 0 {
		return nil
	}
	if err := checkBoundary(o.Boundary); err != nil {
		return err
	}
	if p.to == nil {
		if o.BoundaryCRS != "" {
			return bad("has no coordinate system, so a boundary in %s cannot be laid on it", o.BoundaryCRS)
		}
		p.cut = o.Boundary
		return nil
	}
	from, err := parseCRS(o.boundaryCRS())
	if err != nil {
		return err
	}
	defer from.Close()
	t, err := newTransform(from, p.to)
	if err != nil {
		return err
	}
	defer t.Close()
	if p.cut, err = moveBoundary(o.Boundary, t); err != nil {
		if b := o.Boundary.Bound(); o.BoundaryCRS == "" && !onEarth(b.Min, b.Max) {
			return bad("the boundary names no coordinate system and its coordinates, %s to %s, are no longitudes and latitudes; name its system, for example EPSG:32614", show(b.Min), show(b.Max))
		}
		return bad("the boundary cannot be laid on it: %w", err)
	}
	return nil
}

// copyWindow plans a grid whose cells are the raster's own.
func (p *plan) copyWindow(pl *place, side float64) error {
	p.flipX, p.flipY = pl.gt[1] < 0, pl.gt[5] > 0
	west, north := pl.gt[0], pl.gt[3]
	if p.flipX {
		west += pl.gt[1] * float64(pl.cols)
	}
	if p.flipY {
		north += pl.gt[5] * float64(pl.rows)
	}
	f := terrain.Frame{Rows: pl.rows, Cols: pl.cols, West: west, North: north, CellSize: side}
	first, n := window{}, window{cols: pl.cols, rows: pl.rows}
	if p.cut != nil {
		b := p.cut.Bound()
		lo := func(v float64, most int) int { return int(min(max(math.Floor(v+1e-9), 0), float64(most))) }
		hi := func(v float64, most int) int { return int(min(max(math.Ceil(v-1e-9), 0), float64(most))) }
		first.col, first.row = lo((b.Min[0]-west)/side, pl.cols), lo((north-b.Max[1])/side, pl.rows)
		n.cols = hi((b.Max[0]-west)/side, pl.cols) - first.col
		n.rows = hi((north-b.Min[1])/side, pl.rows) - first.row
		if n.cols <= 0 || n.rows <= 0 {
			return outside(b, f.Bound())
		}
	}
	p.frame = terrain.Frame{
		Rows: n.rows, Cols: n.cols, CellSize: side,
		West: west + float64(first.col)*side, North: north - float64(first.row)*side,
	}
	p.read = window{first.col, first.row, n.cols, n.rows}
	if p.flipX {
		p.read.col = pl.cols - first.col - n.cols
	}
	if p.flipY {
		p.read.row = pl.rows - first.row - n.rows
	}
	return nil
}

func outside(cut, ground orb.Bound) error {
	return bad("the boundary (%s to %s) lies outside the raster (%s to %s)", show(cut.Min), show(cut.Max), show(ground.Min), show(ground.Max))
}

// naturalCell is the side of a square with the area of a cell in the middle,
// in the grid's system, to three figures.
func (p *plan) naturalCell(pl *place) (float64, error) {
	c, r := float64(pl.cols)/2, float64(pl.rows)/2
	if pl.reproject && p.cut != nil {
		back, err := newTransform(p.to, p.from)
		if err != nil {
			return 0, err
		}
		defer back.Close()
		middle, err := back.Point(p.cut.Bound().Center())
		if err != nil {
			return 0, err
		}
		if p.from.Geographic() {
			middle[0] = pl.nearLongitude(middle[0])
		}
		c, r = pl.cell(middle)
	}
	q := []orb.Point{pl.at(c, r), pl.at(c+1, r), pl.at(c, r+1)}
	if pl.reproject {
		t, err := newTransform(p.from, p.to)
		if err != nil {
			return 0, err
		}
		defer t.Close()
		if err := t.Points(q); err != nil {
			return 0, err
		}
	}
	area := math.Abs((q[1][0]-q[0][0])*(q[2][1]-q[0][1]) - (q[1][1]-q[0][1])*(q[2][0]-q[0][0]))
	cell, err := strconv.ParseFloat(strconv.FormatFloat(math.Sqrt(area), 'g', 3, 64), 64)
	if err != nil || !(cell > 0) || math.IsInf(cell, 0) {
		return 0, bad("has cells whose size in metres cannot be told")
	}
	return cell, nil
}

// resampledFrame plans a grid of the given cell size, its lines on whole multiples
// of it, and the window of the raster it needs.
func (p *plan) resampledFrame(pl *place, cell float64) error {
	whole := window{0, 0, pl.cols, pl.rows}
	var b orb.Bound
	if p.cut != nil {
		b = p.cut.Bound()
	}
	if p.cut == nil || !pl.reproject {
		rim := p.border(pl, whole)
		if pl.reproject {
			t, err := newTransform(p.from, p.to)
			if err != nil {
				return err
			}
			defer t.Close()
			if err := t.Points(rim); err != nil {
				return err
			}
		}
		ground := orb.MultiPoint(rim).Bound()
		if p.cut == nil {
			b = ground
		} else if !b.Intersects(ground) {
			return outside(b, ground)
		} else {
			b = orb.Bound{
				Min: orb.Point{max(b.Min[0], ground.Min[0]), max(b.Min[1], ground.Min[1])},
				Max: orb.Point{min(b.Max[0], ground.Max[0]), min(b.Max[1], ground.Max[1])},
			}
		}
	}
	// A thousandth of a cell beyond a line is the line, rounded.
	const slack = 1e-3
	west, south := math.Floor(b.Min[0]/cell+slack), math.Floor(b.Min[1]/cell+slack)
	east, north := math.Ceil(b.Max[0]/cell-slack), math.Ceil(b.Max[1]/cell-slack)
	if !(east-west < math.MaxInt32) || !(north-south < math.MaxInt32) {
		return bad("would become %.3g columns by %.3g rows at cells of %s m; take larger cells", east-west, north-south, metresText(cell))
	}
	p.frame = terrain.Frame{
		Rows: int(north - south), Cols: int(east - west),
		West: west * cell, North: north * cell, CellSize: cell,
	}
	return p.sourceWindow(pl, whole)
}

// sourceWindow finds the part of the raster that the frame is made from, with
// room for the bilinear kernel all round.
func (p *plan) sourceWindow(pl *place, whole window) error {
	f := &place{rows: p.frame.Rows, cols: p.frame.Cols,
		gt: [6]float64{p.frame.West, p.frame.CellSize, 0, p.frame.North, 0, -p.frame.CellSize}}
	rim := p.border(f, window{0, 0, f.cols, f.rows})
	if pl.reproject {
		back, err := newTransform(p.to, p.from)
		if err != nil {
			return err
		}
		defer back.Close()
		if err := back.Points(rim); err != nil {
			return err
		}
	}
	lo, hi := orb.Point{math.Inf(1), math.Inf(1)}, orb.Point{math.Inf(-1), math.Inf(-1)}
	for _, q := range rim {
		if pl.reproject && p.from.Geographic() {
			q[0] = pl.nearLongitude(q[0])
		}
		c, r := pl.cell(q)
		lo = orb.Point{min(lo[0], c), min(lo[1], r)}
		hi = orb.Point{max(hi[0], c), max(hi[1], r)}
	}
	margin := math.Ceil(2*max(1, p.ratio)) + 2
	c0, r0 := max(0, math.Floor(lo[0]-margin)), max(0, math.Floor(lo[1]-margin))
	c1, r1 := min(float64(whole.cols), math.Ceil(hi[0]+margin)), min(float64(whole.rows), math.Ceil(hi[1]+margin))
	if !(c1 > c0 && r1 > r0) {
		return outside(p.frame.Bound(), orb.Bound{
			Min: orb.Point{min(pl.at(0, 0)[0], pl.at(float64(pl.cols), 0)[0]), min(pl.at(0, 0)[1], pl.at(0, float64(pl.rows))[1])},
			Max: orb.Point{max(pl.at(0, 0)[0], pl.at(float64(pl.cols), 0)[0]), max(pl.at(0, 0)[1], pl.at(0, float64(pl.rows))[1])},
		})
	}
	p.read = window{int(c0), int(r0), int(c1 - c0), int(r1 - r0)}
	return nil
}

const (
	// bytesPerCell is what a cell of the grid costs in all that is done with
	// it. The largest resident set (/usr/bin/time -v) on a lowland with 3 cm
	// of noise, less some 90 MB that any run takes, was 170 bytes a cell of
	// wetfeet assess and 128 of wetfeet drain: 772 and 604 MB for 2000 by 2000
	// cells, 2815 and 2117 MB for 4000 by 4000. Rounded up for grounds with
	// more hollows.
	bytesPerCell = 180

	// bytesPerStored is what a cell of the raster costs that another grid is
	// made from.
	bytesPerStored = 4
)

// afford checks the plan against the limits of size.
func (p *plan) afford(o Options) error {
	f := p.frame
	if f.Rows < minSide || f.Cols < minSide {
		return bad("becomes %s of %s m; at least %d by %d are needed, with smaller cells or a larger boundary",
			size(f.Cols, f.Rows), metresText(f.CellSize), minSide, minSide)
	}
	cells, from := float64(f.Rows)*float64(f.Cols), float64(p.read.cols)*float64(p.read.rows)
	need := bytesPerCell * cells
	what := size(f.Cols, f.Rows)
	if p.resample {
		need += bytesPerStored * from
		what += ", made from " + size(p.read.cols, p.read.rows)
	}
	if limit := float64(o.memory()); need > limit {
		return bad("would be %s: a run on %.0f million cells needs about %s of memory, and the limit is %s; cut it to the site with a boundary or ask for larger cells", what, cells/1e6, bytesText(need), bytesText(limit))
	}
	return nil
}

// metresText writes a length as short as it can be told.
func metresText(m float64) string { return strconv.FormatFloat(m, 'g', 7, 64) }
