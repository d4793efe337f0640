package fieldbook

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"wetfeet/terrain/quantity"
)

// A baseLine is a line tapes are laid along, from one known point to another
// or on a bearing.
type baseLine struct {
	at       place
	name     string
	from, to string
	bearing  float64 // degrees from north, where turned
	turned   bool
}

// The ellipsoid of WGS 84 (NIMA Technical Report 8350.2).
const (
	semiMajor   = 6378137.0
	flattening  = 1 / 298.257223563
	eccentric2  = flattening * (2 - flattening)
	radPerDeg   = math.Pi / 180
	sightLength = 2000.0 // m, beyond which the plane at the base line is not meant to hold
)

// radii are those of curvature along the meridian and across it, m.
func radii(lat float64) (meridian, across float64) {
	sin := math.Sin(lat * radPerDeg)
	w := 1 - eccentric2*sin*sin
	return semiMajor * (1 - eccentric2) / (w * math.Sqrt(w)), semiMajor / math.Sqrt(w)
}

// apart is the way from a to b, east and north, m. Degrees are taken through
// the radii at the middle latitude, good to a millimetre in a kilometre.
func apart(a, b orb.Point, lonLat bool) (east, north float64) {
	if !lonLat {
		return b[0] - a[0], b[1] - a[1]
	}
	middle := (a[1] + b[1]) / 2
	m, v := radii(middle)
	return (b[0] - a[0]) * radPerDeg * v * math.Cos(middle*radPerDeg), (b[1] - a[1]) * radPerDeg * m
}

// away is the point so far east and north of a, m.
func away(a orb.Point, east, north float64, lonLat bool) orb.Point {
	if !lonLat {
		return orb.Point{a[0] + east, a[1] + north}
	}
	m, _ := radii(a[1])
	lat := a[1]
	for range 3 {
		lat = a[1] + north/m/radPerDeg
		m, _ = radii((a[1] + lat) / 2)
	}
	middle := (a[1] + lat) / 2
	_, v := radii(middle)
	return orb.Point{a[0] + east/(v*math.Cos(middle*radPerDeg))/radPerDeg, lat}
}

// A spot is where a point lies.
type spot struct {
	at     orb.Point
	lonLat bool
	place  place
	taped  bool
}

// taped is where a distance along a base line and an offset, right positive,
// lead: E = E₀ + c sin b + o cos b, N = N₀ + c cos b - o sin b.
func taped(from orb.Point, sin, cos, along, off float64, lonLat bool) orb.Point {
	return away(from, along*sin+off*cos, along*cos-off*sin, lonLat)
}

// direction is the sine and cosine of the bearing of a base line.
func (r *reducing) direction(b *baseLine, from spot) (sin, cos float64, ok bool) {
	if b.turned {
		sin, cos = math.Sincos(b.bearing * radPerDeg)
		return sin, cos, true
	}
	to, known := r.spots[nameKey(b.to)]
	if !known {
		r.bad.add(b.at, "base", "%s is no point with a known position; give its x and y (or lon and lat) on a points sheet", quote(b.to))
		return 0, 0, false
	}
	e, n := apart(from.at, to.at, from.lonLat)
	length := math.Hypot(e, n)
	if length < 0.5 {
		r.bad.add(b.at, "base", "%s and %s are %s apart, too near each other to give a direction", quote(b.from), quote(b.to), r.said(length))
		return 0, 0, false
	}
	return e / length, n / length, true
}

