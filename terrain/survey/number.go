package survey

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"wetfeet/terrain/quantity"
)

// number reads a plain decimal number. A comma may stand for the point where
// the file allows it. The problem is empty when it could be read, otherwise
// the words that complete the sentence "the value ...".
func number(text string, comma bool) (float64, string) {
	const wanted = "a plain number such as 12.34"
	if text == "" {
		return 0, "is empty, not " + wanted
	}
	plain := text
	if strings.Contains(text, ",") {
		if !comma || strings.Count(text, ",") > 1 || strings.Contains(text, ".") {
			return 0, quote(text) + " is not " + wanted
		}
		plain = strings.Replace(text, ",", ".", 1)
	}
	// ParseFloat also takes hexadecimal, underscores, inf and nan, none of
	// which is a coordinate.
	if strings.Trim(plain, "+-.0123456789eE") != "" {
		return 0, quote(text) + " is not " + wanted
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, quote(text) + " is not " + wanted
	}
	return v, ""
}

// withUnit reads a length of a table that carries its own unit, whatever that
// of its column is: 32' 9 3/4", 9.98 m. In metres; not ok where it carries none,
// or where the role is an angle.
func withUnit(r role, text string) (metres float64, ok bool) {
	switch r {
	case easting, northing, height, uncertainty, sway:
	default:
		return 0, false
	}
	if !strings.ContainsFunc(text, func(c rune) bool {
		return unicode.IsLetter(c) || strings.ContainsRune("'\"\u2032\u2033\u2018\u2019\u201c\u201d", c)
	}) {
		return 0, false
	}
	v, err := quantity.Elevation(text, quantity.Metric)
	return v, err == nil
}

// quote shows a value from the file: short, on one line, in quotes.
func quote(text string) string { return strconv.Quote(shorten(text)) }

func shorten(text string) string {
	const most = 40
	text = strings.ToValidUTF8(text, "\ufffd")
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "..."
	}
	return text
}

// span is the numbers a quantity may lie between.
type span struct {
	low, high float64
	what      string // completes "is not ..."
}

// What a shot may say. Land lies between -430 m and 8849 m; the rest is room
// for mines and local data. No projected system reaches 100,000 km.
var spans = map[role]span{
	easting:     {-1e8, 1e8, "a coordinate between -1e8 and 1e8 m"},
	northing:    {-1e8, 1e8, "a coordinate between -1e8 and 1e8 m"},
	longitude:   {-180, 180, "a longitude, -180 to 180 degrees"},
	latitude:    {-90, 90, "a latitude, -90 to 90 degrees"},
	height:      {-1000, 9000, "a height between -1000 and 9000 m"},
	uncertainty: {math.SmallestNonzeroFloat64, 100, "an error above 0 and up to 100 m; leave it empty where it is not known"},
	sway:        {0, 100, "a horizontal error from 0 to 100 m; leave it empty where it is not known"},
}

// check is the problem with a value of a role, in metres or degrees, or
// nothing.
func check(r role, v float64, text string) string {
	if s := spans[r]; !(v >= s.low && v <= s.high) {
		return fmt.Sprintf("%s is not %s", quote(text), s.what)
	}
	return ""
}
