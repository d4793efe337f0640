package survey

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// ReadShots reads a table of spot heights as CSV. The name is for messages.
//
// The first line that is not empty and does not begin with # names the
// columns: x,y,z or lon,lat,z under any of their usual names, in any case and
// order, each with its unit if it is not metres (z_ft, "Elevation (usft)",
// x_m). An error column gives one standard deviation of each height, a name
// or id column its name; the rest is kept as text. Columns are divided by
// commas, semicolons or tabs as the header is; with the last two a decimal
// comma may stand for the point, throughout.
//
// A shot written twice is kept once. Shots at one place with heights that
// agree within three times their error are averaged, weighed by their errors;
// heights that do not agree are an error. Both are told in Remarks.
//
// At most 1,000,000 rows, 64 KiB a line and 256 MiB in all are read. An error
// that lies in the file is a *FileError with all its mistakes and is
// ErrInput; any other is the reader's.
func ReadShots(r io.Reader, name string) (*Table, error) {
	in := newReading(r, name)
	if !in.header() {
		return nil, in.fail()
	}
	for in.row() {
	}
	if err := in.fail(); err != nil && !errors.Is(err, ErrInput) {
		return nil, err
	}
	in.hint()
	t := &Table{Shots: in.shots, LonLat: in.head.lonLat, Columns: in.extraNames(), Remarks: in.head.remarks}
	t.settleRepeats(&in.bad)
	if len(in.shots) == 0 && len(in.bad.Mistakes) == 0 {
		in.bad.add(0, "", "found no shots under the header; one line each is needed")
	}
	if err := in.bad.err(); err != nil {
		return nil, err
	}
	return t, nil
}

// reading is one pass through a file.
type reading struct {
	lines *lines
	bad   mistakes
	head  header
	shots []Shot
	rows  int

	comma, point int // the first lines with a decimal comma and with a decimal point, 0 for none
	swapped      int // latitudes beyond 90 whose longitude would be one
}

func newReading(r io.Reader, name string) *reading {
	return &reading{lines: newLines(r), bad: mistakes{file: name}}
}

// fail is why reading stopped, if not at the end of a good file.
func (in *reading) fail() error {
	err := in.lines.err()
	switch {
	case err == nil:
	case errors.Is(err, bufio.ErrTooLong):
		in.bad.add(in.lines.n+1, "", "the line is longer than %d bytes; is this a table of spot heights?", maxLine)
	case errors.Is(err, errTooLarge):
		in.bad.add(0, "", "the file is larger than %d MiB", maxBytes>>20)
	default:
		return fmt.Errorf("%s: %w", in.bad.file, err)
	}
	return in.bad.err()
}

// header reads up to and including the line that names the columns.
func (in *reading) header() bool {
	for {
		line, ok := in.lines.next()
		if !ok {
			if in.lines.err() == nil {
				in.bad.add(0, "", "the file is empty; needed are a line that names the columns, x,y,z or lon,lat,z, and a line for each shot")
			}
			return false
		}
		if strings.ContainsRune(line, 0) || strings.HasPrefix(line, "\xff\xfe") || strings.HasPrefix(line, "\xfe\xff") {
			in.bad.add(in.lines.n, "", "this is not plain text; save the table as CSV in UTF-8")
			return false
		}
		if ignorable(line) {
			continue
		}
		in.head, ok = newHeader(line, in.lines.n, &in.bad)
		return ok
	}
}

// ignorable lines are blank or a remark.
func ignorable(line string) bool {
	line = strings.TrimSpace(line)
	return line == "" || line[0] == '#'
}

// row reads one line and reports whether there may be more.
func (in *reading) row() bool {
	line, ok := in.lines.next()
	if !ok || ignorable(line) {
		return ok
	}
	values, closed := fields(line, in.head.mark)
	for len(values) > len(in.head.columns) && values[len(values)-1] == "" {
		values = values[:len(values)-1]
	}
	if blank(values) { // spreadsheets leave rows of bare separators
		return true
	}
	if in.rows++; in.rows > maxRows {
		in.bad.add(in.lines.n, "", "more than %d shots; thin them, or cut the file in parts", maxRows)
		return false
	}
	switch {
	case !closed:
		in.bad.add(in.lines.n, "", "a double quote is not closed on its line")
	case len(values) != len(in.head.columns):
		in.bad.add(in.lines.n, "", "%s", in.miscount(line, len(values)))
	default:
		in.shot(values)
	}
	return true
}

