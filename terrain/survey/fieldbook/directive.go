package fieldbook

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
)

// directives are the words a line may begin with, before a colon.
var directives = []string{
	"book", "date", "crs", "sheet", "page", "units", "staff", "reading error", "order", "share", "closing", "sight", "loop",
	"base", "tape", "reads", "set-up", "instrument height", "grade", "home", "heights", "geoid", "worst", "lines", "note",
}

// directive reads a line such as "units: ft" and reports whether it was one.
func (in *reading) directive(line string) bool {
	line = strings.TrimSpace(line)
	if strings.HasPrefix(line, `"`) { // a spreadsheet puts quotes around commas
		line = strings.Join(split(line, ','), ",")
	}
	key, rest, ok := strings.Cut(line, ":")
	key = strings.ToLower(strings.Join(strings.Fields(key), " "))
	if !ok || key == "" || strings.ContainsFunc(key, func(r rune) bool { return !unicode.IsLetter(r) && r != ' ' && r != '-' }) {
		return false
	}
	rest = strings.Trim(rest, ",;\t ")
	if !slices.Contains(directives, key) {
		in.bad.add(in.at, "", "%s is no directive of a field book; known are %s", quote(key+":"), strings.Join(directives, ", "))
		return true
	}
	if rest == "" && key != "loop" && key != "note" && key != "set-up" {
		in.bad.add(in.at, key, "says nothing; write what it is to be behind the colon")
		return true
	}
	if err := in.direct(key, rest); err != nil {
		in.bad.add(in.at, key, "%s", err)
	}
	return true
}

// choose is the choice a text means, in any case.
func choose[T any](text string, among map[string]T, want string) (T, error) {
	v, ok := among[strings.ToLower(strings.Join(strings.Fields(text), " "))]
	if !ok {
		return v, fmt.Errorf("%s is not %s", quote(text), want)
	}
	return v, nil
}

func (in *reading) direct(key, rest string) (err error) {
	s := in.settings()
	switch key {
	case "book":
		in.book.Title = rest
	case "date":
		day, wrong := time.Parse(time.DateOnly, rest)
		if wrong != nil {
			return fmt.Errorf("%s is not a day; write it as 2026-03-14, year, month and day", quote(rest))
		}
		in.book.Date = day
	case "crs":
		if in.book.CRS != "" && in.book.CRS != rest {
			return fmt.Errorf("%s, but the book said %s before; a book is in one system", quote(rest), quote(in.book.CRS))
		}
		in.book.CRS = rest
	case "sheet":
		var k kind
		k, err = choose(rest, map[string]kind{"level": levelSheet, "laser": laserSheet, "water": waterSheet, "water level": waterSheet,
			"tape": tapeSheet, "gnss": gnssSheet, "points": pointSheet}, "a kind of sheet: level, laser, water, tape, gnss or points")
		if err == nil {
			in.open(k)
		} else { // its rows are told nothing more of
			in.open(levelSheet)
			in.sheet.columns, in.sheet.broken = []column{}, true
		}
	case "page":
		in.at.page = rest
	case "units":
		s.unit, err = choose(rest, unitNames, "a unit: "+unitsKnown)
		if err != nil {
			s.unit = "m"
		}
	case "staff":
		s.staff, err = in.within(rest, 0.5, 12, "the length of a staff")
	case "reading error":
		s.sigma, err = in.within(rest, 0.0001, 0.5, "the standard deviation of a reading")
	case "worst":
		s.worst, err = in.within(rest, 0.001, 10, "the largest vertical error to keep")
	case "sight":
		s.sight, err = in.within(rest, 1, 300, "the length of a sight")
	case "order":
		var o Order
		if o, err = ParseOrder(rest); err == nil {
			s.order = o
		}
	case "share":
		s.share, err = choose(rest, map[string]Share{"set-ups": BySetUps, "setups": BySetUps, "distance": ByDistance}, "a way to share: set-ups or distance")
	case "closing":
		s.open, err = choose(rest, map[string]bool{"open": true, "closed": false}, "open or closed")
	case "loop":
		in.newLoop = true
	case "tape":
		s.sloped, err = choose(rest, map[string]bool{"sloped": true, "slope": true, "level": false}, "sloped (along the ground) or level")
	case "reads":
		var r [2]bool
		r, err = choose(rest, map[string][2]bool{"down": {}, "up": {true}, "cut/fill": {true, true}, "cut-fill": {true, true}, "cut and fill": {true, true}},
			"a way to read: down (a larger reading is lower ground), up (a larger reading is higher ground) or cut/fill")
		s.up, s.cutFill = r[0], r[1]
	case "lines":
		s.lineCode = nil
		for _, code := range arguments(rest) {
			s.lineCode = append(s.lineCode, strings.ToLower(code))
		}
	case "heights":
		s.heights, err = choose(rest, map[string]string{"ellipsoidal": "ellipsoidal", "orthometric": "orthometric", "above sea level": "orthometric"},
			"ellipsoidal or orthometric (above sea level)")
	case "geoid":
		s.geoid, err = length(rest, s.unit, true)
		if s.geoid.ok = err == nil; err == nil {
			err = in.possibleGeoid(s.geoid)
		}
	case "base":
		err = in.baseLine(rest)
	case "set-up", "instrument height", "grade", "home":
		err = in.stand(key, rest)
	}
	return err
}

