package site

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A reading is one pass through a site file.
type reading struct {
	name   string // of the file, for messages
	folder string
	lines  map[string]int
	units  quantity.Units
	lonLat bool
	scale  float64 // metres in a unit of coordinates measured from an origin; 0 for those of a system
	bad    fault.List
}

// A node is one value of the file and where it stands.
type node struct {
	*reading
	path  string // in reading.lines
	label string // for messages: `row "A", spacing`
	value any
}

// line is where the value stands, or what holds it if that is not known.
func (n node) line() int {
	for path := n.path; path != ""; path = path[:max(strings.LastIndexAny(path, "\x00\x01"), 0)] {
		if line, ok := n.lines[path]; ok {
			return line
		}
	}
	return 1
}

// fail puts a mistake on the list: "site.toml:12: row "A", spacing: ...".
func (n node) fail(format string, args ...any) {
	label := n.label
	if label != "" {
		label += ": "
	}
	line := n.line()
	n.bad.Add(line, "%s:%d: %s%s", n.name, line, label, fmt.Sprintf(format, args...))
}

func (n node) failed(err error) bool {
	if err != nil {
		n.fail("%v", err)
	}
	return err != nil
}

// under is the value of a key of a table, and whether there is one.
func (n node) under(key string) (node, bool) {
	v, ok := n.value.(map[string]any)[key]
	label := key
	if n.label != "" {
		label = n.label + ", " + key
	}
	return node{n.reading, under(n.path, key), label, v}, ok
}

// A field is a key of a table and what is done with its value.
type field struct {
	key  string
	read func(node)
}

// table reads the fields that a table has, in the order given, and complains
// about every other key.
func (n node) table(fields []field) {
	table, ok := n.value.(map[string]any)
	if !ok {
		n.fail("found %s; a table is needed", describe(n.value))
		return
	}
	var known []string
	for _, f := range fields {
		known = append(known, f.key)
		if child, ok := n.under(f.key); ok {
			f.read(child)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		if slices.Contains(known, key) {
			continue
		}
		if n.bad.Len() > 100 {
			return // nobody reads so many, and looking for a likely key is slow
		}
		stray := n
		stray.path = under(n.path, key)
		stray.fail("%s is not a known key; the nearest is %s", quote(key), suggest(key, known))
	}
}

// suggest is the known key a stray one is nearest to: one of the same table,
// unless one of another table is nearer.
func suggest(key string, here []string) string {
	switch kind := strings.ToLower(key); kind { // words people head a table with
	case "pipe", "culvert", "ditch":
		return fmt.Sprintf("a table headed [[link]] with kind = %q, line (or from and to) and depth", kind)
	}
	near, changes := nearest(key, here)
	elsewhere, away := "", changes
	for _, t := range tables {
		if k, d := nearest(key, t.keys); d < away && d <= 1+len(key)/4 {
			elsewhere, away = quote(k)+t.where, d
		}
	}
	if elsewhere != "" {
		return elsewhere
	}
	if changes > 1+len(key)/3 {
		return quote(near) + ", and known here are " + list(here, "and")
	}
	return quote(near)
}

// list is the elements of a list.
func (n node) list(wanted string) ([]node, bool) {
	var values []any
	switch v := n.value.(type) {
	case []any:
		values = v
	case []map[string]any:
		for _, m := range v {
			values = append(values, m)
		}
	default:
		n.fail("found %s; %s", describe(n.value), wanted)
		return nil, false
	}
	nodes := make([]node, len(values))
	for i, v := range values {
		nodes[i] = node{n.reading, element(n.path, i), n.label, v}
	}
	return nodes, true
}

// text is a string that can stand in a report: not empty, on one line.
func (n node) text(wanted string) (string, bool) {
	s, ok := n.value.(string)
	if !ok {
		n.fail("found %s; %s", describe(n.value), wanted)
		return "", false
	}
	s = strings.TrimSpace(s)
	switch {
	case s == "":
		n.fail("is empty; %s", wanted)
	case len(s) > 200:
		n.fail("is longer than 200 bytes; %s", wanted)
	case strings.ContainsFunc(s, unicode.IsControl):
		n.fail("holds a control character; %s", wanted)
	default:
		return s, true
	}
	return "", false
}

// typed is a quantity as a person typed it: a string, or a bare number
// written out.
func (n node) typed(wanted string) (string, bool) {
	switch v := n.value.(type) {
	case string:
		return v, true
	case int64:
		return strconv.FormatInt(v, 10), true
	case float64:
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return strconv.FormatFloat(v, 'g', -1, 64), true
		}
	}
	n.fail("found %s; %s", describe(n.value), wanted)
	return "", false
}

