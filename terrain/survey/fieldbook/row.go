package fieldbook

import (
	"errors"
	"fmt"
	"strings"
)

// row reads one line of a sheet.
func (in *reading) row(line string) {
	s := in.sheet
	if line == s.header { // repeated at the head of a page
		return
	}
	cells := split(line, s.mark)
	if len(cells) == 0 {
		return
	}
	in.entries++
	if s.broken {
		return
	}
	at := in.at
	for i, c := range s.columns {
		if c.role == pageRole && i < len(cells) && cells[i] != "" {
			at.page = cells[i]
		}
	}
	in.at.page = at.page
	e := &entry{place: at, base: in.base, newLoop: in.newLoop}
	in.newLoop = false
	if s.kind == laserSheet || s.kind == waterSheet {
		if in.station == nil {
			in.station = &station{at: at}
		}
		e.station, in.station.used = in.station, true
	}
	switch n := len(s.columns); {
	case len(cells) <= n:
	case s.columns[n-1].role == remarkRole: // commas in the last remark
		cells = append(cells[:n-1:n-1], strings.Join(cells[n-1:], string(s.mark)+" "))
	default:
		what := fmt.Sprintf("%d values under %d columns", len(cells), n)
		if s.mark == ',' {
			what += "; a decimal comma needs columns divided by semicolons or tabs, and a cell that holds a comma needs double quotes around it"
		}
		in.bad.add(at, "", "%s", what)
		return
	}
	good := true
	for i, text := range cells {
		if c := s.columns[i]; text != "" && text != "-" && c.role != noRole {
			good = in.cell(e, c, text) && good
		}
	}
	e.name = e.text(pointRole)
	e.key = nameKey(e.name)
	if good = in.wholeRow(e) && good; good || s.kind == levelSheet {
		s.entries = append(s.entries, e) // a level book cannot be followed with rows left out
	}
}

// cell reads one value of a row and reports whether it could.
func (in *reading) cell(e *entry, c column, text string) bool {
	s := in.sheet
	unit := s.unit
	if c.unit != "" {
		unit = c.unit
	}
	plain, problem := in.decimals(text, columnRoles[c.role].holds)
	if problem != "" {
		in.bad.add(e.place, c.name, "%s", problem)
		e.set(c.role, value{text: text})
		return false
	}
	var v value
	var err error
	switch columnRoles[c.role].holds {
	case words:
		v = value{text: text}
	case lengths:
		if c.role == readingRole && s.cutFill {
			v, err = grade(plain, unit)
		} else {
			v, err = length(plain, unit, false)
		}
	case signedLengths:
		v, err = length(plain, unit, true)
	case angles:
		if v.v, err = degrees(plain); err != nil {
			err = fmt.Errorf("%s is not decimal degrees, such as -96.41253", quote(text))
		}
	case sides:
		v, err = offset(plain, unit)
		if errors.Is(err, errNoSide) {
			err = fmt.Errorf("%s is an offset without its side: write 3.2 L or 3.2 R, facing along the base line, or use columns left and right", quote(text))
		}
	}
	v.text = text
	if err == nil {
		err = in.possible(c.role, v)
	}
	e.set(c.role, v)
	if err != nil {
		in.bad.add(e.place, c.name, "%s", err)
	}
	return err == nil
}

// decimals puts a decimal comma into the point a number is read with, where
// commas do not divide the columns, and keeps a book to one of the two.
func (in *reading) decimals(text string, holds content) (plain, problem string) {
	if holds == words {
		return text, ""
	}
	switch {
	case strings.Contains(text, ","):
		if in.sheet.mark == ',' || strings.Count(text, ",") > 1 || strings.Contains(text, ".") {
			return "", quote(text) + " is not a number: write 1200 or 1.25, without commas"
		}
		if in.point > 0 {
			return "", fmt.Sprintf("%s has a decimal comma, but line %d a decimal point; use one throughout", quote(text), in.point)
		}
		if in.comma == 0 {
			in.comma = in.at.line
		}
		return strings.Replace(text, ",", ".", 1), ""
	case strings.Contains(text, "."):
		if in.comma > 0 {
			return "", fmt.Sprintf("%s has a decimal point, but line %d a decimal comma; use one throughout", quote(text), in.comma)
		}
		if in.point == 0 {
			in.point = in.at.line
		}
	}
	return text, ""
}

