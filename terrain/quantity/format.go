package quantity

import (
	"math"
	"strconv"
	"strings"
)

// unknown is what a report says where nothing is known.
const unknown = "unknown"

// FormatLength writes a height, a spacing or another length that people level
// or tape, to a centimetre or a hundredth of a foot: "2.29 m", "7.50 ft".
func FormatLength(metres float64, u Units) string {
	if u == Feet {
		return write(metres/foot.of(1), 2, "ft")
	}
	return write(metres, 2, "m")
}

// FormatDistance writes how far apart things are along the ground: "180.6 m",
// "592.5 ft", and from 10,000 of either on "12.35 km", "2.34 mi".
func FormatDistance(metres float64, u Units) string {
	if u == Feet {
		feet := metres / foot.of(1)
		if math.Abs(feet) >= 10000 {
			return write(feet/5280, 2, "mi")
		}
		return write(feet, 1, "ft")
	}
	if math.Abs(metres) >= 10000 {
		return write(metres/1000, 2, "km")
	}
	return write(metres, 1, "m")
}

// FormatDepth writes a depth of water or of error, given in metres, to what
// ground can be known to: "0.4 cm", "12 cm", "4.7 in"; one of a metre or of
// four feet and more as a length: "1.06 m", "4.21 ft".
func FormatDepth(metres float64, u Units) string {
	if math.Abs(metres) >= 1 && u == Metric {
		return write(metres, 2, "m")
	}
	if fourFeet := 4 * foot.of(1); math.Abs(metres) >= fourFeet && u == Feet {
		return write(metres/foot.of(1), 2, "ft")
	}
	if u == Feet {
		return few(metres/inch.of(1), "in")
	}
	return few(metres*100, "cm")
}

// BuiltMound is the height that a mound of so many metres is built to, m: in
// whole centimetres or inches, as a spade can do. What is between them is
// rounded up, as a mound too low does not do what it is for.
func BuiltMound(metres float64, u Units) float64 {
	const hair = 1e-6
	if u == Feet {
		return inch.of(math.Ceil(metres/inch.of(1) - hair))
	}
	return math.Ceil(100*metres-hair) / 100
}

// FormatMound writes the height that a mound is built to, see BuiltMound:
// "35 cm", "8 in". One of a metre or of four feet and more is a length, as of
// FormatDepth.
func FormatMound(metres float64, u Units) string {
	h := BuiltMound(metres, u)
	switch {
	case u == Feet && h < 4*foot.of(1):
		return write(h/inch.of(1), 0, "in")
	case u == Metric && h < 1:
		return write(100*h, 0, "cm")
	}
	return FormatDepth(h, u)
}

// FormatRain writes a depth of rain given in millimetres: "150 mm", "5.9 in",
// and under an inch to the hundredth that gauges read: "0.16 in".
func FormatRain(mm float64, u Units) string {
	if u == Feet {
		if in := mm / 25.4; math.Abs(in) < 0.995 {
			return write(in, 2, "in")
		}
		return few(mm/25.4, "in")
	}
	return few(mm, "mm")
}

// FormatRate writes a rate given in millimetres an hour: "12 mm/h",
// "0.47 in/h".
func FormatRate(mmPerHour float64, u Units) string {
	if u == Feet {
		return write(mmPerHour/25.4, 2, "in/h")
	}
	return few(mmPerHour, "mm/h")
}

// FormatArea writes an area given in square metres: "85 m²", "1.50 ha",
// "915 sq ft", "2.00 ac".
func FormatArea(squareMetres float64, u Units) string {
	small, large, unit, big := squareMetres, squareMetres/10000, "m²", "ha"
	if u == Feet {
		small = squareMetres / 0.09290304
		large, unit, big = small/43560, "sq ft", "ac"
	}
	if math.Abs(large) >= 1 {
		return write(large, 2, big)
	}
	return few(small, unit)
}

// FormatVolume writes a volume given in cubic metres: "7.5 m³", "120 yd³".
func FormatVolume(cubicMetres float64, u Units) string {
	if u == Feet {
		return few(cubicMetres/(0.9144*0.9144*0.9144), "yd³")
	}
	return few(cubicMetres, "m³")
}

// few writes one decimal below ten, where it tells something, and none above.
func few(v float64, unit string) string {
	if math.Abs(v) < 9.95 {
		return write(v, 1, unit)
	}
	return write(v, 0, unit)
}

// write rounds v to so many decimals. A number that rounds to nothing has no
// sign, and one that is not known says so.
func write(v float64, decimals int, unit string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s + " " + unit
}
