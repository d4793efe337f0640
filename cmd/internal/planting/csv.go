package planting

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"wetfeet/cmd/internal/feature"
	"wetfeet/cmd/internal/wording"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

const maxBytes = 64 << 20 // of a file of positions

// The columns that are read, and the headings each goes by. A heading may
// carry a unit: x_ft, along_m.
var headings = map[string][]string{
	"id":      {"id", "name", "label"},
	"species": {"species", "scientific_name", "plant"},
	"x":       {"x", "east", "easting"},
	"y":       {"y", "north", "northing"},
	"lon":     {"lon", "long", "lng", "longitude"},
	"lat":     {"lat", "latitude"},
	"row":     {"row"},
	"along":   {"along"},

	"age":       {"age", "age_years"},
	"rootstock": {"rootstock", "stock"},
}

// ReadCSV reads single positions from a table with the columns id, species
// and either x,y or lon,lat, in any order, and where it has them row, along,
// age (years since planting) and rootstock. Name is for messages. Columns are divided by commas, semicolons or
// tabs; with the last two a decimal comma may stand for the point. A unit in
// a heading (x_ft, y_ft) turns the coordinates into metres. Other columns are
// not used, and the remarks say so.
//
// All mistakes of the file come as one error, marked as the fault of an input;
// any other error is the reader's own. Two positions with one ID are a
// mistake, two on the same spot a remark.
func ReadCSV(r io.Reader, name string) (*Table, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	t := &table{name: name}
	t.read(bytes.TrimPrefix(data, []byte("\ufeff")))
	if err := t.bad.Err(); err != nil {
		return nil, err
	}
	return t.finish(), nil
}

const needed = "needed are id,x,y,species or id,lon,lat,species"

func (t *table) read(data []byte) {
	switch {
	case len(data) > maxBytes:
		t.add(0, "", "the file is larger than %d MiB", maxBytes>>20)
		return
	case len(bytes.TrimSpace(data)) == 0:
		t.add(0, "", "the file is empty; %s", needed)
		return
	case bytes.IndexByte(data, 0) >= 0:
		t.add(1+bytes.Count(data[:bytes.IndexByte(data, 0)], []byte("\n")), "", "found a zero byte; save the table as CSV in UTF-8")
		return
	case !utf8.Valid(data):
		t.add(firstInvalid(data), "", "found bytes that are not UTF-8; save the table as CSV in UTF-8")
		return
	}
	if bytes.IndexByte(data, '\n') < 0 { // lines ended by a carriage return alone
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	rows := csv.NewReader(bytes.NewReader(data))
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	rows.ReuseRecord = true
	rows.Comma = separator(data)
	t.comma = rows.Comma != ','
	for n := 0; ; n++ {
		values, err := rows.Read()
		if err == io.EOF {
			break
		}
		if broken, ok := errors.AsType[*csv.ParseError](err); ok {
			t.add(broken.StartLine, "", "its quotes do not match, at column %d", broken.Column)
			if n == 0 {
				return
			}
			continue
		}
		line, _ := rows.FieldPos(0)
		switch {
		case n == 0 && !t.header(line, values):
			return
		case n > MaxPositions:
			t.add(line, "", "more than %d positions", MaxPositions)
			return
		case n > 0:
			t.row(line, values, rows.Comma)
		}
	}
	if len(t.out.Positions) == 0 && t.bad.Len() == 0 {
		t.add(0, "", "found no positions under the heading; one line each is needed")
	}
}

func firstInvalid(data []byte) int {
	line := 1
	for len(data) > 0 {
		r, n := utf8.DecodeRune(data)
		if r == utf8.RuneError && n == 1 {
			break
		}
		if r == '\n' {
			line++
		}
		data = data[n:]
	}
	return line
}

// separator is the mark between columns: of the three that are understood
// the one the heading has most of, a comma where it has none.
func separator(data []byte) rune {
	data = bytes.TrimLeft(data, "\r\n")
	if i := bytes.IndexAny(data, "\r\n"); i >= 0 {
		data = data[:i]
	}
	best, most := ',', bytes.Count(data, []byte(","))
	for _, mark := range []rune{';', '\t'} {
		if n := bytes.Count(data, []byte(string(mark))); n > most {
			best, most = mark, n
		}
	}
	return best
}

var separatorNames = map[rune]string{',': "commas", ';': "semicolons", '\t': "tabs"}

// header finds the columns.
func (t *table) header(line int, values []string) bool {
	t.columns, t.factor = map[string]int{}, map[string]float64{}
	t.heads = slices.Clone(values)
	var unused []string
	units := map[string]bool{}
	for i, heading := range t.heads {
		base, factor, ok := quantity.ColumnUnit(heading)
		column := columnOf(base)
		if ok && column != "x" && column != "y" && column != "along" {
			column = columnOf(heading) // a unit on anything else is part of its name
		}
		switch j, taken := t.columns[column]; {
		case column == "":
			if heading != "" {
				unused = append(unused, heading)
			}
		case taken:
			t.add(line, heading, "is a second column of %s beside %s; keep one, or give this one another name", column, quote(t.heads[j]))
		default:
			t.columns[column], t.factor[column], units[column] = i, factor, ok
		}
	}
	has := func(columns ...string) bool {
		return !slices.ContainsFunc(columns, func(c string) bool { _, ok := t.columns[c]; return !ok })
	}
	t.out.LonLat = !has("x", "y") && has("lon", "lat")
	var missing []string
	want := []string{"id", "x", "y", "species"}
	if t.out.LonLat || has("lon") || has("lat") {
		if has("x", "y") {
			t.remark("has x,y and lon,lat: x,y are used")
		} else {
			want = []string{"id", "lon", "lat", "species"}
		}
	}
	for _, c := range want {
		if !has(c) {
			missing = append(missing, c)
		}
	}
	if len(missing) > 0 {
		t.add(line, "", "no column of %s among %s; %s", strings.Join(missing, ", "), quote(strings.Join(t.heads, ",")), needed)
	}
	if !t.out.LonLat && has("x", "y") {
		t.out.Metres = units["x"]
		if units["x"] != units["y"] {
			t.add(line, "", "only one of %s and %s names its unit; name it in both, as in x_ft,y_ft, or in neither",
				quote(t.heads[t.columns["x"]]), quote(t.heads[t.columns["y"]]))
		}
	}
	if len(unused) > 0 {
		t.remark("columns not used: %s", quote(strings.Join(unused, ", ")))
	}
	return t.bad.Len() == 0
}

func columnOf(heading string) string {
	h := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(heading)), " ", "_")
	for column, names := range headings {
		if slices.Contains(names, h) {
			return column
		}
	}
	return ""
}

