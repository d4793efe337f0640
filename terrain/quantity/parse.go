package quantity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
)

// A kind is one sort of quantity: what it is called, what units it takes and
// how large it may be.
type kind struct {
	name     string
	examples string
	find     func(unit string) (ratio, bool)
	scale    float64 // units kept inside the program in one of find's
	most     float64 // in the unit kept inside the program
	signed   bool    // may be below zero
	compound bool    // may be a sum of smaller and smaller units
	cubic    bool    // its units may be cubes, so that a 3 behind one is no number
}

var (
	length    = kind{"a length", "15 ft, 4.5 m, 6 in or 150 mm", lengths.find, 1, 1e8, false, false, false}
	elevation = kind{"an elevation", "612.4 ft or 186.66 m", lengths.find, 1, 1e8, true, false, false}
	rain      = kind{"a depth of rain", "150 mm, 15 cm or 6 in", lengths.find, 1000, 1e5, false, false, false}
	rate      = kind{"a rate", "12 mm/h, 0.3 in/h or 2 cm/d", findRate, 1000, 3.6e6, false, false, false}
	area      = kind{"an area", "400 m2, 1.5 ha, 2 ac or 4300 sq ft", areas.find, 1, 1e15, false, false, false}
	duration  = kind{"a length of time", "24 h, 90 min or 2 d", times.find, 1, 1e6, false, true, false}
)

// Length reads a length in metres: "15 ft", "4.5 m", "6 in", "150 mm",
// `5' 7 1/4"`, "1200 usft". A bare number is metres, or feet where bare is
// [Feet]. It is finite and not below zero.
func Length(s string, bare Units) (metres float64, err error) {
	return length.read(s, bareLength(bare))
}

// Elevation reads a height above or below some datum in metres. It is a
// [Length] that may be below zero.
func Elevation(s string, bare Units) (metres float64, err error) {
	return elevation.read(s, bareLength(bare))
}

// Rain reads a depth of rain in millimetres: "150 mm", "6 in". A bare number
// is millimetres, or inches where bare is [Feet].
func Rain(s string, bare Units) (mm float64, err error) {
	unit := "mm"
	if bare == Feet {
		unit = "in"
	}
	return rain.read(s, unit)
}

// Rate reads how fast water soaks in, in millimetres an hour: "12 mm/h",
// "0.3 in/h", "2 cm/d", "10 um/s". A bare number is millimetres an hour, or
// inches an hour where bare is [Feet].
func Rate(s string, bare Units) (mmPerHour float64, err error) {
	unit := "mm/h"
	if bare == Feet {
		unit = "in/h"
	}
	return rate.read(s, unit)
}

// Area reads an area in square metres: "400 m2", "1.5 ha", "2 ac", "4300 sq
// ft". A bare number is square metres, or square feet where bare is [Feet].
func Area(s string, bare Units) (squareMetres float64, err error) {
	unit := "m2"
	if bare == Feet {
		unit = "ft2"
	}
	return area.read(s, unit)
}

// Duration reads a length of time: "24 h", "90 min", "2 d", "1 h 30 min". A
// bare number is refused, since hours and days are both usual.
func Duration(s string) (time.Duration, error) {
	hours, err := duration.read(s, "")
	return time.Duration(math.Round(hours * float64(time.Hour))), err
}

func bareLength(u Units) string {
	if u == Feet {
		return "ft"
	}
	return "m"
}

// read is the quantity s in the unit kept inside the program, bare being the
// unit of a number without one.
func (k kind) read(s, bare string) (float64, error) {
	text := s
	if k.cubic {
		text = cubes.Replace(s)
	}
	parts, err := split(text)
	if errors.Is(err, errComma) {
		return 0, k.refuse(s, err.Error())
	}
	if err != nil {
		return 0, k.refuse(s, k.advice())
	}
	sum, above := 0.0, math.Inf(1) // above: the size of the unit before
	for i, p := range parts {
		switch {
		case i > 0 && k.joins(parts[i-1].unit, p):
			p.value = math.Abs(p.value) // the hyphen of 5'-7"
			p.unit = cmp.Or(p.unit, "in")
		case i > 0 && (p.value < 0 || !k.compound):
			return 0, k.refuse(s, k.advice())
		case p.unit == "" && bare != "" && !p.comma && len(parts) == 1:
			p.unit = bare // a decimal comma without a unit is too easily a list of two
		}
		size, ok := k.find(p.unit)
		if !ok {
			return 0, k.refuse(s, k.advice())
		}
		v, one := size.of(math.Abs(p.value)*k.scale), size.of(k.scale)
		if i > 0 && v >= above && k.joins(parts[i-1].unit, p) {
			return 0, k.refuse(s, fmt.Sprintf("%.4g inches are a foot or more; write the feet and what is left, or inches alone", math.Abs(p.value)))
		}
		if i > 0 && v >= above {
			return 0, k.refuse(s, fmt.Sprintf("its part in %q is not smaller than one of the unit before it", p.unit))
		}
		sum, above = sum+v, one
	}
	if parts[0].value < 0 {
		sum = -sum
	}
	switch {
	case sum < 0 && !k.signed:
		return 0, k.refuse(s, "it is below zero")
	case !(math.Abs(sum) <= k.most):
		return 0, k.refuse(s, "it is far too large")
	}
	return sum + 0, nil // not -0
}

// joins reports whether p is the inches behind so many feet: 5' 7 1/4",
// 5 ft 7 in, 5'-7" and, the unit left out, 5'7.
func (k kind) joins(before string, p part) bool {
	f, _ := lengths.find(before)
	in, ok := lengths.find(p.unit)
	return k.scale == 1 && !k.compound && f == foot &&
		(p.unit == "" || ok && in == inch) && (p.value >= 0 || p.hyphen)
}

func (k kind) advice() string { return "use a number and a unit, such as " + k.examples }

func (k kind) refuse(s, why string) error {
	return fmt.Errorf("%s is not %s: %s", quote(s), k.name, why)
}

// quote shows what was typed, cut where it grows past all reason.
func quote(s string) string {
	if len(s) > longest {
		s = strings.ToValidUTF8(s[:longest], "") + "…"
	}
	return fmt.Sprintf("%q", s)
}
