package weather

import (
	"math"
	"slices"
	"strings"
)

// A field is a column that is understood.
type field struct {
	at     int // column
	name   string
	mm     float64 // of rain and evaporation: mm in one of its unit
	warm   bool    // of temperatures: degrees Fahrenheit
	most   float64
	least  float64
	what   string // what a value is, for messages
	values *[]float64
}

// header finds the columns.
func (in *recordReading) header() bool {
	in.date = -1
	seen := make(map[string]string)
	for i, heading := range in.columns {
		name, unit := recordColumn(heading)
		f := field{at: i, name: heading}
		rec := in.record
		switch name {
		case "date", "time":
			if in.date >= 0 {
				in.bad.add(in.line, heading, "is a second column of dates beside %s; keep one", quote(in.columns[in.date]))
				continue
			}
			in.date = i
			continue
		case "rain", "et":
			f.values, f.what = &rec.Rain, "a depth of rain, 0 or more"
			if name == "et" {
				f.values, f.what = &rec.ET, "a depth of evaporation from 0 to 30 mm a day"
			}
			var known bool
			if f.mm, known = map[string]float64{"mm": 1, "cm": 10, "in": 25.4}[unit]; !known {
				in.bad.add(in.line, heading, "has no unit known here; name it %s_mm or %s_in", name, name)
				continue
			}
			f.most = math.Inf(1)
		case "tmin", "tmax":
			f.values, f.least, f.most, f.what = &rec.TMin, -90, 60, "an air temperature from -90 to 60 °C"
			if name == "tmax" {
				f.values = &rec.TMax
			}
			if unit != "c" && unit != "f" {
				in.bad.add(in.line, heading, "has no unit known here; name it %s_c or %s_f", name, name)
				continue
			}
			f.warm = unit == "f"
		case "rhmin", "rhmax":
			f.values, f.least, f.most, f.what = &rec.RHMin, 0, 100, "a relative humidity from 0 to 100 %"
			if name == "rhmax" {
				f.values = &rec.RHMax
			}
		case "wind":
			f.values, f.least, f.most, f.what = &rec.Wind, 0, 100, "a wind from 0 to 100 m/s"
		case "sun":
			f.values, f.least, f.most, f.what = &rec.Sun, 0, 24, "from 0 to 24 h of sunshine"
		default:
			continue
		}
		if before, twice := seen[name]; twice {
			in.bad.add(in.line, heading, "is a second column of %s beside %s; keep one", name, quote(before))
			continue
		}
		seen[name] = heading
		in.fields = append(in.fields, f)
	}
	slices.SortStableFunc(in.fields, func(a, b field) int {
		return boolOrder(b.values == &in.record.Rain, a.values == &in.record.Rain)
	})
	found := strings.Join(in.columns, in.mark)
	if in.date < 0 {
		in.bad.add(in.line, "", "no column of dates among %s; needed are date,rain_mm", quote(found))
	}
	if _, rain := seen["rain"]; !rain && !in.bad.any() {
		in.bad.add(in.line, "", "no column of rain among %s; needed are date,rain_mm", quote(found))
	}
	for _, pair := range [][2]string{{"tmin", "tmax"}, {"rhmin", "rhmax"}} {
		_, low := seen[pair[0]]
		_, high := seen[pair[1]]
		if low != high {
			in.bad.add(in.line, "", "found only one of %s and %s; both or neither are needed", pair[0], pair[1])
		}
	}
	return !in.bad.any()
}

func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// recordColumn parts a heading into what it holds and its unit, both in lower
// case: rain_mm, "Rain (mm)", precip_in, rh_min_pct, tmax_c.
func recordColumn(heading string) (name, unit string) {
	parts := strings.FieldsFunc(strings.ToLower(heading), func(r rune) bool {
		return strings.ContainsRune(" _-()[]/°.", r)
	})
	if n := len(parts); n > 1 {
		switch parts[n-1] {
		case "mm", "cm", "in", "c", "f", "pct", "%", "h", "s":
			unit, parts = parts[n-1], parts[:n-1]
		}
	}
	switch name = strings.Join(parts, ""); name {
	case "precipitation", "precip", "rainfall", "p", "prcp":
		name = "rain"
	case "et0", "eto", "pet", "evapotranspiration":
		name = "et"
	case "day", "datetime", "timestamp":
		name = "date"
	case "windm", "wind2m":
		name = "wind"
	case "sunshine", "sunhours":
		name = "sun"
	}
	return name, unit
}
