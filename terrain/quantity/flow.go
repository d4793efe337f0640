package quantity

import "strings"

var (
	volume = kind{"a volume", "3.5 l, 0.02 m3 or 1 gal", volumes.find, 1, 1e12, false, false, true}
	flow   = kind{"a flow of water", "20 l/s, 0.02 m3/s, 300 gal/min or 0.7 ft3/s", findFlow, 1, 1e6, false, false, true}
)

// cubes writes cubes without a digit, which would read as the next number:
// 5ft3in is a length.
var cubes = strings.NewReplacer("m³", "cum", "m^3", "cum", "m3", "cum", "cm3", "cucm", "cm^3", "cucm", "cm³", "cucm",
	"ft³", "cuft", "ft^3", "cuft", "ft3", "cuft", "yd³", "cuyd", "yd^3", "cuyd", "yd3", "cuyd")

// volumes is the cubic metres in each unit of volume. A gallon is that of the
// United States, 231 cubic inches.
var volumes = units{
	{ratio{1, 1}, "cum cubicmetre cubicmetres cubicmeter cubicmeters"},
	{ratio{1, 1000}, "l litre litres liter liters"},
	{ratio{1, 1000000}, "ml cucm"},
	{ratio{28316846592, 1000000000000}, "ft3 cuft cubicfoot cubicfeet"},
	{ratio{764554857984, 1000000000000}, "cuyd cubicyard cubicyards"},
	{ratio{3785411784, 1000000000000}, "gal gallon gallons usgal"},
}

// Volume reads a volume in cubic metres: "3.5 l", "0.02 m3", "1 gal" (US). A
// bare number is refused.
func Volume(s string) (cubicMetres float64, err error) { return volume.read(s, "") }

// Flow reads what a pipe or ditch carries in cubic metres a second: "20 l/s",
// "0.02 m3/s", "300 gal/min" or "300 gpm" (US gallons), "0.7 cfs". A bare number
// is refused, since a pipe's may be any of these.
func Flow(s string) (cubicMetresPerSecond float64, err error) { return flow.read(s, "") }

// findFlow is the size of a unit of flow in cubic metres a second.
func findFlow(name string) (ratio, bool) {
	switch bare(name) {
	case "gpm":
		name = "gal/min"
	case "cfs", "cusec":
		name = "cuft/s"
	}
	over, per, ok := strings.Cut(name, "/")
	if !ok {
		over, per, ok = strings.Cut(strings.ToLower(name), " per ")
	}
	v, known := volumes.find(over)
	t, timed := times.find(per)
	return ratio{v.num * t.den, v.den * t.num * 3600}, ok && known && timed
}