// tapes finds the positions measured along base lines. Points may be taped
// from points taped before them.
func (r *reducing) tapes() {
	type solved struct {
		from     spot
		sin, cos float64
		ok       bool
	}
	lines := map[*baseLine]solved{}
	byName := map[string]*baseLine{}
	for _, b := range r.book.bases {
		byName[nameKey(b.name)] = b
	}
	for _, s := range r.book.sheets {
		for _, e := range s.entries {
			if !e.filled(alongRole) {
				if e.any(offsetRole, leftRole, rightRole) {
					r.bad.add(e.place, "along", "an offset without the distance along the base line")
				}
				continue
			}
			if e.any(xRole, lonRole) {
				r.bad.add(e.place, "along", "a position by tape and another by coordinates in one row; keep one")
				continue
			}
			b := e.base
			if e.filled(baseRole) {
				if b = byName[nameKey(e.text(baseRole))]; b == nil || nameKey(e.text(baseRole)) == "" {
					r.bad.add(e.place, "base", "%s is no base line of this book; declare it as base: %s, from P1, to P2", quote(e.text(baseRole)), e.text(baseRole))
					continue
				}
			}
			if b == nil {
				if !r.toldBase {
					r.bad.add(e.place, "along", "no base line: write base: row A, from P1, to P2 (or from P1, bearing N 60 E) above the rows taped along it")
				}
				r.toldBase = true
				continue
			}
			line, done := lines[b]
			if !done {
				if line.from, line.ok = r.spots[nameKey(b.from)]; !line.ok {
					r.bad.add(b.at, "base", "%s is no point with a known position; give its x and y (or lon and lat) on a points sheet", quote(b.from))
				} else {
					line.sin, line.cos, line.ok = r.direction(b, line.from)
				}
				lines[b] = line
			}
			if !line.ok {
				continue
			}
			along, ok := r.flat(s, b, e)
			if !ok {
				continue
			}
			off := e.num(offsetRole) - e.num(leftRole) + e.num(rightRole)
			if line.from.lonLat && math.Hypot(along, off) > sightLength {
				r.bad.add(e.place, "along", "%s from the start of the base line; with lon and lat a tape reaches %s here, so give x and y in a projected system", r.said(math.Hypot(along, off)), r.said(sightLength))
				continue
			}
			r.place(e, spot{taped(line.from.at, line.sin, line.cos, along, off, line.from.lonLat), line.from.lonLat, e.place, true})
		}
	}
}

// flat is the level distance of a taped one. A tape along the ground is the
// slope of a triangle whose rise is that from the start of the base line.
func (r *reducing) flat(s *sheet, b *baseLine, e *entry) (float64, bool) {
	along := e.num(alongRole)
	if !s.sloped || along == 0 {
		return along, true
	}
	start, ok := r.levelOf(nameKey(b.from))
	end, known := r.levelOf(e.key)
	if h, found := r.byEntry[e]; found {
		end, known = h, true
	}
	if !ok || !known {
		r.bad.add(e.place, "along", "a sloped tape needs the levels of %s and of the point to be made level; measure them or write tape: level", quote(b.from))
		return 0, false
	}
	rise := end - start
	if math.Abs(rise) > along {
		r.bad.add(e.place, "along", "a sloped tape of %s cannot rise %s", r.said(along), r.said(rise))
		return 0, false
	}
	return math.Sqrt(along*along - rise*rise), true
}

// said writes a length in the unit the book is kept in.
func (r *reducing) said(metres float64) string {
	if r.out.Units == quantity.Feet || slices.ContainsFunc(r.book.sheets, func(s *sheet) bool { return inFeet(s.unit) }) {
		return fmt.Sprintf("%.2f ft", metres/0.3048)
	}
	return fmt.Sprintf("%.2f m", metres)
}

// place gives a point its position, or checks it against the one it has: a
// tape on the ground repeats to a decimetre, or a part in 250. Common
// practice, no source.
func (r *reducing) place(e *entry, s spot) {
	r.where[e] = s
	before, ok := r.spots[e.key]
	if !ok || e.key == "" {
		if e.key != "" {
			r.spots[e.key] = s
		}
		return
	}
	if before.lonLat != s.lonLat {
		return // told elsewhere
	}
	east, north := apart(before.at, s.at, s.lonLat)
	allowed := max(0.1, e.num(alongRole)/250)
	if !s.taped {
		allowed = max(allowed, e.num(horizontalRole)*3)
	}
	off := math.Hypot(east, north)
	if off > allowed {
		r.bad.add(e.place, "", "%s lies %s from where %s has it, more than the %s a tape allows; give a second point a second name, or correct one", e.name, r.said(off), before.place, r.said(allowed))
		return
	}
	r.out.Checks = append(r.out.Checks, Check{Name: "position of " + e.name + " found twice, m apart", Value: off, Allowed: allowed, OK: true})
	r.where[e] = before
}
