package season

import (
	"fmt"
	"math"
	"slices"
	"time"

	"wetfeet/hydro/weather"
)

// A Date is a day of any year.
type Date struct {
	Month time.Month
	Day   int
}

// String is the date as in "04-15".
func (d Date) String() string { return fmt.Sprintf("%02d-%02d", int(d.Month), d.Day) }

// ParseDate reads a date as String writes it.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse("2006-01-02", "2004-"+s) // a leap year
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a month and a day, as in 04-15", s)
	}
	return Date{t.Month(), t.Day()}, nil
}

func (d Date) isDate() bool {
	return d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && d.Day <= daysIn(2004, d.Month)
}

func daysIn(year int, m time.Month) int { return time.Date(year, m+1, 0, 0, 0, 0, 0, time.UTC).Day() }

// in is the date in a year. 29 February is the 28th where there is none.
func (d Date) in(year int) time.Time {
	return time.Date(year, d.Month, min(d.Day, daysIn(year, d.Month)), 0, 0, 0, 0, time.UTC)
}

// A Growing is a growing season, from the first to the last day of it. It may
// cross new year. The zero value is all of the calendar year.
type Growing struct {
	First, Last Date
	How         string // for the report, such as "given"
}

func (g Growing) whole() Growing {
	if g.First == (Date{}) && g.Last == (Date{}) {
		return Growing{First: Date{time.January, 1}, Last: Date{time.December, 31}, How: "all of the year"}
	}
	return g
}

// Check says what is wrong with a season that a person typed.
func (g Growing) Check() error {
	g = g.whole()
	for _, d := range []Date{g.First, g.Last} {
		if !d.isDate() {
			return fmt.Errorf("growing season %v to %v: %v is not a date", g.First, g.Last, d)
		}
	}
	return nil
}

// crosses reports whether the season begins in one year and ends in the next.
func (g Growing) crosses() bool {
	return g.Last.Month < g.First.Month || g.Last.Month == g.First.Month && g.Last.Day < g.First.Day
}

// span is the season that begins in a year: from its first day up to but not
// including the day after its last.
func (g Growing) span(year int) (from, to time.Time) {
	end := year
	if g.crosses() {
		end++
	}
	return g.First.in(year), g.Last.in(end).AddDate(0, 0, 1)
}

// begins is the first day of the year that a season belongs to.
func (g Growing) begins(year int) time.Time {
	if !g.crosses() {
		return time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	// Halfway between the end of the season before and the start of this one,
	// as they lie in a year that is not leap, so that it is one date.
	const common = 2001
	_, end := g.span(common - 1)
	first := g.First.in(common)
	days := int(first.Sub(end) / (24 * time.Hour))
	t := end.AddDate(0, 0, days/2)
	return time.Date(year, t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// Days is the length of the season that begins in a year.
func (g Growing) Days(year int) int {
	from, to := g.whole().span(year)
	return int(to.Sub(from) / (24 * time.Hour))
}

// KillingFrost is the air temperature, °C, that bounds the growing season of the
// Corps of Engineers' practice: 28 °F, between dates of five years in ten.
const KillingFrost = (28 - 32) / 1.8

// GrowingByTemperature is the season between the median dates of the last frost
// of spring and the first of autumn, a frost being a day whose least temperature,
// °C, is no higher than given, as [KillingFrost]. The year is cut in two at its
// warmest month, so either half of the earth will do. A year without frost counts
// as growing throughout; where that is the median, so is the season.
func GrowingByTemperature(r *weather.Record, frost float64) (Growing, error) {
	if r.TMin == nil {
		return Growing{}, fmt.Errorf("the record has no temperatures to find the growing season by: give it a column tmin_c, or the dates of the season")
	}
	var sum, n [12]float64
	for i, t := range r.TMin {
		if !math.IsNaN(t) {
			m := r.Time(i).Month() - 1
			sum[m] += t
			n[m]++
		}
	}
	warmest, most := time.July, math.Inf(-1)
	for m := range 12 {
		if n[m] > 0 && sum[m]/n[m] > most {
			warmest, most = time.Month(m+1), sum[m]/n[m]
		}
	}
	// For every midsummer in the record, days back to the last frost and on to
	// the first, within half a year on either side.
	const half = 182
	perDay := max(int(24*time.Hour/r.Step), 1)
	days := r.Len() / perDay
	isFrost := func(day int) bool {
		for _, t := range r.TMin[day*perDay : (day+1)*perDay] {
			if t <= frost {
				return true
			}
		}
		return false
	}
	var back, on []int
	for year := r.Start.Year(); year <= r.End().Year(); year++ {
		middle := int(math.Floor(time.Date(year, warmest, 15, 0, 0, 0, 0, time.UTC).Sub(r.Start).Hours() / 24))
		if middle-half < 0 || middle+half >= days {
			continue
		}
		b, o := 1, 1
		for b < half && !isFrost(middle-b) {
			b++
		}
		for o < half && !isFrost(middle+o) {
			o++
		}
		back, on = append(back, b), append(on, o)
	}
	if len(back) == 0 {
		return Growing{}, fmt.Errorf("the record has no year of temperatures about a summer to find the growing season by; give its dates")
	}
	slices.Sort(back)
	slices.Sort(on)
	b, o := back[len(back)/2], on[len(on)/2]
	how := fmt.Sprintf("between the median dates of the last and the first %.1f °C of %d years", frost, len(back))
	if b >= half && o >= half {
		g := Growing{}.whole()
		g.How = how + ": no frost in most"
		return g, nil
	}
	middle := time.Date(2001, warmest, 15, 0, 0, 0, 0, time.UTC)
	first, last := middle.AddDate(0, 0, 1-b), middle.AddDate(0, 0, o-1)
	return Growing{Date{first.Month(), first.Day()}, Date{last.Month(), last.Day()}, how}, nil
}

// Has reports whether a day is in the season of some year.
func (g Growing) Has(m time.Month, day int) bool {
	g = g.whole()
	at := func(d Date) int { return 100*int(d.Month) + d.Day }
	on, first, last := 100*int(m)+day, at(g.First), at(g.Last)
	if first > last {
		return on >= first || on <= last
	}
	return on >= first && on <= last
}