func (in *reading) possibleGeoid(v value) error {
	if v.v < -120 || v.v > 100 {
		return fmt.Errorf("%s is not a geoid separation, which lies between -120 and 100 m", quote(v.text))
	}
	return nil
}

// within reads a length that has to lie between two.
func (in *reading) within(text string, low, high float64, what string) (float64, error) {
	v, err := length(text, in.settings().unit, false)
	if err != nil {
		return high, err
	}
	if v.v < low || v.v > high {
		return high, fmt.Errorf("%s is not %s, %g to %g m", quote(text), what, low, high)
	}
	return v.v, nil
}

// arguments are the parts of a directive, divided by any of the separators.
func arguments(rest string) []string {
	var parts []string
	for p := range strings.FieldsFuncSeq(rest, func(r rune) bool { return r == ',' || r == ';' || r == '\t' }) {
		if p = strings.TrimSpace(p); p != "" {
			parts = append(parts, p)
		}
	}
	return parts
}

// stand begins a station of a laser or a water level.
func (in *reading) stand(key, rest string) error {
	s := in.sheet
	if s == nil || s.kind != laserSheet && s.kind != waterSheet {
		return fmt.Errorf("belongs on a laser or water sheet; begin one with sheet: laser")
	}
	st := in.station
	if st == nil || st.used || key == "set-up" {
		st = &station{at: in.at}
	}
	switch key {
	case "set-up":
		st.name = rest
	case "home":
		parts := arguments(rest)
		st.homeAs = parts[0]
		if st.home = nameKey(parts[0]); st.home == "" {
			return fmt.Errorf("%s names no one point", quote(parts[0]))
		}
		if len(parts) > 1 {
			v, err := length(parts[1], s.unit, true)
			if err != nil {
				return err
			}
			if st.known = v; v.v < lowest || v.v > highest {
				return fmt.Errorf("%s is an impossible height", quote(parts[1]))
			}
		}
	default:
		v, err := length(rest, s.unit, true)
		if err != nil {
			return err
		}
		if v.v < lowest || v.v > highest {
			return fmt.Errorf("%s is %.0f m, an impossible height", quote(rest), v.v)
		}
		if (key == "grade") != s.cutFill {
			return fmt.Errorf("goes with reads: %s", map[bool]string{true: "cut/fill", false: "down or up"}[key == "grade"])
		}
		st.height = v
	}
	in.station = st
	return nil
}

// baseLine reads "row A, from P1, to P2" or "row A, from P1, bearing N 60 E".
func (in *reading) baseLine(rest string) error {
	const form = `write it as base: row A, from P1, to P2 or base: row A, from P1, bearing N 60 E`
	b := &baseLine{at: in.at}
	for i, p := range arguments(rest) {
		word, arg, _ := strings.Cut(p, " ")
		arg = strings.TrimSpace(arg)
		switch word = strings.ToLower(word); {
		case word == "from" && arg != "":
			b.from = arg
		case word == "to" && arg != "":
			b.to = arg
		case word == "bearing" && arg != "":
			v, err := ParseBearing(arg)
			if err != nil {
				return err
			}
			b.bearing, b.turned = v, true
		case i == 0:
			b.name = p
		default:
			return fmt.Errorf("%s is no part of a base line; %s", quote(p), form)
		}
	}
	switch {
	case b.from == "":
		return fmt.Errorf("a base line without its first point; %s", form)
	case (b.to == "") != b.turned:
		return fmt.Errorf("a base line needs one of a second point and a bearing; %s", form)
	case nameKey(b.from) == nameKey(b.to):
		return fmt.Errorf("a base line from %s to itself has no direction; %s", quote(b.from), form)
	}
	for _, other := range in.book.bases {
		if b.name != "" && nameKey(other.name) == nameKey(b.name) {
			return fmt.Errorf("a base line %s is there already, on %s", quote(b.name), other.at)
		}
	}
	in.book.bases = append(in.book.bases, b)
	in.base = b
	return nil
}