// row reads one position.
func (t *table) row(line int, values []string, comma rune) {
	filled := len(values)
	for filled > 0 && strings.TrimSpace(values[filled-1]) == "" {
		filled--
	}
	if filled == 0 {
		return // a line of separators, as spreadsheets leave them
	}
	if len(values) < len(t.heads) || filled > len(t.heads) {
		hint := ""
		for _, mark := range []rune{'\t', ';', ','} {
			if len(values) == 1 && mark != comma && strings.ContainsRune(values[0], mark) {
				hint = fmt.Sprintf("; it is divided by %s and the heading by %s", separatorNames[mark], separatorNames[comma])
				break
			}
		}
		if comma == ',' && filled > len(t.heads) {
			hint = "; a decimal comma needs semicolons between the columns"
		}
		t.add(line, "", "found %s under %d headings%s", wording.Count(len(values), "value"), len(t.heads), hint)
		return
	}
	before := t.bad.Len()
	p := Position{ID: t.text(line, values, "id"), Species: t.text(line, values, "species")}
	if i, ok := t.columns["row"]; ok {
		if p.Row = strings.TrimSpace(values[i]); p.Row != "" {
			p.Row = t.text(line, values, "row")
		}
	}
	if i, ok := t.columns["along"]; ok && strings.TrimSpace(values[i]) != "" {
		p.Along = t.number(line, values, "along") * t.factor["along"]
	}
	if i, ok := t.columns["age"]; ok && strings.TrimSpace(values[i]) != "" {
		p.Age = t.age(line, values[i], t.heads[i])
	}
	if i, ok := t.columns["rootstock"]; ok && strings.TrimSpace(values[i]) != "" {
		p.Rootstock = t.text(line, values, "rootstock")
	}
	east, north := "x", "y"
	if t.out.LonLat {
		east, north = "lon", "lat"
	}
	p.Point = orb.Point{t.number(line, values, east) * t.factor[east], t.number(line, values, north) * t.factor[north]}
	if t.bad.Len() > before {
		return
	}
	if t.out.LonLat {
		if err := feature.CheckLonLat(p.Point); err != nil {
			t.add(line, "", "%v", err)
			return
		}
	} else if max(math.Abs(p.Point[0]), math.Abs(p.Point[1])) > furthest {
		t.add(line, "", "x or y lies beyond 100,000 km; no map system reaches so far")
		return
	}
	t.keep(p, line, "line "+strconv.Itoa(line))
}

func (t *table) text(line int, values []string, column string) string {
	i := t.columns[column]
	s := strings.TrimSpace(values[i])
	if wrong := checkText(s); wrong != "" {
		t.add(line, t.heads[i], "it is %s", wrong)
	}
	return s
}

func (t *table) number(line int, values []string, column string) float64 {
	i := t.columns[column]
	s := strings.TrimSpace(values[i])
	v, ok := parseNumber(s, t.comma)
	if !ok {
		t.add(line, t.heads[i], "%s is not a plain number such as 500100.25", quote(s))
	}
	return v
}

// age reads how many years ago a tree was planted.
func (t *table) age(line int, value, heading string) *float64 {
	v, err := quantity.Years(strings.TrimSpace(value))
	if err != nil {
		t.add(line, heading, "%v", err)
		return nil
	}
	return &v
}

// parseNumber reads a plain decimal number. ParseFloat alone would also take
// hexadecimal, underscores, inf and nan, none of which is a coordinate.
func parseNumber(s string, comma bool) (float64, bool) {
	if comma && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	if strings.Trim(s, "+-.0123456789eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0) && !math.IsNaN(v)
}
