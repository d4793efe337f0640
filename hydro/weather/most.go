package weather

import (
	"fmt"
	"math"
)

// The most rain ever measured at one place in so long, as the World
// Meteorological Organization keeps the list, from memory: 38 mm in a minute,
// 401 in an hour, 1144 in 12 hours, 1825 in 24, 3930 in 72, 4936 in 96, 26.47 m
// in a year.
var mostHours = []float64{1.0 / 60, 1, 12, 24, 72, 96, 8760}
var mostRain = []float64{38, 401, 1144, 1825, 3930, 4936, 26470}

// mostEver is the most rain, mm, that was ever measured in so many hours:
// straight between the records in logarithms, as they lie.
func mostEver(hours float64) float64 {
	x, xs, ys := math.Log(hours), make([]float64, len(mostHours)), make([]float64, len(mostHours))
	for i := range xs {
		xs[i], ys[i] = math.Log(mostHours[i]), math.Log(mostRain[i])
	}
	return math.Exp(between(xs, ys, x))
}

// checkDepth refuses rain that cannot be: most often a depth in inches or
// metres that was in millimetres.
func checkDepth(mm, hours float64) error {
	// Between the listed durations the true record may lie above the line.
	most := mostEver(hours)
	if mm <= 1.25*most {
		return nil
	}
	text := fmt.Sprintf("%.5g mm (%.4g in) of rain in %s is more than ever fell on earth, about %.0f mm",
		mm, mm/25.4, span(hours), most)
	typed := mm / 25.4
	if tenths := 10 * typed; math.Abs(tenths-math.Round(tenths)) > 1e-6 { // nobody types such inches
		typed = mm / 1000
	}
	if typed >= 1 && typed <= most {
		text += fmt.Sprintf("; did you mean %.4g mm?", typed)
	}
	return mistaken("%s", text)
}

// span writes hours as people do.
func span(hours float64) string {
	if hours < 1 {
		return fmt.Sprintf("%.3g min", hours*60)
	}
	if hours > 96 {
		return fmt.Sprintf("%.3g d", hours/24)
	}
	return fmt.Sprintf("%.4g h", hours)
}
