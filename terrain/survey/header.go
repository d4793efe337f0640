package survey

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"wetfeet/terrain/quantity"
)

// A role is what a column is to a shot.
type role int

const (
	extra role = iota
	easting
	northing
	longitude
	latitude
	height
	uncertainty
	sway
	label
)

// roles are the names a column may go by, in lower case, any of them with a
// unit behind it.
var roles = map[string]role{
	"x": easting, "e": easting, "east": easting, "easting": easting,
	"y": northing, "n": northing, "north": northing, "northing": northing,
	"lon": longitude, "lng": longitude, "long": longitude, "longitude": longitude,
	"lat": latitude, "latitude": latitude,
	"z": height, "h": height, "elev": height, "elevation": height, "height": height, "altitude": height, "alt": height,
	"error": uncertainty, "err": uncertainty, "sd": uncertainty, "sigma": uncertainty, "vertical_error": uncertainty,
	"horizontal_error": sway, "horizontal": sway, "hrms": sway, "hacc": sway,
	"name": label, "id": label, "point": label, "pt": label, "shot": label, "label": label,
}

var roleNames = map[role]string{
	easting: "x", northing: "y", longitude: "lon", latitude: "lat", height: "z", uncertainty: "error", sway: "horizontal_error", label: "name",
}

// metresIn is the metres in one of a unit of length. Nothing is metres.
func metresIn(unit string) (float64, bool) {
	if unit == "" {
		return 1, true
	}
	if strings.ContainsFunc(unit, unicode.IsDigit) {
		return 0, false
	}
	metres, err := quantity.Length("1 "+unit, quantity.Metric)
	return metres, err == nil
}

const unitsKnown = "m, cm, mm, km, ft, in, yd, usft (US survey foot)"

var angleUnits = []string{"deg", "degree", "degrees", "dd", "decimal degrees"}

// A column is one column of the file: its name as written, what it is, and
// the factor to metres (or degrees).
type column struct {
	name   string
	role   role
	factor float64
}

// A header is the columns of a file and where each role is found.
type header struct {
	mark    byte // between columns
	columns []column
	at      map[role]int
	lonLat  bool
	remarks []string
}

// understand finds what a column is from its name: "z", "Elevation (ft)",
// "z_usft", "NORTHING m". What it is not sure of is extra.
func understand(name string) column {
	c := column{name: name, factor: 1}
	words := wordsOf(name)
	for cut := len(words); cut > 0; cut-- {
		what, ok := roles[strings.Join(words[:cut], "_")]
		if !ok {
			continue
		}
		unit := strings.Join(words[cut:], " ")
		metres, isLength := metresIn(unit)
		switch what {
		case easting, northing, height, uncertainty, sway:
			if isLength {
				c.role, c.factor = what, metres
			}
		case longitude, latitude:
			if unit == "" || slices.Contains(angleUnits, unit) {
				c.role = what
			}
		case label:
			if unit == "" {
				c.role = what
			}
		}
		break
	}
	return c
}

