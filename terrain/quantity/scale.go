package quantity

import "math"

// TidyStep is the smallest step of 1, 2 or 5 times a power of ten, in the
// units a reader uses, that is no shorter than least metres. It is returned in
// metres. It is for the ticks of a scale, and panics on a least that is not a
// positive number.
func TidyStep(least float64, u Units) float64 {
	if !(least > 0) || math.IsInf(least, 1) {
		panic("quantity: a scale needs a step above zero")
	}
	unit := ratio{1, 1}
	if u == Feet {
		unit = foot
	}
	wanted := least / unit.of(1)
	power := math.Pow(10, math.Floor(math.Log10(wanted)))
	for _, m := range [...]float64{1, 2, 5, 10} {
		// A step typed by a person may come back a rounding short of itself.
		if step := m * power; step*(1+1e-12) >= wanted {
			return unit.of(step)
		}
	}
	return unit.of(10 * power)
}

// FormatLevel writes an elevation with as many decimals as tell levels step
// metres apart from each other: "186.5 m" with steps of 0.5 m, "612 ft" with
// steps of 2 ft.
func FormatLevel(metres, step float64, u Units) string {
	name, unit := "m", 1.0
	if u == Feet {
		name, unit = "ft", foot.of(1)
	}
	decimals := 0
	// A centimetre is 0.033 ft, which takes hundredths.
	if s := step / unit; s > 0 && s < 1 {
		decimals = min(6, int(math.Ceil(-math.Log10(s)-1e-9)))
	}
	return write(metres/unit, decimals, name)
}
