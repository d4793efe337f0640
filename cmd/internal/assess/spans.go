package assess

import (
	"math"
	"strings"

	"wetfeet/terrain/quantity"
)

// leastShown is water that is not told from none, m.
const leastShown = 0.005

// leastHeld is a volume that is not told from none, m³.
const leastHeld = 0.05

// DepthSpan is an interval of depths as people say it.
func DepthSpan(v Interval, u quantity.Units) string {
	return span(v, leastShown, "none", func(m float64) string { return quantity.FormatDepth(m, u) })
}

// VolumeSpan is an interval of volumes as people say it.
func VolumeSpan(v Interval, u quantity.Units) string {
	return span(v, leastHeld, "none", func(m3 float64) string { return quantity.FormatVolume(m3, u) })
}

// HoursSpan is an interval of hours as people say it.
func HoursSpan(v Interval) string {
	return span(v, math.SmallestNonzeroFloat64, "never", Spell)
}

// span writes an interval; what is below the least counts as nothing.
func span(v Interval, least float64, nothing string, write func(float64) string) string {
	switch {
	case v.High < least:
		return nothing
	case v.Low < least:
		return nothing + " to " + write(v.High)
	}
	return join(write(v.Low), write(v.High))
}

// join writes two figures as a span, their unit once where it is the same.
func join(low, high string) string {
	if low == high {
		return low
	}
	if figure, unit, ok := strings.Cut(low, " "); ok && strings.HasSuffix(high, " "+unit) {
		low = figure
	}
	return low + " to " + high
}
