package species

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A row is one line of a grower's table while it is laid over an entry.
type row struct {
	*ownTable
	line  int
	entry *Entry
	facts []Fact

	class             *Class
	low, likely, high *float64 // days
}

// row lays one line over the entry it names, or makes a new one.
func (o *ownTable) row(values []string, heads []head, lineOf func(int) int) {
	at := slices.IndexFunc(heads, func(h head) bool { return h.name == "scientific_name" })
	r := &row{ownTable: o, line: lineOf(at)}
	name := strings.Join(strings.Fields(values[at]), " ")
	words := epithets(tokens(name))
	if len(words) == 0 || !oneLine(name) || len(name) > maxWords {
		r.bad("scientific_name", values[at], "a scientific name such as Carya illinoinensis")
		return
	}
	known := o.base.scientific(words)
	e := &Entry{Scientific: name, Own: true}
	if known != nil {
		e = new(*known)
		e.Own = true
	}
	if earlier, again := o.lines[e.Scientific]; again {
		o.fault(r.line, "scientific_name", "%q is the species of line %d again", shortened(name), earlier)
		return
	}
	o.lines[e.Scientific] = r.line
	r.entry = e
	before := len(o.faults) + o.more
	for i, v := range values {
		if v = strings.TrimSpace(v); v != "" && i != at {
			r.line = lineOf(i)
			r.take(heads[i], v)
		}
	}
	r.line = lineOf(at)
	r.settleDays(known != nil)
	if len(o.faults)+o.more > before {
		return
	}
	e.Facts = append(slices.Clip(r.facts), e.Facts...)
	o.entries[e.Scientific] = e
}

func (r *row) bad(column, value, want string) {
	r.fault(r.line, column, "%q is not %s", shortened(value), want)
}

// fact keeps what the grower said beside what others say, in front.
func (r *row) fact(attribute, value, unit string) {
	r.facts = append(r.facts, Fact{
		Attribute: attribute, Value: value, Unit: unit,
		Basis: Grower, Source: r.source, Note: "line " + strconv.Itoa(r.line),
	})
}

// take reads one value.
func (r *row) take(h head, v string) {
	e := r.entry
	switch h.name {
	case "common_names":
		names := list(v)
		if !oneLine(v) || slices.ContainsFunc(names, func(n string) bool { return len(tokens(n)) == 0 || len(n) > maxWords }) {
			r.bad(h.written, v, "a list of names parted by semicolons")
			return
		}
		r.fact(h.name, strings.Join(names, "; "), "")
		for _, old := range e.Common {
			if !slices.Contains(names, old) {
				names = append(names, old)
			}
		}
		e.Common = names
	case "class":
		c, ok := classNamed(strings.Join(strings.FieldsFunc(strings.ToLower(v), func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), " "))
		if !ok {
			r.bad(h.written, v, "one of no wet feet, short soak, wet spell, wet season, swamp")
			return
		}
		r.class = &c
		r.fact(h.name, c.String(), "")
	case "days_low":
		r.days(h, v, &r.low)
	case "days_likely":
		r.days(h, v, &r.likely)
	case "days_high":
		r.days(h, v, &r.high)
	case "depth_m":
		if d := r.length(h, v, 0, 10, false); d != nil {
			e.Depth = &d.Low
		}
	case "water_table_m":
		if d := r.length(h, v, 0, 20, true); d != nil {
			e.WaterTable = d
		}
	case "spacing_m":
		if d := r.length(h, v, 0.05, 100, true); d != nil {
			e.Spacing = d
		}
	case "height_m":
		if d := r.length(h, v, 0.05, 120, true); d != nil {
			e.Height = d
		}
	case "stratum":
		r.word(h, v, &e.Stratum, "low", "medium", "high", "emergent")
	case "salt":
		r.word(h, v, &e.Salt, "none", "low", "medium", "high")
	case "uses":
		if !oneLine(v) {
			r.bad(h.written, v, "a list of uses parted by semicolons")
			return
		}
		e.Uses = list(strings.ToLower(v))
		r.fact("use", strings.Join(e.Uses, "; "), "")
	case "hardiness":
		zones := strings.ToLower(strings.ReplaceAll(v, "–", "-"))
		if _, ok := readZones(zones); !ok {
			r.bad(h.written, v, "a USDA zone from 1 to 13, a range such as 5b-9, or annual")
			return
		}
		e.Hardiness = zones
		r.fact(h.name, zones, "USDA zone")
	case "invasive":
		if !oneLine(v) {
			r.bad(h.written, v, "one line of text")
			return
		}
		r.fact(h.name, v, "")
		if e.Invasive = v; strings.EqualFold(v, "none") {
			e.Invasive = ""
		}
	case "note":
		if !oneLine(v) {
			r.bad(h.written, v, "one line of text")
			return
		}
		r.fact(h.name, v, "")
	}
}