// wordsOf cuts a heading at whatever is no letter or digit.
func wordsOf(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// strangeUnit is the unit of a column that would be of a role if the unit
// were known, or empty.
func strangeUnit(name string, want role) string {
	words := wordsOf(name)
	if len(words) > 1 && roles[words[0]] == want {
		return strings.Join(words[1:], " ")
	}
	return ""
}

// newHeader reads the line that names the columns.
func newHeader(line string, n int, bad *mistakes) (header, bool) {
	var marks []byte
	for _, s := range separators {
		if strings.IndexByte(line, s.mark) >= 0 {
			marks = append(marks, s.mark)
		}
	}
	if len(marks) == 0 {
		bad.add(n, "", "%s; the first line names the columns, x,y,z or lon,lat,z, divided by commas, semicolons or tabs", oneColumn(line))
		return header{}, false
	}
	// The separator is the one that makes a header of the line; if none does,
	// the one that cuts it into most pieces is complained about.
	slices.SortStableFunc(marks, func(a, b byte) int {
		return strings.Count(line, string(b)) - strings.Count(line, string(a))
	})
	var first header
	for i, mark := range marks {
		h, whole := cutHeader(line, mark)
		if whole && h.complete() {
			return h, h.settle(n, bad)
		}
		if i == 0 {
			first = h
		}
	}
	if len(marks) > 1 {
		bad.add(n, "", "found %s and %s between the columns; use one kind throughout", separatorName(marks[0]), separatorName(marks[1]))
		return header{}, false
	}
	if _, closed := fields(line, first.mark); !closed {
		bad.add(n, "", "a double quote is not closed on its line")
		return header{}, false
	}
	first.complain(n, bad)
	return header{}, false
}

func oneColumn(line string) string {
	if strings.TrimSpace(line) == "" {
		return "found nothing"
	}
	return fmt.Sprintf("found the one column %s", quote(line))
}

// cutHeader cuts the line at one kind of separator. It reports whether all
// quotes were closed.
func cutHeader(line string, mark byte) (header, bool) {
	names, whole := fields(line, mark)
	for len(names) > 0 && names[len(names)-1] == "" {
		names = names[:len(names)-1]
	}
	h := header{mark: mark, at: map[role]int{}}
	for i, name := range names {
		c := understand(name)
		h.columns = append(h.columns, c)
		if _, taken := h.at[c.role]; c.role != extra && !taken {
			h.at[c.role] = i
		}
	}
	return h, whole && len(names) <= maxColumns
}

func (h *header) has(want ...role) bool {
	for _, r := range want {
		if _, ok := h.at[r]; !ok {
			return false
		}
	}
	return true
}

func (h *header) complete() bool {
	return h.has(height) && (h.has(easting, northing) || h.has(longitude, latitude))
}

// settle decides between columns that offer the same thing. Two heights are a
// mistake; a second name is an extra column.
func (h *header) settle(n int, bad *mistakes) bool {
	drop := []role{longitude, latitude}
	if h.has(easting, northing) {
		if h.has(longitude, latitude) {
			h.remarks = append(h.remarks, "the table has x,y and lon,lat: x,y are used, lon,lat are kept as text")
		}
	} else {
		h.lonLat = true
		drop = []role{easting, northing}
	}
	ok := true
	for i := range h.columns {
		c := &h.columns[i]
		switch {
		case slices.Contains(drop, c.role), c.role == label && h.at[label] != i:
			c.role = extra
		case c.role != extra && h.at[c.role] != i:
			bad.add(n, c.name, "is a second column of %s beside %s; keep one, or give this one another name",
				roleNames[c.role], quote(h.columns[h.at[c.role]].name))
			ok = false
		}
	}
	for _, r := range drop {
		delete(h.at, r)
	}
	return ok
}

// complain says what an incomplete header lacks.
func (h *header) complain(n int, bad *mistakes) {
	if len(h.columns) > maxColumns {
		bad.add(n, "", "%d columns; at most %d are read", len(h.columns), maxColumns)
		return
	}
	numbers := 0
	for _, c := range h.columns {
		if _, problem := number(c.name, true); problem == "" {
			numbers++
		}
	}
	if numbers > 1 {
		bad.add(n, "", "found numbers where the columns are to be named, as x,y,z or lon,lat,z")
		return
	}
	want := []role{easting, northing, height}
	if h.has(longitude) || h.has(latitude) {
		want = []role{longitude, latitude, height}
	}
	for _, r := range want {
		if h.has(r) {
			continue
		}
		for _, c := range h.columns {
			if unit := strangeUnit(c.name, r); unit != "" && c.role == extra {
				bad.add(n, c.name, "%s is not a unit known here; units are %s", quote(unit), unitsKnown)
			}
		}
		bad.add(n, "", "no column of %s among %s; needed are x,y,z or lon,lat,z, each with its unit if not metres, as in z_ft", roleNames[r], h.names())
	}
}

func (h *header) names() string {
	var names []string
	for i, c := range h.columns {
		if i == 12 {
			names = append(names, "...")
			break
		}
		names = append(names, shorten(c.name))
	}
	return strings.Join(names, ",")
}
