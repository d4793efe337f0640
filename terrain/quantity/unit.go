package quantity

import "strings"

// A ratio is the size of a unit in the unit kept inside the program, as a
// fraction of whole numbers. Multiplying and then dividing by whole numbers
// rounds once, so that 15 ft is exactly the float64 nearest 4.572.
type ratio struct{ num, den float64 }

func (r ratio) of(v float64) float64 { return v * r.num / r.den }

var (
	foot       = ratio{3048, 10000}
	inch       = ratio{254, 10000}
	surveyFoot = ratio{1200, 3937}
)

// lengths is the metres in each unit of length. Feet and inches follow the
// international yard of 1959; the survey foot is as NIST prints it.
var lengths = units{
	{ratio{1, 1}, "m metre metres meter meters"},
	{ratio{1000, 1}, "km kilometre kilometres kilometer kilometers"},
	{ratio{1, 100}, "cm centimetre centimetres centimeter centimeters"},
	{ratio{1, 1000}, "mm millimetre millimetres millimeter millimeters"},
	{foot, "ft foot feet '"},
	{inch, "in inch inches \""},
	{ratio{9144, 10000}, "yd yard yards"},
	{ratio{1609344, 1000}, "mi mile miles"},
	{surveyFoot, "usft ftus ussurveyft ussurveyfoot ussurveyfeet surveyft surveyfoot surveyfeet"},
}

// times is the hours in each unit of time. A plain m is not among them: it
// means metres everywhere else.
var times = units{
	{ratio{1, 3600}, "s sec second seconds"},
	{ratio{1, 60}, "min minute minutes"},
	{ratio{1, 1}, "h hr hrs hour hours"},
	{ratio{24, 1}, "d day days"},
	{ratio{168, 1}, "week weeks"},
}

// areas is the square metres in each unit of area.
var areas = units{
	{ratio{1, 1}, "m2 sqm squaremetre squaremetres squaremeter squaremeters"},
	{ratio{10000, 1}, "ha hectare hectares"},
	{ratio{1000000, 1}, "km2 sqkm squarekilometre squarekilometres squarekilometer squarekilometers"},
	{ratio{9290304, 100000000}, "ft2 sqft squarefoot squarefeet"},
	{ratio{83612736, 100000000}, "yd2 sqyd squareyard squareyards"},
	{ratio{40468564224, 10000000}, "ac acre acres"},
}

// units is a table of unit names, each row a size and the names it goes by.
type units []struct {
	size  ratio
	names string // separated by spaces; compared without spaces and points, in lower case
}

func (us units) find(name string) (ratio, bool) {
	name = bare(name)
	if name == "" {
		return ratio{}, false
	}
	for _, u := range us {
		for known := range strings.FieldsSeq(u.names) {
			if name == known {
				return u.size, true
			}
		}
	}
	return ratio{}, false
}

// bareLetters takes out of a unit what people put between its letters.
var bareLetters = strings.NewReplacer(" ", "", ".", "", "_", "", "^", "")

// bare is a unit as the tables spell it: "Sq. Ft" is "sqft".
func bare(name string) string { return bareLetters.Replace(strings.ToLower(name)) }

// findRate is the size of a unit of speed in metres an hour: a length over a
// time, as in "mm/h", "in per hour" or "um/s".
func findRate(name string) (ratio, bool) {
	over, per, ok := strings.Cut(name, "/")
	if !ok {
		over, per, ok = strings.Cut(strings.ToLower(name), " per ")
	}
	if !ok {
		return ratio{}, false
	}
	l, ok := lengths.find(over)
	if bare(over) == "um" { // micrometres are for soil permeability only
		l, ok = ratio{1, 1000000}, true
	}
	t, known := times.find(per)
	return ratio{l.num * t.den, l.den * t.num}, ok && known
}