func (r *row) days(h head, v string, dst **float64) {
	d, ok := decimal(v, 0, yearRound)
	if !ok {
		r.bad(h.written, v, "a number of days from 0 to 365")
		return
	}
	*dst = &d
	r.fact(h.name, v, "days")
}

func (r *row) word(h head, v string, dst *string, words ...string) {
	w := strings.ToLower(v)
	if !slices.Contains(words, w) {
		r.bad(h.written, v, "one of "+strings.Join(words, ", "))
		return
	}
	*dst = w
	r.fact(h.name, w, "")
}

// length reads a length or, where pairs are wanted, a range of lengths.
// Bounds are metres.
func (r *row) length(h head, v string, low, high float64, pair bool) *Range {
	want := fmt.Sprintf("a number from %s to %s", plainNumber(low/h.factor), plainNumber(high/h.factor))
	if pair {
		want += ", or a range such as 4-6"
	}
	a, b, two := strings.Cut(strings.ReplaceAll(v, "–", "-"), "-")
	if !two {
		b = a
	}
	x, okX := decimal(strings.TrimSpace(a), low/h.factor, high/h.factor)
	y, okY := decimal(strings.TrimSpace(b), low/h.factor, high/h.factor)
	if !okX || !okY || x > y || two && !pair {
		r.bad(h.written, v, want)
		return nil
	}
	d := &Range{x * h.factor, (x + y) / 2 * h.factor, y * h.factor}
	attribute := strings.TrimSuffix(h.name, "_m")
	if attribute == "depth" {
		attribute = "water_depth"
	}
	value := plainNumber(d.Low)
	if two {
		value += "-" + plainNumber(d.High)
	}
	r.fact(attribute, value, "m")
	return d
}

// plainNumber writes a number to three decimals without idle zeros.
func plainNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

// settleDays makes class and days agree.
func (r *row) settleDays(known bool) {
	e := r.entry
	switch {
	case r.class == nil && r.likely == nil && !known:
		r.fault(r.line, "", "%s is new to the table and needs a class or days_likely", e.Scientific)
		return
	case r.class != nil && r.likely != nil && ClassOf(*r.likely) != *r.class:
		r.fault(r.line, "days_likely", "%s days is not within %q, which is %s; leave one of the two empty",
			plainNumber(*r.likely), *r.class, r.class.phrase())
		return
	}
	class := e.Class
	if r.likely != nil {
		class = ClassOf(*r.likely)
	}
	if r.class != nil {
		class = *r.class
	}
	if r.class != nil || r.likely != nil {
		if known && max(class-e.Class, e.Class-class) > 1 {
			e.Clash = fmt.Sprintf("your own table says %q, yet the table of the program says %q", class, e.Class)
		}
		e.Class, e.Confidence, e.DaysBasis = class, "medium", Grower
		e.Days, _ = daysBorne(class, e.Confidence, nil)
	}
	if r.likely != nil {
		e.Days = Range{math.Min(e.Days.Low, *r.likely), *r.likely, math.Max(e.Days.High, *r.likely)}
	}
	if r.low != nil {
		e.Days.Low = *r.low
	}
	if r.high != nil {
		e.Days.High = *r.high
	}
	if !(e.Days.Low <= e.Days.Likely && e.Days.Likely <= e.Days.High) {
		r.fault(r.line, "", "days of %s, %s and %s are not in order from low to high; days_likely may be missing",
			plainNumber(e.Days.Low), plainNumber(e.Days.Likely), plainNumber(e.Days.High))
	}
}
