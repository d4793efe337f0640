package contour

import (
	"math"
	"strconv"

	"wetfeet/terrain/quantity"
)

// foot is the international foot, m.
const foot = 0.3048

// wanted is how many contours make a relief readable without hiding what is
// drawn over it; common practice, no source.
const wanted = 12

// IndexEvery is how many contours apart the heavier, labelled ones are;
// common practice, no source.
const IndexEvery = 5

// Trust is the least interval, in standard deviations of the elevations, that
// keeps nine elevations in ten read off the contours within half an interval:
// twice the 1.645 of a normal error. The rule is that of the United States
// National Map Accuracy Standards (Bureau of the Budget, 1947), paragraph 2,
// quoted from memory.
const Trust = 3.29

// A Spacing is a tidy contour interval.
type Spacing struct {
	Step  float64        // in Units: metres or feet
	Units quantity.Units // the reader's
}

// Metres is the interval in metres.
func (s Spacing) Metres() float64 { return s.Step * unit(s.Units) }

// String is the interval as a reader writes it: "0.25 m", "1 ft".
func (s Spacing) String() string {
	return strconv.FormatFloat(s.Step, 'f', s.decimals(), 64) + " " + name(s.Units)
}

// A Level is the elevation of a contour.
type Level struct {
	Z     float64 // m
	Index bool    // each fifth, counted from zero elevation
	Label string  // in the reader's units, without the unit
}

// Interval is the interval for a relief from lo to hi, m: the least of 1, 2,
// 2.5 and 5 times a power of ten, in the reader's units, that makes no more
// than twelve contours and is not finer than least, m. Zero for least lets
// the relief decide. Ground without relief gets an interval of one unit.
func Interval(lo, hi, least float64, units quantity.Units) Spacing {
	want := max((hi-lo)/wanted, least) / unit(units)
	if !(want > 0) || math.IsInf(want, 0) {
		return Spacing{1, units}
	}
	return Spacing{TidyUp(want), units}
}

// TidyUp is the least of 1, 2, 2.5 and 5 times a power of ten that is at
// least v, which must be positive.
func TidyUp(v float64) float64 {
	power := int(math.Floor(math.Log10(v)))
	for {
		for _, m := range [...]float64{1, 2, 2.5, 5} {
			// Dividing by a power of ten that is exact gives the double
			// nearest to the decimal; multiplying by 0.1 would not.
			step := m * math.Pow10(max(power, 0)) / math.Pow10(max(-power, 0))
			if step >= v*(1-1e-12) {
				return step
			}
		}
		power++
	}
}

// Levels are the multiples of the interval in the closed range from lo to
// hi, m, rising.
func (s Spacing) Levels(lo, hi float64) []Level {
	m := s.Metres()
	if !(m > 0) || !(lo <= hi) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return nil
	}
	var levels []Level
	for k := math.Ceil(lo/m - 1e-9); k <= hi/m+1e-9; k++ {
		label := strconv.FormatFloat(k*s.Step, 'f', s.decimals(), 64)
		if k == 0 {
			label = strconv.FormatFloat(0, 'f', s.decimals(), 64) // never "-0.0"
		}
		levels = append(levels, Level{
			Z:     float64(k*s.Step) * unit(s.Units),
			Index: math.Mod(k, IndexEvery) == 0,
			Label: label,
		})
	}
	return levels
}

// decimals is how many places it takes to write every multiple of the step.
func (s Spacing) decimals() int {
	for d := range 9 {
		if x := s.Step * math.Pow10(d); math.Abs(x-math.Round(x)) < 1e-9 {
			return d
		}
	}
	return 9
}

func unit(u quantity.Units) float64 {
	if u == quantity.Feet {
		return foot
	}
	return 1
}

func name(u quantity.Units) string {
	if u == quantity.Feet {
		return "ft"
	}
	return "m"
}
