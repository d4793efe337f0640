// Package quantity reads and writes the lengths, depths, areas and rates that
// people type: "15 ft", "4.5 m", `5' 7 1/4"`, "150 mm", "0.3 in/h", "2 ac"; and
// temperatures and ages, "12 °C", "5 years".
//
// # Model
//
// A quantity is a number and a unit. The number may carry a decimal point, a
// decimal comma ("4,5 m"), an exponent or a common fraction ("7 1/4 in",
// "7¼ in"); the unit may be a symbol or the word, in any case. A comma before
// exactly three digits ("1,200 m") could be read two ways a thousandfold
// apart, so it is refused rather than guessed. Where a bare number is
// accepted, its unit follows the [Units] the caller names.
//
// # Units
//
// Inside the program every length is metres, every area square metres, every
// rain millimetres and every rate millimetres an hour. A foot is the
// international foot, 0.3048 m exactly; the US survey foot, 1200/3937 m, must
// be asked for by name ("usft"). The two differ by two parts in a million: nothing on a
// garden bed, 1.2 m in a state-plane easting of two million feet. An acre is
// 43,560 square international feet.
//
// # Limits
//
// Lengths end at 100,000 km, areas at 10^15 m², rain at 100 m and rates at
// 1 m/s: beyond those a figure is a slip of the keyboard. Anything longer than
// 64 bytes is not read.
//
// # References
//
//   - National Institute of Standards and Technology, National Geodetic
//     Survey (2020). Deprecation of the United States (U.S.) Survey Foot.
//     Federal Register 85 FR 62698, 5 October 2020.
//   - National Institute of Standards and Technology (2008). Guide for the
//     Use of the International System of Units. Special Publication 811,
//     appendix B.
package quantity

import (
	"fmt"
	"strings"
)

// Units is the family of units a person reads and writes.
type Units int

const (
	Metric Units = iota
	Feet
)

// ParseUnits reads the name of a family of units as the site file spells it:
// "metric" or "feet".
func ParseUnits(s string) (Units, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "metric":
		return Metric, nil
	case "feet":
		return Feet, nil
	}
	return Metric, fmt.Errorf("%s is not a family of units: use \"metric\" or \"feet\"", quote(s))
}

// String is the name ParseUnits reads.
func (u Units) String() string {
	if u == Feet {
		return "feet"
	}
	return "metric"
}

// Metres is the length of a bare number's unit, m: a metre or an
// international foot.
func (u Units) Metres() float64 {
	if u == Feet {
		return foot.of(1)
	}
	return 1
}
