package assess

import (
	"strings"

	"wetfeet/terrain/quantity"
)

// leastShown is water that is not told from none, m.
const leastShown = 0.005

// DepthSpan is an interval of depths as people say it.
func DepthSpan(v Interval, u quantity.Units) string {
	switch {
	case v.High < leastShown:
		return "none"
	case v.Low < leastShown:
		return "none to " + quantity.FormatDepth(v.High, u)
	}
	low, high := quantity.FormatDepth(v.Low, u), quantity.FormatDepth(v.High, u)
	return join(low, high)
}

// leastHeld is a volume that is not told from none, m³.
const leastHeld = 0.05

// VolumeSpan is an interval of volumes as people say it.
func VolumeSpan(v Interval, u quantity.Units) string {
	switch {
	case v.High < leastHeld:
		return "none"
	case v.Low < leastHeld:
		return "none to " + quantity.FormatVolume(v.High, u)
	}
	return join(quantity.FormatVolume(v.Low, u), quantity.FormatVolume(v.High, u))
}

// HoursSpan is an interval of hours as people say it.
func HoursSpan(v Interval) string {
	switch {
	case v.High <= 0:
		return "never"
	case v.Low <= 0:
		return "never to " + Spell(v.High)
	}
	low, high := Spell(v.Low), Spell(v.High)
	return join(low, high)
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
