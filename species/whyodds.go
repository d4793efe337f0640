package species

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gonum.org/v1/gonum/stat"
)

// wetDose is the dose from which a root zone counts as wet in words, hours.
const wetDose = 1.0

// whyOdds says in one sentence how likely the tree is lost, how long and how
// deep the draws have it in water, and how long it bears that.
func whyOdds(e *Entry, t Tolerance, s soaking, p float64, opts JudgeOptions) string {
	var b strings.Builder
	b.WriteString(capital(InTen(p)) + " that it drowns here: ")
	hours, year, weighed := s.hours(t)
	slices.Sort(hours)
	counts, days, found := "", t.Days, opts.Conditions
	if weighed { // told in soil of 20 °C, of which the hours of the year are, and not in that of the storm
		counts, found = "what counts as ", found.ofYears()
		w := math.Exp(t.hour)
		for i := range hours {
			hours[i] *= w
		}
		days = Range{w * days.Low, w * days.Likely, w * days.High}
	}
	dry, _ := slices.BinarySearch(hours, wetDose)
	wet := hours[dry:]
	switch share := float64(len(wet)) / float64(len(hours)); {
	case len(wet) == 0:
		b.WriteString("no water is expected at its roots")
		year = false
	case share < 0.9:
		fmt.Fprintf(&b, "water gets to its roots in %s cases, then for %s%s", cases(share), counts, spell(tenths(wet)))
	default:
		fmt.Fprintf(&b, "its roots stay wet for %s%s", counts, spell(tenths(wet)))
	}
	in := " in"
	if year {
		b.WriteString(", in the storm or the longest wet spell of a usual year")
		in = ", in"
	}
	depths := slices.Sorted(slices.Values(s.depths))
	if deep := stat.Quantile(0.5, stat.Empirical, depths, nil); deep > t.Depth {
		fmt.Fprintf(&b, "%s %s of water%s", in, opts.Length(deep), t.remark(e, deep, opts.Length))
	}
	b.WriteString("; ")
	if how := found.words(opts.Degrees); how != "" {
		b.WriteString(how + " ")
	}
	b.WriteString("it bears about " + spell(days))
	if t.Stock != "" {
		b.WriteString(" on " + t.Stock + " roots")
	}
	b.WriteString(".")
	return b.String()
}

// tenths is the hours, in days, that one in ten, half and nine in ten of the
// sorted draws do not exceed.
func tenths(hours []float64) Range {
	at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, hours, nil) / 24 }
	return Range{at(0.1), at(0.5), at(0.9)}
}

// remark says of a depth over what the tree bears what makes it too deep.
func (t Tolerance) remark(e *Entry, depth float64, length func(float64) string) string {
	switch {
	case depth > t.Head && t.Head > e.head(0):
		return ", over the head of a tree of its age"
	case depth > t.Head:
		return ", over the head of a tree as it is planted"
	case t.Swamp:
		return ""
	case e.Depth == nil && t.Depth == shallowDepth:
		return fmt.Sprintf(", deeper than the %s taken as shallow", length(t.Depth))
	}
	return fmt.Sprintf(", deeper than the %s it has been seen to bear", length(t.Depth))
}

// spell writes a range of days as people say it: "2 to 5 days (likely 3)", or
// one figure where no doubt is left in words.
func spell(d Range) string {
	low, likely, high := lasting(d.Low), lasting(d.Likely), lasting(d.High)
	if low == high {
		return likely
	}
	if n, unit, _ := strings.Cut(high, " "); number(n) {
		if m, u, _ := strings.Cut(low, " "); u == unit && number(m) {
			low = m
			likely, _, _ = strings.Cut(likely, " ")
		}
	}
	return fmt.Sprintf("%s to %s (likely %s)", low, high, likely)
}

func number(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// cases says a share of the draws, less than nine tenths: "about 3 in 10".
func cases(share float64) string { return InTen(math.Min(share, 0.9)) }

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