// Land lies between -430 m and 8849 m; the rest is room for mines and local
// data.
const lowest, highest = -1000.0, 9000.0

// possible refuses values no field can have.
func (in *reading) possible(r role, v value) error {
	s := in.sheet
	switch r {
	case backRole, interRole, foreRole, readingRole, homeRole:
		if v.v > s.staff && !(s.cutFill && r == readingRole) {
			if v.v > 2*s.staff {
				in.swapped++
			}
			size, unit := 1.0, "m"
			if inFeet(v.unit) {
				size, unit = 0.3048, "ft"
			}
			return fmt.Errorf("%s is %.2f %s, beyond the end of a staff of %.2f %s; a longer staff is declared as staff: 8 m (or 25 ft)", quote(v.text), v.v/size, unit, s.staff/size, unit)
		}
	case knownRole, bookedRole, heightRole, ellipsoidRole:
		if v.v < lowest || v.v > highest {
			return fmt.Errorf("%s is %.0f m, an impossible height; heights lie between %.0f and %.0f m", quote(v.text), v.v, lowest, highest)
		}
	case lonRole:
		if v.v < -180 || v.v > 180 {
			return fmt.Errorf("%s is not a longitude, -180 to 180 degrees", quote(v.text))
		}
	case latRole:
		if v.v < -90 || v.v > 90 {
			in.bad.hint("lon and lat look swapped: the columns are to read lat,lon if latitude comes first")
			return fmt.Errorf("%s is not a latitude, -90 to 90 degrees", quote(v.text))
		}
	case geoidRole:
		if v.v < -120 || v.v > 100 {
			return fmt.Errorf("%s is not a geoid separation, which lies between -120 and 100 m", quote(v.text))
		}
	case alongRole, leftRole, rightRole, distanceRole, backLengthRole, foreLengthRole, offsetRole:
		if v.v > 1e5 || v.v < -1e5 {
			return fmt.Errorf("%s is %.0f m, longer than any field", quote(v.text), v.v)
		}
	}
	return nil
}

// wholeRow looks at what the cells of a row say together.
func (in *reading) wholeRow(e *entry) bool {
	s, before := in.sheet, len(in.bad.all)
	if e.all(leftRole, rightRole) || e.count(leftRole, rightRole) > 0 && e.filled(offsetRole) {
		in.bad.add(e.place, "left", "a point lies to one side of the base line; fill one of left, right and offset")
	}
	if e.count(xRole, yRole) == 1 || e.count(lonRole, latRole) == 1 {
		in.bad.add(e.place, "", "half a position; fill both x and y, or both lon and lat")
	}
	needs := func(r role) {
		if !e.filled(r) {
			in.bad.add(e.place, columnRoles[r].name, "is empty; every row of a %s sheet needs one", s.kind)
		}
	}
	switch s.kind {
	case levelSheet:
		in.levelRow(e)
	case laserSheet, waterSheet:
		needs(readingRole)
	case tapeSheet:
		needs(pointRole)
		needs(alongRole)
	case gnssSheet, pointSheet:
		if !e.any(xRole, lonRole) {
			in.bad.add(e.place, "", "no position; every row of a %s sheet needs lon and lat, or x and y", s.kind)
		}
		if s.kind == gnssSheet && !e.any(heightRole, ellipsoidRole) {
			in.bad.add(e.place, "", "no height; every row of a gnss sheet needs one")
		}
	}
	if (s.kind == tapeSheet || s.kind == pointSheet) && e.filled(pointRole) && e.key == "" {
		in.bad.add(e.place, "point", "%s names no one point; give each its own name", quote(e.name))
	}
	return len(in.bad.all) == before
}

// levelRow checks that the row of a level book can be booked.
func (in *reading) levelRow(e *entry) {
	switch {
	case e.filled(interRole) && e.any(backRole, foreRole):
		in.bad.add(e.place, "is", "an intermediate sight beside a %s; a row holds one reading, or the fore and back sight of a turning point",
			map[bool]string{true: "back sight", false: "fore sight"}[e.filled(backRole)])
	case !e.any(backRole, interRole, foreRole) && !e.filled(knownRole):
		in.bad.add(e.place, "", "no reading; every row of a level book needs a bs, is or fs, or the level of a benchmark")
	case !e.any(backRole, interRole, foreRole) && e.key == "":
		in.bad.add(e.place, "point", "a level without the name of its benchmark")
	}
}
