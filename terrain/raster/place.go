package raster

import (
	"fmt"
	"math"

	"github.com/airbusgeo/godal"
	"github.com/paulmach/orb"
)

// A place is where a raster lies: the affine map from its columns and rows to
// coordinates, and the system those are in.
type place struct {
	rows, cols int
	gt         [6]float64
	sr         *godal.SpatialRef // nil for a local system of metres
	reproject  bool              // the system cannot carry the grid and a UTM zone must
	why        string            // completes "its coordinates ... "
}

func (p *place) Close() {
	if p.sr != nil {
		p.sr.Close()
	}
}

// at is the coordinates of a column and row, counted from the outer corner of
// the first cell.
func (p *place) at(col, row float64) orb.Point {
	return orb.Point{
		p.gt[0] + col*p.gt[1] + row*p.gt[2],
		p.gt[3] + col*p.gt[4] + row*p.gt[5],
	}
}

// cell is the column and row of coordinates.
func (p *place) cell(at orb.Point) (col, row float64) {
	det := p.gt[1]*p.gt[5] - p.gt[2]*p.gt[4]
	x, y := at[0]-p.gt[0], at[1]-p.gt[3]
	return (x*p.gt[5] - y*p.gt[2]) / det, (y*p.gt[1] - x*p.gt[4]) / det
}

// nearLongitude is a longitude, given or taken a whole turn until it lies
// nearest the middle of the raster: one that spans the date line runs from
// 179 to 181, or from -181 to -179, and PROJ answers within 180.
func (p *place) nearLongitude(lon float64) float64 {
	middle := p.at(float64(p.cols)/2, float64(p.rows)/2)[0]
	return middle + math.Remainder(lon-middle, 360)
}

// drift is how far, in cells, the corners of the raster may lie from where a
// square, north-up grid would put them before it counts as another grid.
const drift = 0.1

// square reports whether the cells are square and upright within drift, and
// their side. The signs of the two axes may be either.
func (p *place) square() (side float64, ok bool) {
	dx, dy := math.Abs(p.gt[1]), math.Abs(p.gt[5])
	side = math.Sqrt(dx * dy)
	slack := drift * side
	cols, rows := float64(p.cols), float64(p.rows)
	ok = side > 0 && math.Abs(p.gt[2])*rows <= slack && math.Abs(p.gt[4])*cols <= slack &&
		math.Abs(dx-side)*cols <= slack && math.Abs(dy-side)*rows <= slack
	if dx == dy {
		side = dx // the square root may miss it by the last digit
	}
	return side, ok
}

// locate works out the system of a source. Feet become metres here, by
// scaling alone; degrees, and metres that are not true, are left for a warp.
func locate(s *source, o Options, g *Ground) (*place, error) {
	p := &place{rows: s.rows, cols: s.cols, gt: s.gt}
	own, err := p.ownCRS(s, g)
	if err != nil {
		return nil, err
	}
	p.sr = own
	if o.CRS != "" {
		given, err := parseCRS(o.CRS)
		if err != nil {
			p.Close()
			return nil, err
		}
		given = identify(given)
		switch {
		case own == nil:
			p.sr = given
			g.remark("it names no coordinate system, so %s was taken, as it was given", name(given))
		case p.agree(given):
			given.Close()
		default:
			err := bad("is in %s and was said to be in %s; leave the second out, or correct the file's", label(own), label(given))
			given.Close()
			p.Close()
			return nil, err
		}
	}
	if p.sr == nil {
		if !o.AllowLocal {
			return nil, &inputError{"does not name its coordinate system; name it beside the file, for example as EPSG:32614", ErrNoCRS}
		}
		g.remark("it names no coordinate system, so its coordinates were taken as metres of a local one: there is no way to longitude and latitude")
		return p, nil
	}
	info := describe(p.sr)
	g.SourceCRS = label(p.sr)
	if info.ShiftGrid != "" {
		g.remark("%s", info.ShiftGrid)
	}
	if info.Geographic {
		if a, b := p.at(0, 0), p.at(float64(p.cols), float64(p.rows)); !onEarth(a, b) {
			p.Close()
			return nil, bad("is said to be in %s, and its coordinates, %s to %s, are no longitudes and latitudes; name the system they are in", info.Name, show(a), show(b))
		}
		p.reproject, p.why = true, "are degrees"
		return p, nil
	}
	if !(info.Unit > 0) || math.IsInf(info.Unit, 0) {
		p.Close()
		return nil, bad("is in %s, whose unit of length cannot be told", info.Name)
	}
	if info.Unit != 1 {
		if err := toMetres(p.sr); err != nil {
			p.Close()
			return nil, err
		}
		p.scale(info.Unit)
		g.remark("its coordinates are in units of one %s (%.10g m) and were scaled to metres of the same projection; no cell was moved or resampled for it", info.UnitName, info.Unit)
	}
	if k, err := p.untrue(); err != nil {
		p.Close()
		return nil, err
	} else if math.Abs(k-1) > trueToScale {
		p.reproject, p.why = true, fmt.Sprintf("are not true to scale here (a metre on the ground is %.3g in them)", k)
	}
	return p, nil
}

