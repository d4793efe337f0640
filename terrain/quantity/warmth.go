package quantity

import (
	"fmt"
	"strings"
)

// coldest and warmest bound a temperature of soil or air that is believed, °C:
// beyond them someone meant another scale.
const coldest, warmest = -40, 60

// Temperature reads a temperature in degrees Celsius: "12 °C", "54 F", "-3 C". A
// bare number is Celsius, or Fahrenheit where bare is [Feet]. It lies between
// -40 and 60 °C.
func Temperature(s string, bare Units) (celsius float64, err error) {
	refuse := func(why string) (float64, error) {
		return 0, fmt.Errorf("%s is not a temperature: %s", quote(s), why)
	}
	parts, err := split(s)
	if err != nil || len(parts) != 1 {
		return refuse("use a number and a unit, such as 12 °C or 54 °F")
	}
	scale := strings.ToLower(strings.Join(strings.Fields(strings.NewReplacer("°", "", "º", "", "℃", "c", "℉", "f", "degrees", "", "deg", "").Replace(parts[0].unit)), ""))
	if scale == "" {
		scale = "c"
		if bare == Feet {
			scale = "f"
		}
	}
	v := parts[0].value
	switch scale {
	case "c", "celsius":
	case "f", "fahrenheit":
		v = (v - 32) / 1.8
	default:
		return refuse("use a number and a unit, such as 12 °C or 54 °F")
	}
	if !(v >= coldest && v <= warmest) {
		return refuse(fmt.Sprintf("from %d to %d °C are taken", coldest, warmest))
	}
	return v, nil
}

// FormatTemperature writes a temperature as people read it: "12 °C", or "54 °F"
// where units are [Feet].
func FormatTemperature(celsius float64, u Units) string {
	v, unit := celsius, "°C"
	if u == Feet {
		v, unit = 32+1.8*celsius, "°F"
	}
	text := strings.Replace(fmt.Sprintf("%.0f", v), "-", "−", 1)
	if text == "−0" {
		text = "0"
	}
	return text + " " + unit
}

var (
	age  = kind{"an age", "5 years or 18 months", ages.find, 1, 1000, false, false, false}
	ages = units{
		{ratio{1, 1}, "year years yr yrs a"},
		{ratio{1, 12}, "month months mo mos"},
	}
)

// Years reads an age in years: "5 years", "18 months". A bare number is years.
func Years(s string) (years float64, err error) { return age.read(s, "years") }
