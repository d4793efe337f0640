package logbook

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

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// heads are the columns of a table of observations, as WriteCSV writes them. A
// column of depths may carry another unit: depth_cm, rain_in.
var heads = []string{"seen", "tree", "lon", "lat", "depth_m", "last_wet", "dried_out", "auger_depth_m", "health", "rain_ended", "rain_mm", "rain_hours", "photo", "note"}

// WriteCSV writes observations as a table that ReadCSV reads.
func WriteCSV(w io.Writer, all []Observation) error {
	out := csv.NewWriter(w)
	out.Write(heads)
	number := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', -1, 64)
	}
	positive := func(v float64) string {
		if v == 0 {
			return ""
		}
		return number(&v)
	}
	for i := range all {
		o := &all[i]
		var lon, lat string
		if o.At != nil {
			lon, lat = strconv.FormatFloat(o.At[0], 'f', 8, 64), strconv.FormatFloat(o.At[1], 'f', 8, 64)
		}
		out.Write([]string{
			o.Seen.String(), o.Tree, lon, lat, number(o.Depth), o.LastWet.String(), o.DriedOut.String(), number(o.WaterTable), string(o.Health),
			o.Storm.Ended.String(), positive(o.Storm.Rain), positive(o.Storm.Hours), o.Photo, o.Note,
		})
	}
	out.Flush()
	return out.Error()
}

// WriteTemplate writes the head of a table of observations and a line to be
// overwritten, which ReadCSV refuses as it is.
func WriteTemplate(w io.Writer) error {
	out := csv.NewWriter(w)
	out.Write(heads)
	out.Write([]string{"YYYY-MM-DD", "id of a tree", "or", "a place", "0.12", "YYYY-MM-DD", "YYYY-MM-DD", "0.8", "thriving, stressed, dying or dead", "YYYY-MM-DD", "82", "12", "file.jpg", "overwrite this line"})
	out.Flush()
	return out.Error()
}

// ReadCSV reads a table of observations with any of the columns of WriteCSV, in
// any order. Depths and rain may be in another unit, which the head of the
// column names. Name is for messages. All mistakes of the table come as one
// error, marked as the fault of an input; against a site, where one is given.
func ReadCSV(r io.Reader, name string, site *Site) ([]Observation, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	t := table{name: name, site: site}
	switch {
	case len(data) > maxBytes:
		t.add(0, "the table is larger than %d MiB", maxBytes>>20)
	case !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0:
		t.add(0, "is not text in UTF-8; save the table as CSV in UTF-8")
	default:
		t.read(data)
	}
	if err := t.bad.Err(); err != nil {
		return nil, err
	}
	return t.out, nil
}

type table struct {
	name    string
	site    *Site
	bad     fault.List
	columns []string  // by place
	factor  []float64 // to metres, or to millimetres of rain

	decimalComma bool // columns are divided by semicolons

	out []Observation
}

func (t *table) add(line int, format string, args ...any) {
	where := t.name
	if line > 0 {
		where += ", line " + strconv.Itoa(line)
	}
	t.bad.Add(line, "%s: %s", where, fmt.Sprintf(format, args...))
}

func (t *table) read(data []byte) {
	rows := csv.NewReader(bytes.NewReader(data))
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	first, _, _ := bytes.Cut(data, []byte("\n"))
	if bytes.Count(first, []byte(";")) > bytes.Count(first, []byte(",")) {
		rows.Comma, t.decimalComma = ';', true
	}
	for n := 0; ; n++ {
		values, err := rows.Read()
		if err == io.EOF {
			break
		}
		if broken, ok := errors.AsType[*csv.ParseError](err); ok {
			t.add(broken.StartLine, "its quotes do not match, at column %d", broken.Column)
			if n == 0 {
				return
			}
			continue
		}
		line, _ := rows.FieldPos(0)
		switch {
		case n == 0:
			if t.head(line, values); t.bad.Len() > 0 {
				return
			}
		case len(t.out) == MaxObservations:
			t.add(line, "more than %d observations", MaxObservations)
			return
		case strings.TrimSpace(strings.Join(values, "")) != "":
			t.row(line, values)
		}
	}
	if len(t.out) == 0 && t.bad.Len() == 0 {
		t.add(0, "found no observations; the columns are %s", strings.Join(heads, ","))
	}
}

// head finds the columns.
func (t *table) head(line int, values []string) {
	for _, v := range values {
		column, factor := strings.ToLower(strings.TrimSpace(v)), 1.0
		if base, metres, ok := quantity.ColumnUnit(column); ok {
			switch base {
			case "depth", "auger_depth":
				column, factor = base+"_m", metres
			case "rain":
				column, factor = "rain_mm", 1000*metres
			}
		}
		switch {
		case column == "":
		case !slices.Contains(heads, column):
			t.add(line, "%s is no column of observations; they are %s", quote(v), strings.Join(heads, ","))
		case slices.Contains(t.columns, column):
			t.add(line, "%s stands there twice", quote(v))
		}
		t.columns, t.factor = append(t.columns, column), append(t.factor, factor)
	}
	if !slices.Contains(t.columns, "seen") {
		t.add(line, "has no column seen; the columns are %s", strings.Join(heads, ","))
	}
}

// row reads one observation.
func (t *table) row(line int, values []string) {
	var o Observation
	var lon, lat *float64
	before := t.bad.Len()
	if len(values) > len(t.columns) {
		t.add(line, "has %d values under %d columns", len(values), len(t.columns))
	}
	for i, v := range values[:min(len(values), len(t.columns))] {
		column := t.columns[i]
		if v = strings.TrimSpace(v); v == "" {
			continue
		}
		number := func() *float64 {
			if t.decimalComma {
				v = strings.Replace(v, ",", ".", 1)
			}
			f, err := strconv.ParseFloat(v, 64)
			if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
				t.add(line, "%s: found %s; a number is needed", column, quote(v))
				return nil
			}
			f *= t.factor[i]
			return &f
		}
		when := func(w *When) {
			var err error
			if *w, err = ParseWhen(v); err != nil {
				t.add(line, "%s: %v", column, err)
			}
		}
		switch column {
		case "seen":
			when(&o.Seen)
		case "tree":
			o.Tree = v
		case "lon":
			lon = number()
		case "lat":
			lat = number()
		case "depth_m":
			o.Depth = number()
		case "last_wet":
			when(&o.LastWet)
		case "dried_out":
			when(&o.DriedOut)
		case "auger_depth_m":
			o.WaterTable = number()
		case "health":
			h, err := ParseHealth(v)
			if err != nil {
				t.add(line, "health: %v", err)
			}
			o.Health = h
		case "rain_ended":
			when(&o.Storm.Ended)
		case "rain_mm":
			o.Storm.Rain = or(number(), 0)
		case "rain_hours":
			o.Storm.Hours = or(number(), 0)
		case "photo":
			o.Photo = v
		case "note":
			o.Note = v
		}
	}
	switch {
	case lon != nil && lat != nil:
		o.At = &orb.Point{*lon, *lat}
	case lon != nil || lat != nil:
		t.add(line, "lon and lat belong together")
	}
	if t.bad.Len() > before {
		return // what follows would only repeat it
	}
	bad := o.Check()
	if t.site != nil && len(bad) == 0 {
		bad = t.site.Place(&o)
	}
	for _, err := range bad {
		t.add(line, "%v", err)
	}
	t.out = append(t.out, o)
}
