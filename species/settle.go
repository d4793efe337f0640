package species

import (
	"fmt"
	"strconv"
	"strings"
)

// settle draws the figures of an entry from its facts: the first fact of an
// attribute is the one that counts, since facts stand in the order of trust.
func (e *Entry) settle(short func(source string) string) error {
	var counts []count
	var cautions []string
	for i, f := range e.Facts {
		first := !tells(e.Facts[:i], f.Attribute)
		var err error
		switch f.Attribute {
		case "class":
			var ok bool
			if e.Class, ok = classNamed(f.Value); !ok {
				err = fmt.Errorf("%q is not a class", f.Value)
			}
		case "days_borne":
			var n count
			if n, err = readCount(f); err == nil {
				counts = append(counts, n)
			}
		case "water_depth":
			if first {
				var r Range
				r, err = readRange(f.Value)
				e.Depth = &r.Low
			}
		case "water_table":
			err = take(&e.WaterTable, f, first)
		case "spacing":
			err = take(&e.Spacing, f, first)
		case "height":
			err = take(&e.Height, f, first)
		case "stratum":
			if first {
				e.Stratum = f.Value
			}
		case "use":
			if first {
				e.Uses = list(f.Value)
			}
		case "hardiness":
			if first {
				e.Hardiness = f.Value
			}
		case "salt":
			if first {
				e.Salt = saltWord(f.Value)
			}
		case "invasive":
			cautions = append(cautions, f.Value)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", f.Attribute, err)
		}
	}
	e.Invasive = strings.Join(cautions, "; ")
	e.Days, e.DaysBasis = daysBorne(e.Class, e.Confidence, counts)
	if e.Clash == "" {
		e.Clash = clash(e.Class, e.Facts, short)
	}
	return nil
}

// tells says whether any of the facts is about the attribute.
func tells(facts []Fact, attribute string) bool {
	for _, f := range facts {
		if f.Attribute == attribute {
			return true
		}
	}
	return false
}

// take reads a range out of the first fact of its kind.
func take(dst **Range, f Fact, first bool) error {
	if !first {
		return nil
	}
	r, err := readRange(f.Value)
	*dst = &r
	return err
}

// readRange reads "4-6" or "5". The likely value of a range is its middle.
func readRange(s string) (Range, error) {
	low, high, two := strings.Cut(s, "-")
	if !two {
		high = low
	}
	a, errA := strconv.ParseFloat(low, 64)
	b, errB := strconv.ParseFloat(high, 64)
	if errA != nil || errB != nil || !(a >= 0 && a <= b) {
		return Range{}, fmt.Errorf("%q is not a number or a range such as 4-6", s)
	}
	return Range{a, (a + b) / 2, b}, nil
}

// readCount reads days: "14", "7-14", and the bounds ">=28", ">730", "<5" and
// "<=5". Where the unit says in which soil they were seen, "days at 32 C", they
// are brought to the soil of the table, in which they are so many more.
func readCount(f Fact) (count, error) {
	n := count{basis: f.Basis}
	s := f.Value
	if s != "" && (s[0] == '<' || s[0] == '>') {
		n.bound = s[0]
		s = strings.TrimPrefix(s[1:], "=")
	}
	var err error
	if n.Range, err = readRange(s); err != nil {
		return n, err
	}
	soil, warm := strings.CutPrefix(f.Unit, "days at ")
	if !warm {
		return n, nil
	}
	celsius, err := strconv.ParseFloat(strings.TrimSuffix(soil, " C"), 64)
	if err != nil || !strings.HasSuffix(soil, " C") {
		return n, fmt.Errorf("%q is no unit of days; days, or days at 32 C", f.Unit)
	}
	times := HourWeight(celsius, false, false)
	n.Range = Range{n.Low * times, n.Likely * times, n.High * times}
	return n, nil
}

// saltWord makes one word of what the databases say: none, low, medium or
// high. Of "best ...; limit ..." it is the limit.
func saltWord(s string) string {
	if _, limit, ok := strings.Cut(s, "limit "); ok {
		s = limit
	}
	s = strings.TrimPrefix(s, "best ")
	word, _, _ := strings.Cut(s, " ")
	switch word {
	case "none", "low", "medium", "high":
		return word
	}
	return ""
}
