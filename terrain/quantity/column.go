package quantity

import "strings"

// ColumnUnit takes the unit off the heading of a column of lengths: "z_ft",
// "z (ft)" and "z [ft]" are the column z in feet. Factor is the metres in one
// of the unit. Where the heading ends in no unit it comes back trimmed, with a
// factor of 1 and ok false; whether that means metres is for the reader of the
// table to say.
//
// The units are m, cm, mm, km, ft, in, yd and usft (US survey feet).
func ColumnUnit(heading string) (base string, factor float64, ok bool) {
	heading = strings.TrimSpace(heading)
	name, unit := heading, ""
	switch i := strings.LastIndexAny(heading, "_(["); {
	case i <= 0:
	case heading[i] == '_':
		name, unit = heading[:i], heading[i+1:]
	case heading[i] == '(':
		if inner, closed := strings.CutSuffix(heading[i+1:], ")"); closed {
			name, unit = heading[:i], inner
		}
	default:
		if inner, closed := strings.CutSuffix(heading[i+1:], "]"); closed {
			name, unit = heading[:i], inner
		}
	}
	name = strings.TrimSpace(name)
	switch strings.ToLower(strings.TrimSpace(unit)) {
	case "m", "cm", "mm", "km", "ft", "in", "yd", "usft":
		if size, known := lengths.find(unit); known && name != "" {
			return name, size.of(1), true
		}
	}
	return heading, 1, false
}
