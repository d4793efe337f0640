package species

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"wetfeet/terrain/quantity"
)

// A RowError says which value of a grower's table cannot be used, and what
// would be accepted.
type RowError struct {
	File   string
	Line   int    // as an editor counts, from 1
	Column string // from the header; empty where the line as a whole is at fault
	Fault  string // a sentence without its end
}

func (e *RowError) Error() string {
	where := fmt.Sprintf("%s, line %d", e.File, e.Line)
	if e.Column != "" {
		where += ", " + e.Column
	}
	return where + ": " + e.Fault
}

const (
	// maxTable bounds a grower's table, bytes: room for 20,000 species.
	maxTable = 4 << 20
	// maxText bounds one value of it, bytes.
	maxText = 500
	// maxFaults bounds the mistakes told of one table; the rest are counted.
	maxFaults = 100
)

// columns are the headings of a grower's table. Those that end in _m may end
// in another unit of length instead, as in height_ft.
var columns = []string{
	"scientific_name", "common_names", "class", "days_low", "days_likely", "days_high",
	"depth_m", "water_table_m", "stratum", "uses", "spacing_m", "height_m",
	"hardiness", "salt", "invasive", "note",
}

// With is the table with a grower's own laid over it. Name is what the
// grower's file is called in errors and sources.
//
// The file is comma-separated text in UTF-8 (RFC 4180) with a header. Only
// scientific_name is required; the others are
//
//	common_names                     several, parted by semicolons
//	class                            no wet feet, short soak, wet spell, wet season or swamp
//	days_low, days_likely, days_high days borne with the root zone saturated, 0 to 365
//	depth_m                          deepest standing water borne
//	water_table_m                    depth to the water table wanted: 0.9 or 0.9-1.2
//	stratum                          low, medium, high or emergent
//	uses                             several, parted by semicolons, the main one first
//	spacing_m, height_m              4 or 4-6
//	hardiness                        USDA zones: 5b-9, 8, or annual
//	salt                             none, low, medium or high
//	invasive                         a caution, or none
//	note                             anything
//
// A species the table has, under this name or an older one and whatever its
// cultivar, keeps all that the row leaves empty; new common names are put
// before its others. A new species needs a class or days_likely. Where only
// one of these is given the other follows from it by the bands of the
// classes. Every mistake of the file is reported, as *RowErrors joined.
func (t *Table) With(r io.Reader, name string) (*Table, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxTable+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	own := &ownTable{base: t, file: name, source: "own table: " + name, entries: map[string]*Entry{}, lines: map[string]int{}}
	own.read(text)
	if len(own.faults) > 0 {
		if own.more > 0 {
			own.faults = append(own.faults, fmt.Errorf("%s: and %d more mistakes", name, own.more))
		}
		return nil, errors.Join(own.faults...)
	}

	merged := &Table{sources: maps.Clone(t.sources)}
	merged.sources[own.source] = Source{ID: own.source, Short: name, Citation: "The grower's own table, " + name}
	for _, e := range t.entries {
		if own.entries[e.Scientific] == nil {
			merged.entries = append(merged.entries, e)
		}
	}
	merged.entries = slices.AppendSeq(merged.entries, maps.Values(own.entries)) // index puts them in order
	merged.index()
	return merged, nil
}

// An ownTable is a grower's table while it is read.
type ownTable struct {
	base    *Table
	file    string
	source  string
	entries map[string]*Entry // by scientific name
	lines   map[string]int    // of the same
	faults  []error
	more    int // faults beyond those kept
}

func (o *ownTable) fault(line int, column, format string, args ...any) {
	if len(o.faults) == maxFaults {
		o.more++
		return
	}
	o.faults = append(o.faults, &RowError{o.file, line, column, fmt.Sprintf(format, args...)})
}

