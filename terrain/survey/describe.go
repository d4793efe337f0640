package survey

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/terrain/quantity"
)

// String describes the model in one line, in metres.
func (m *Model) String() string { return m.In(quantity.Metric) }

// In describes the model in one line, in metres or in feet, such as
//
//	planar trend falling 0.40 % to the south-east; Matérn 3/2, sd 0.12 m, range 34 m; shot error 1.2 cm
//
// The deviation is that of the ground about its trend. The range is the
// distance at which likeness has all but gone ([Covariance.Reach]), with its
// bearing and that across where it is not the same in all directions.
func (m *Model) In(u quantity.Units) string {
	c := m.Covariance
	length := func(m float64) string { return lengthIn(m, u) }
	text := fmt.Sprintf("%s; %s, sd %s, range %s", m.describeTrend(), c.Kernel, length(math.Sqrt(c.Sill)), length(c.Reach()))
	if a := m.Anisotropy; a.Ratio < 1 {
		text += fmt.Sprintf(" toward %03.0f°, %s across", a.Bearing, length(a.Ratio*c.Reach()))
	}
	switch n := len(m.lines); n {
	case 0:
	case 1:
		text += "; 1 breakline"
	default:
		text += fmt.Sprintf("; %d breaklines", n)
	}
	return text + "; " + m.describeError(length)
}

func (m *Model) describeTrend() string {
	if m.Trend == Constant {
		return "level trend"
	}
	east, north := m.Tilt()
	fall := math.Hypot(east, north)
	if fall < 5e-6 {
		return "planar trend, level"
	}
	winds := [8]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	bearing := math.Atan2(-east, -north) / (math.Pi / 4) // downhill, eighths of a turn clockwise from north
	return fmt.Sprintf("planar trend falling %.2g %% to the %s", 100*fall, winds[(int(math.Round(bearing))+8)%8])
}

func (m *Model) describeError(length func(m float64) string) string {
	least, most := math.Inf(1), 0.0
	fitted := false
	for _, v := range m.samples.noise {
		if math.IsNaN(v) {
			fitted = true
			continue
		}
		least, most = min(least, math.Sqrt(v)), max(most, math.Sqrt(v))
	}
	var parts []string
	switch {
	case most > 0 && length(least) == length(most):
		parts = append(parts, length(most)+" as stated")
	case most > 0:
		parts = append(parts, length(least)+" to "+length(most)+" as stated")
	}
	switch {
	case fitted && m.Covariance.Nugget == 0:
		parts = append(parts, "none")
	case fitted:
		parts = append(parts, length(math.Sqrt(m.Covariance.Nugget)))
	}
	return "shot error " + strings.Join(parts, ", else ")
}

// length writes a length with two figures, in the unit a person would use.
// lengthIn does so in either family of units.
func length(m float64) string { return lengthIn(m, quantity.Metric) }

func lengthIn(m float64, u quantity.Units) string {
	if u == quantity.Feet {
		switch feet := m / 0.3048; {
		case feet >= 9.95:
			return fmt.Sprintf("%.0f ft", feet)
		case feet >= 0.995:
			return fmt.Sprintf("%.1f ft", feet)
		}
		return fmt.Sprintf("%.2g in", m/0.0254)
	}
	switch {
	case m >= 99.5:
		return fmt.Sprintf("%.0f m", m)
	case m >= 0.0995:
		return fmt.Sprintf("%.2g m", m)
	case m >= 0.00995:
		return fmt.Sprintf("%.2g cm", 100*m)
	}
	return fmt.Sprintf("%.2g mm", 1000*m)
}