// quantity reads with one of the readers of package quantity.
func (n node) quantity(read func(string, quantity.Units) (float64, error), example string) (float64, bool) {
	s, ok := n.typed("a number and a unit are needed, such as " + strconv.Quote(example))
	if !ok {
		return 0, false
	}
	v, err := read(s, n.units)
	return v, !n.failed(err)
}

// positive reads a quantity that may not be zero.
func (n node) positive(read func(string, quantity.Units) (float64, error), example string) (float64, bool) {
	v, ok := n.quantity(read, example)
	if ok && v == 0 {
		n.fail("is zero; it must be more, such as %q", example)
		return 0, false
	}
	return v, ok
}

func (n node) duration() (time.Duration, bool) {
	const wanted = `a number and a unit are needed, such as "24 h"`
	s, ok := n.typed(wanted)
	if !ok {
		return 0, false
	}
	d, err := quantity.Duration(s)
	if n.failed(err) {
		return 0, false
	}
	if d == 0 {
		n.fail("is zero; it must be more, such as \"24 h\"")
	}
	return d, d != 0
}

func (n node) file() File {
	s, ok := n.text("the name of a file is needed")
	if !ok {
		return File{}
	}
	f, err := Find(n.folder, s)
	n.failed(err)
	return f
}

// point is a pair of coordinates in the site's system.
func (n node) point() (orb.Point, bool) {
	const wanted = "two numbers are needed, [x, y]"
	pair, ok := n.value.([]any)
	if !ok || len(pair) != 2 {
		n.fail("found %s; %s", describe(n.value), wanted)
		return orb.Point{}, false
	}
	var p orb.Point
	for i, v := range pair {
		switch v := v.(type) {
		case int64:
			p[i] = float64(v)
		case float64:
			p[i] = v
		default:
			n.fail("found %s among the coordinates; %s", describe(v), wanted)
			return orb.Point{}, false
		}
	}
	if n.lonLat && !(math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90) {
		if math.Abs(p[0]) <= 90 && math.Abs(p[1]) <= 180 {
			n.fail("[%s, %s] is not longitude and latitude in degrees; they look swapped: longitude comes first", plain(p[0]), plain(p[1]))
			return orb.Point{}, false
		}
		n.fail("[%s, %s] is not longitude and latitude in degrees; for other coordinates give the site a crs, such as \"EPSG:32614\"", plain(p[0]), plain(p[1]))
		return orb.Point{}, false
	}
	if !(math.Abs(p[0]) <= 1e8 && math.Abs(p[1]) <= 1e8) {
		n.fail("[%s, %s] is no place; no map system reaches beyond 100,000 km", plain(p[0]), plain(p[1]))
		return orb.Point{}, false
	}
	if n.scale > 0 {
		p = orb.Point{p[0] * n.scale, p[1] * n.scale}
	}
	return p, true
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', 12, 64) }

// describe says what kind of value was found.
func describe(v any) string {
	switch v := v.(type) {
	case string:
		return quote(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return plain(v)
	case bool:
		return strconv.FormatBool(v)
	case time.Time:
		return "a date"
	case map[string]any:
		return "a table"
	case []any:
		return size(len(v))
	case []map[string]any:
		return size(len(v))
	}
	return "something else"
}

func size(n int) string {
	if n == 1 {
		return "a list of one"
	}
	return fmt.Sprintf("a list of %d", n)
}