func (o *ownTable) read(text []byte) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	switch {
	case len(text) > maxTable:
		o.fault(1, "", "the file is over %d MiB, more than a table of species takes", maxTable>>20)
		return
	case !utf8.Valid(text) || bytes.IndexByte(text, 0) >= 0:
		o.fault(1+bytes.Count(text[:badByte(text)], []byte("\n")), "", "the file is not text in UTF-8; save it as CSV UTF-8")
		return
	case len(bytes.TrimSpace(text)) == 0:
		o.fault(1, "", "the file is empty; the first line names the columns, such as scientific_name,class,days_likely")
		return
	}
	rows := csv.NewReader(bytes.NewReader(text))
	rows.FieldsPerRecord = -1
	header, err := rows.Read()
	if err != nil {
		o.broken(err)
		return
	}
	heads, ok := o.header(header, rows)
	if !ok {
		return
	}
	for {
		row, err := rows.Read()
		if err == io.EOF {
			return
		}
		if err != nil {
			o.broken(err)
			return
		}
		line, _ := rows.FieldPos(0)
		if !slices.ContainsFunc(row, func(s string) bool { return strings.TrimSpace(s) != "" }) {
			continue
		}
		if len(row) != len(heads) {
			o.fault(line, "", "%d values under %d columns; put quotes around a value that has a comma in it", len(row), len(heads))
			continue
		}
		o.row(row, heads, func(i int) int { n, _ := rows.FieldPos(i); return n })
	}
}

// badByte is where text stops being text.
func badByte(text []byte) int {
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRune(text[i:])
		if r == 0 || r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(text)
}

// broken reports a fault of the CSV itself; nothing after it can be read.
func (o *ownTable) broken(err error) {
	line, what := 1, err
	if p, ok := errors.AsType[*csv.ParseError](err); ok {
		line, what = p.Line, p.Err
	}
	o.fault(line, "", "%v; quotes go around a whole value and are doubled inside it", what)
}

// A head is a column: its name in columns, as the grower wrote it, and metres
// in one of its unit.
type head struct {
	name, written string
	factor        float64
}

func (o *ownTable) header(header []string, rows *csv.Reader) ([]head, bool) {
	if sep := ";\t|"; len(header) == 1 && strings.ContainsAny(header[0], sep) {
		i := strings.IndexAny(header[0], sep)
		o.fault(1, "", "the columns are separated by %q; separate them by commas, and write decimals with a point", header[0][i:i+1])
		return nil, false
	}
	if len(header) > 4*len(columns) {
		o.fault(1, "", "there are %d columns; the columns are %s", len(header), strings.Join(columns, ", "))
		return nil, false
	}
	heads := make([]head, len(header))
	for i, written := range header {
		line, _ := rows.FieldPos(i)
		h := head{written: strings.TrimSpace(written), factor: 1}
		h.name = strings.ToLower(strings.ReplaceAll(h.written, " ", "_"))
		if !slices.Contains(columns, h.name) {
			if base, factor, ok := quantity.ColumnUnit(h.name); ok && slices.Contains(columns, base+"_m") {
				h.name, h.factor = base+"_m", factor
			}
		}
		switch {
		case !slices.Contains(columns, h.name):
			o.fault(line, "", "there is no column %q; the nearest is %s, and the columns are %s",
				shortened(h.written), nearestColumn(h.name), strings.Join(columns, ", "))
		case slices.ContainsFunc(heads[:i], func(x head) bool { return x.name == h.name }):
			o.fault(line, "", "the column %s is there twice", h.name)
		}
		heads[i] = h
	}
	if !slices.ContainsFunc(heads, func(h head) bool { return h.name == "scientific_name" }) {
		o.fault(1, "", "there is no column scientific_name, which every table needs")
	}
	return heads, len(o.faults) == 0
}

// nearestColumn is the column fewest slips away, the first in the list among
// equals.
func nearestColumn(name string) string {
	return slices.MinFunc(columns, func(a, b string) int {
		return cmp.Compare(slips(name, a, maxWords), slips(name, b, maxWords))
	})
}

// shortened keeps an error on one line of a screen.
func shortened(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "..."
}

// oneLine checks a value that is shown as it stands: no control characters,
// which a terminal would obey, and not without end.
func oneLine(s string) bool {
	return len(s) <= maxText && strings.IndexFunc(s, unicode.IsControl) < 0
}

// decimal reads a plain decimal number within bounds; no NaN, no infinity, no
// hexadecimal, no exponent.
func decimal(s string, low, high float64) (float64, bool) {
	if strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && v >= low && v <= high
}