func blank(values []string) bool {
	return !slices.ContainsFunc(values, func(v string) bool { return v != "" })
}

// miscount explains a line that has more or fewer values than the header.
func (in *reading) miscount(line string, found int) string {
	want := len(in.head.columns)
	for _, s := range separators {
		if s.mark != in.head.mark && (s.mark != ',' || found < want) && strings.IndexByte(line, s.mark) >= 0 {
			return fmt.Sprintf("%s between values, but %s in the header; use one kind throughout", s.name, separatorName(in.head.mark))
		}
	}
	text := fmt.Sprintf("%d values where the header names %d columns", found, want)
	if in.head.mark == ',' && found > want {
		text += "; decimal commas need columns divided by semicolons or tabs"
	}
	return text
}

// shot makes a shot of the values of a line, or tells all that is wrong with
// them.
func (in *reading) shot(values []string) {
	s := Shot{Line: in.lines.n}
	good := true
	for i, c := range in.head.columns {
		text := values[i]
		switch c.role {
		case extra:
			s.Extra = append(s.Extra, text)
			continue
		case label:
			s.Name = text
			continue
		case uncertainty, sway:
			if text == "" {
				continue
			}
		}
		v, problem := number(text, in.head.mark != ',')
		if problem == "" {
			problem = in.decimals(text)
			v *= c.factor
		} else if metres, ok := withUnit(c.role, text); ok {
			v, problem = metres, ""
		}
		if problem == "" {
			problem = check(c.role, v, text)
		}
		if problem != "" {
			in.bad.add(in.lines.n, c.name, "%s", problem)
			good = false
		}
		switch c.role {
		case easting, longitude:
			s.Point[0] = v
		case northing, latitude:
			s.Point[1] = v
		case height:
			s.Z = v
		case uncertainty:
			s.Error = v
		case sway:
			s.Sway = v
		}
	}
	if in.head.lonLat && math.Abs(s.Point[1]) > 90 && math.Abs(s.Point[1]) <= 180 && math.Abs(s.Point[0]) <= 90 {
		in.swapped++
	}
	if good {
		in.shots = append(in.shots, s)
	}
}

// decimals keeps a file to one decimal mark: where both occur, one of them
// may be setting thousands apart, and nobody can tell which.
func (in *reading) decimals(text string) string {
	switch {
	case strings.Contains(text, ","):
		if in.point > 0 {
			return fmt.Sprintf("%s has a decimal comma, but line %d a decimal point; use one throughout", quote(text), in.point)
		}
		if in.comma == 0 {
			in.comma = in.lines.n
		}
	case strings.Contains(text, "."):
		if in.comma > 0 {
			return fmt.Sprintf("%s has a decimal point, but line %d a decimal comma; use one throughout", quote(text), in.comma)
		}
		if in.point == 0 {
			in.point = in.lines.n
		}
	}
	return ""
}

// hint adds a guess where many mistakes have one cause.
func (in *reading) hint() {
	if in.swapped > 0 && len(in.bad.Mistakes) > 0 {
		in.bad.Hints = append(in.bad.Hints, "lon and lat look swapped: the header is to read lat,lon if latitude comes first")
	}
}

func (in *reading) extraNames() []string {
	var names []string
	for _, c := range in.head.columns {
		if c.role == extra {
			names = append(names, c.name)
		}
	}
	return names
}

// LooksLikeDegrees tells x,y that were probably meant as lon,lat: within the
// range of degrees and closer together than any survey in metres. The text
// says so; it is empty where they are metres, or said to be lon,lat.
func (t *Table) LooksLikeDegrees() string {
	if t.LonLat || len(t.Shots) < 3 {
		return ""
	}
	box := orb.Bound{Min: t.Shots[0].Point, Max: t.Shots[0].Point}
	for _, s := range t.Shots {
		box = box.Extend(s.Point)
	}
	world := orb.Bound{Min: orb.Point{-180, -90}, Max: orb.Point{180, 90}}
	if world.Contains(box.Min) && world.Contains(box.Max) && box.Max[0]-box.Min[0] < 0.5 && box.Max[1]-box.Min[1] < 0.5 {
		return fmt.Sprintf("x and y look like degrees: all %d shots lie within %.4f by %.4f of each other",
			len(t.Shots), box.Max[0]-box.Min[0], box.Max[1]-box.Min[1])
	}
	return ""
}
