package fieldbook

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"wetfeet/terrain/quantity"
)

// A value is one number of the book in metres or degrees, with the text it
// was typed as.
type value struct {
	v    float64
	text string
	unit string // of the number as typed, "m" or "ft" or the like
	ok   bool   // the cell was filled
}

// length reads a length or an elevation. A number without a unit is in the
// unit given.
func length(text, unit string, signed bool) (value, error) {
	read := quantity.Length
	if signed {
		read = quantity.Elevation
	}
	full := text
	if bare(text) {
		full = text + " " + unit
	} else {
		unit = typedUnit(text)
	}
	v, err := read(full, quantity.Metric)
	return value{v, text, unit, true}, err
}

// bare reports whether a number was typed without a unit.
func bare(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool {
		return unicode.IsLetter(r) && r != 'e' && r != 'E' || strings.ContainsRune(`'"′″’”`, r)
	})
}

// typedUnit is the family a typed unit belongs to, for guesses at slips.
func typedUnit(text string) string {
	lower := strings.ToLower(text)
	switch {
	case strings.ContainsAny(lower, `'"′″’”`) || strings.Contains(lower, "in"):
		return "in"
	case strings.Contains(lower, "ft") || strings.Contains(lower, "fe"):
		return "ft"
	}
	return "m"
}

// inFeet reports whether a unit belongs to the feet and inches.
func inFeet(unit string) bool { return unit == "ft" || unit == "in" || unit == "usft" || unit == "yd" }

// unitNames are the units a bare number may be said to be in.
var unitNames = map[string]string{
	"m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "metric": "m",
	"cm": "cm", "mm": "mm", "ft": "ft", "foot": "ft", "feet": "ft", "in": "in", "inch": "in", "inches": "in",
	"usft": "usft", "us survey ft": "usft", "us survey foot": "usft", "us survey feet": "usft", "survey feet": "usft",
}

const unitsKnown = "m, cm, mm, ft, in or usft (US survey foot)"

// degrees reads a plain decimal number of degrees.
func degrees(text string) (float64, error) {
	text = strings.TrimSpace(strings.TrimSuffix(text, "°"))
	if strings.Trim(text, "+-.0123456789") != "" {
		return 0, errors.New("not decimal degrees")
	}
	return strconv.ParseFloat(text, 64)
}

// ParseBearing reads a direction in degrees, clockwise from north: whole
// circle ("60", "60.5", "60°30'15\"", "60 30 15") or quadrant ("N 60 E",
// "S 45°30' W"), or one of N, E, S and W alone.
func ParseBearing(s string) (float64, error) {
	refuse := func(why string) (float64, error) {
		return 0, fmt.Errorf("%s is not a bearing: %s", quote(s), why)
	}
	const forms = `use degrees from north, 0 to 360, as 60.5 or 60°30', or a quadrant as N 60 E`
	text := strings.ToUpper(strings.TrimSpace(s))
	for _, word := range [][2]string{{"NORTH", "N"}, {"SOUTH", "S"}, {"EAST", "E"}, {"WEST", "W"}} {
		text = strings.ReplaceAll(text, word[0], word[1])
	}
	if at := strings.Index("NESW", text); at >= 0 && len(text) == 1 {
		return float64(90 * at), nil
	}
	quadrant := text != "" && strings.ContainsAny(text[:1], "NS")
	from, to := byte(0), byte(0)
	if quadrant {
		from, to = text[0], text[len(text)-1]
		if to != 'E' && to != 'W' || len(text) < 3 {
			return refuse("a quadrant bearing ends in E or W, as N 60 E")
		}
		text = text[1 : len(text)-1]
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" °º'\"′″’”:", r) })
	if len(parts) == 0 || len(parts) > 3 {
		return refuse(forms)
	}
	angle := 0.0
	for i, p := range parts {
		v, err := degrees(p)
		switch {
		case err != nil || strings.ContainsAny(p, "+-") || i < len(parts)-1 && strings.Contains(p, "."):
			return refuse(forms)
		case i > 0 && v >= 60:
			return refuse("minutes and seconds end below 60")
		}
		angle += v / math.Pow(60, float64(i))
	}
	switch {
	case quadrant && angle > 90:
		return refuse("the angle of a quadrant bearing is 0 to 90 degrees")
	case angle > 360:
		return refuse("a whole circle is 0 to 360 degrees")
	case from == 'N' && to == 'W':
		angle = 360 - angle
	case from == 'S' && to == 'E':
		angle = 180 - angle
	case from == 'S':
		angle = 180 + angle
	}
	return math.Mod(angle, 360), nil
}

var errNoSide = errors.New("an offset needs its side")

// offset reads a distance to the side of a base line, right positive:
// "3.2 L", "R 4' 6\"", "left 2 m". A plain 0 needs no side.
func offset(text, unit string) (value, error) {
	lower := strings.ToLower(strings.TrimSpace(text))
	sign := 0.0
	for _, side := range []struct {
		word string
		sign float64
	}{{"left", -1}, {"right", 1}, {"l", -1}, {"r", 1}} {
		if rest, ok := strings.CutPrefix(lower, side.word); ok && rest != "" && !unicode.IsLetter(rune(rest[0])) {
			lower, sign = rest, side.sign
			break
		}
		if rest, ok := strings.CutSuffix(lower, side.word); ok && rest != "" && !unicode.IsLetter(rune(rest[len(rest)-1])) {
			lower, sign = rest, side.sign
			break
		}
	}
	v, err := length(strings.TrimSpace(lower), unit, sign == 0)
	if err != nil {
		return v, fmt.Errorf("%s is not an offset: use a length and its side, as 3.2 L or 3.2 R", quote(text))
	}
	if sign == 0 && v.v != 0 {
		return v, errNoSide
	}
	v.v, v.text = v.v*sign, text
	return v, nil
}

// grade reads what a receiver shows against a grade: "C 0.12" or "cut 0.12"
// for ground above it, "F 0.05" or "fill 0.05" below, or a signed number,
// above positive.
func grade(text, unit string) (value, error) {
	lower := strings.ToLower(strings.TrimSpace(text))
	for _, w := range []struct {
		word string
		sign float64
	}{{"cut", 1}, {"fill", -1}, {"c", 1}, {"f", -1}} {
		if rest, ok := strings.CutPrefix(lower, w.word); ok && rest != "" && !unicode.IsLetter(rune(rest[0])) {
			v, err := length(strings.TrimSpace(rest), unit, false)
			v.v, v.text = v.v*w.sign, text
			return v, err
		}
	}
	return length(lower, unit, true)
}