// scale takes the place to metres from units of so many metres.
func (p *place) scale(metres float64) {
	for i := range p.gt {
		p.gt[i] *= metres
	}
}

// ownCRS is the system a file states, nil for none. A local one, which ties
// the raster to no place, counts as none but for its unit.
func (p *place) ownCRS(s *source, g *Ground) (*godal.SpatialRef, error) {
	if s.wkt == "" {
		return nil, nil
	}
	if !wktText.MatchString(s.wkt) {
		called, metres := localUnit(s.wkt)
		g.remark("its coordinate system, %q, is no projection of the Earth and was set aside", called)
		if metres != 1 {
			p.scale(metres)
			g.remark("its coordinates were brought to metres (%.10g m)", metres)
		}
		return nil, nil
	}
	sr, err := parseCRS(s.wkt)
	if err != nil {
		return nil, bad("states a coordinate system that cannot be used: %w", err)
	}
	return identify(sr), nil
}

// agree reports whether the raster's corners lie at the same longitudes and
// latitudes in another system. Two texts of one system often differ, in axis
// order, in names, in how old their datum is, and this is what matters.
func (p *place) agree(other *godal.SpatialRef) bool {
	if p.sr.IsSame(other) {
		return true
	}
	if a, b := authority(p.sr), authority(other); a != "" && b != "" || p.sr.Geographic() != other.Geographic() {
		return a == b && a != ""
	}
	t, err := newTransform(p.sr, other)
	if err != nil {
		return false
	}
	defer t.Close()
	was := []orb.Point{p.at(0, 0), p.at(float64(p.cols), float64(p.rows))}
	now := []orb.Point{was[0], was[1]}
	if t.Points(now) != nil {
		return false
	}
	same := 1e-3 // a millimetre, or its like in degrees
	if p.sr.Geographic() {
		same = 1e-8
	}
	for i := range now {
		if math.Abs(now[i][0]-was[i][0]) > same || math.Abs(now[i][1]-was[i][1]) > same {
			return false
		}
	}
	return true
}

// onEarth reports whether coordinates can be longitudes and latitudes, in
// degrees or grads, a turn too many or a rim cell beyond the pole allowed.
func onEarth(points ...orb.Point) bool {
	for _, q := range points {
		if !(math.Abs(q[0]) <= 601 && math.Abs(q[1]) <= 101) {
			return false
		}
	}
	return true
}

// trueToScale is how far a metre of a projected system may be from one on the
// ground. UTM and national grids are within 0.1 %; a web map's are 40 % out at
// 45° of latitude. One in a hundred is two in areas and volumes.
const trueToScale = 0.01

// untrue is the length in a projected system of a metre on the ground in the
// middle of the raster, in the direction where it is further from 1.
func (p *place) untrue() (float64, error) {
	t, err := toLonLat(p.sr)
	if err != nil {
		return 0, err
	}
	defer t.Close()
	const step = 100 // m
	mid := p.at(float64(p.cols)/2, float64(p.rows)/2)
	at := []orb.Point{mid, {mid[0] + step, mid[1]}, {mid[0], mid[1] + step}}
	if err := t.Points(at); err != nil {
		return 0, bad("its middle, %s, is no place in %s", show(mid), name(p.sr))
	}
	worst := 1.0
	for _, q := range at[1:] {
		if k := step / metresBetween(at[0], q); math.Abs(k-1) > math.Abs(worst-1) {
			worst = k
		}
	}
	return worst, nil
}

// metresBetween is the distance between two near longitudes and latitudes on
// the WGS 84 ellipsoid, by its radii of curvature at the first.
func metresBetween(a, b orb.Point) float64 {
	const semiMajor, flattening = 6378137.0, 1 / 298.257223563
	const e2 = flattening * (2 - flattening)
	sin, cos := math.Sincos(a[1] * math.Pi / 180)
	w := 1 - e2*sin*sin
	n := semiMajor / math.Sqrt(w)
	m := n * (1 - e2) / w
	dLon := math.Remainder(b[0]-a[0], 360) * math.Pi / 180
	dLat := (b[1] - a[1]) * math.Pi / 180
	return math.Hypot(n*cos*dLon, m*dLat)
}

func toLonLat(sr *godal.SpatialRef) (*Transform, error) {
	ll, err := parseCRS(LonLatCRS)
	if err != nil {
		return nil, err
	}
	defer ll.Close()
	return newTransform(sr, ll)
}

// label names a system for a sentence: its code if it has one, with its name.
func label(sr *godal.SpatialRef) string {
	info := describe(sr)
	if info.Code == "" {
		return info.Name
	}
	return info.Code + " (" + info.Name + ")"
}
