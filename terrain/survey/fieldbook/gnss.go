package fieldbook

import (
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// fixWords are the kinds of satellite fix that are told apart, best first.
// A fix that is not resolved to whole wavelengths is decimetres off or more.
var fixWords = map[string]int{
	"fixed": 0, "fix": 0, "rtk": 0, "rtk fixed": 0, "rtkfixed": 0, "4": 0, "ppk": 0, "static": 0,
	"float": 1, "rtk float": 1, "rtkfloat": 1, "5": 1,
	"dgps": 2, "dgnss": 2, "sbas": 2, "2": 2,
	"single": 3, "autonomous": 3, "standalone": 3, "gps": 3, "1": 3,
	"none": 4, "invalid": 4, "0": 4,
}

// fixes takes the heights of the satellite sheets.
//
// A shot is left out, and said so, when its vertical error is above the
// sheet's worst (0.10 m unless said), or when no error is stated and its fix
// is not a fixed one: an unresolved fix is decimetres to metres off in height
// (common practice, no source; horizontal errors of 1.7 to 12.6 m are
// published for phones). A float fix within the limit is kept with a remark.
func (r *reducing) fixes() {
	var ellipsoidal, left, float, far, unstated, unsaid []string
	for _, s := range r.book.sheets {
		if s.kind != gnssSheet {
			continue
		}
		for _, e := range s.entries {
			name := nameOr(e)
			h, column := e.num(heightRole), "height"
			above := s.heights == "ellipsoidal"
			if e.filled(ellipsoidRole) && !e.filled(heightRole) {
				h, column, above = e.num(ellipsoidRole), "ellipsoidal height", true
			}
			if above {
				n := e.cell(geoidRole)
				if !n.ok {
					n = s.geoid
				}
				if n.ok {
					h -= n.v // H = h - N
				} else {
					ellipsoidal = append(ellipsoidal, name)
				}
			} else if s.heights == "" {
				unsaid = append(unsaid, name)
			}
			if h < lowest || h > highest {
				r.bad.add(e.place, column, "%.0f m is an impossible height; heights lie between %.0f and %.0f m", h, lowest, highest)
				continue
			}
			quality, known := fixWords[strings.ToLower(e.text(fixRole))]
			if e.filled(fixRole) && !known {
				r.bad.add(e.place, "fix", "%s is not a kind of fix: use fixed, float, dgps, single or none", quote(e.text(fixRole)))
				continue
			}
			sd := e.num(verticalRole)
			switch {
			case sd > s.worst, known && quality == 4, known && quality > 0 && !e.filled(verticalRole):
				left = append(left, name)
				continue
			case known && quality > 0:
				float = append(float, name)
			case !e.filled(verticalRole):
				unstated = append(unstated, name)
			}
			if e.num(horizontalRole) > 1 {
				far = append(far, name)
			}
			r.height(e, h, sd, 0)
		}
	}
	tell := func(names []string, text string) {
		if len(names) > 0 {
			r.remark("satellite heights: %s: %s", listed(names), text)
		}
	}
	tell(left, "left out, the vertical error is above the worst kept, or the fix is not a fixed one and states no error; worst: 20 cm would say otherwise")
	tell(float, "kept, though the fix is not a fixed one; hold a staff there once more")
	tell(far, "the horizontal error is above 1 m, so the height may belong to another spot")
	tell(unstated, "no vertical error is stated; it is taken as not known")
	tell(unsaid, "taken as heights above sea level, since nothing says heights: ellipsoidal; a receiver's raw height is ellipsoidal, tens of metres off")
	tell(ellipsoidal, "ellipsoidal heights without a geoid separation: right among themselves, not above sea level, and not to be mixed with levelled heights; geoid: -32.1 would bring them down")
	r.out.Ellipsoidal = len(ellipsoidal) > 0
	levelled := slices.ContainsFunc(r.book.sheets, func(s *sheet) bool {
		return s.kind == levelSheet || s.kind == laserSheet || s.kind == waterSheet
	})
	if len(ellipsoidal) > 0 && (levelled || len(unsaid) > 0 || len(ellipsoidal) < len(r.heights)) {
		r.bad.add(place{}, "", "ellipsoidal heights (%s) and other heights in one book, and no geoid separation to bring them together; give it as geoid: -32.1", listed(ellipsoidal))
	}
}

// coordinates takes the positions the book states as numbers.
func (r *reducing) coordinates() {
	degrees, metres := place{}, place{}
	feet := false
	for _, s := range r.book.sheets {
		for _, e := range s.entries {
			switch {
			case e.all(xRole, yRole):
				metres = orPlace(metres, e.place)
				feet = feet || inFeet(e.cell(xRole).unit)
				r.place(e, spot{at: orb.Point{e.num(xRole), e.num(yRole)}, place: e.place})
			case e.all(lonRole, latRole):
				degrees = orPlace(degrees, e.place)
				r.place(e, spot{at: orb.Point{e.num(lonRole), e.num(latRole)}, lonLat: true, place: e.place})
			}
		}
	}
	if degrees.line > 0 && metres.line > 0 {
		r.bad.add(degrees, "lon", "positions in degrees here and in metres on %s; a book keeps to one of them", metres)
	}
	r.out.LonLat = degrees.line > 0
	if feet && r.book.CRS != "" {
		r.remark("x and y are typed in feet and handed on in metres: %s has to be a system in metres", quote(r.book.CRS))
	}
	if r.out.LonLat || metres.line == 0 || r.book.CRS != "" {
		return
	}
	box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	n := 0
	for _, s := range r.spots {
		box, n = box.Extend(s.at), n+1
	}
	if n > 1 && box.Max[0]-box.Min[0] < 0.5 && box.Max[1]-box.Min[1] < 0.5 && math.Abs(box.Min[0]) <= 180 && math.Abs(box.Min[1]) <= 90 {
		r.remark("x and y look like degrees: all points lie within %.4f by %.4f; if they are, name the columns lon,lat", box.Max[0]-box.Min[0], box.Max[1]-box.Min[1])
	}
}

func orPlace(a, b place) place {
	if a.line > 0 {
		return a
	}
	return b
}

func nameOr(e *entry) string {
	if e.name != "" {
		return e.name
	}
	return e.String()
}
