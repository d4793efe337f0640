package weather

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"
)

// RecordOptions adjusts ReadRecord. The zero value refuses a record with gaps.
type RecordOptions struct {
	// AllowGaps takes a record with missing steps and values: they are NaN,
	// and Gaps lists those of the rain.
	AllowGaps bool
}

// ReadRecord reads daily or hourly weather as CSV. The name is for messages.
//
// The first line names the columns. Needed are date, or time, and rain_mm or
// rain_in; further columns known are et_mm or et_in, tmin_c and tmax_c or
// tmin_f and tmax_f, rhmin_pct and rhmax_pct, wind_m_s (at 2 m) and sun_h, and
// others are passed over. Dates are ISO 8601, 2004-02-29, and hours
// 2004-02-29T13:00, when the hour begins; a Z or an offset may follow. Rows
// stand in the order of time, each step once. A value may be missing: empty,
// NA, M or -9999. T is a trace of rain, too little to measure, and is 0.
//
// Everything wrong is told at once: dates that do not exist, that come twice or
// that are missing, rain below zero, rain that never was, columns whose values
// are in another unit than they say. Such an error is ErrInput.
func ReadRecord(r io.Reader, name string, opts RecordOptions) (*Record, error) {
	t, ok := openTable(r, name, "date,rain_mm")
	in := &recordReading{table: t, opts: opts, record: &Record{}}
	if ok && in.header() {
		for t.row() {
			if !in.row() {
				break
			}
		}
		if t.scan.Err() == nil {
			in.judge()
		}
	}
	if err := t.close(); err != nil {
		return nil, err
	}
	return in.record, nil
}

type recordReading struct {
	*table
	opts   RecordOptions
	record *Record
	date   int
	fields []field // rain first

	times  []int64 // Unix seconds of each row, rising
	lines  []int32 // where each stands
	traces int
}

// row takes one line, and reports whether more can be taken.
func (in *recordReading) row() bool {
	at, hourly, problem := moment(in.values[in.date])
	if problem != "" {
		in.bad.add(in.line, in.columns[in.date], "%s", problem)
		return true
	}
	rec := in.record
	step := 24 * time.Hour
	if hourly {
		step = time.Hour
	}
	text := in.values[in.date]
	switch n := len(in.times); {
	case n == 0:
		rec.Start, rec.Step = at, step
	case step != rec.Step:
		in.bad.add(in.line, in.columns[in.date], "%s, but line %d has %s; use days or hours throughout",
			quote(text)+map[bool]string{true: " has an hour", false: " has no hour"}[hourly], in.lines[0], map[bool]string{true: "none", false: "one"}[hourly])
		return true
	case at.Unix() <= in.times[n-1]:
		if i, found := slices.BinarySearch(in.times, at.Unix()); found {
			more := ""
			if hourly {
				more = "; if clocks went back there, use standard time throughout"
			}
			in.bad.add(in.line, in.columns[in.date], "%s is there twice, first in line %d%s", quote(text), in.lines[i], more)
		} else {
			in.bad.add(in.line, in.columns[in.date], "%s comes after a later date in line %d; sort the rows by time", quote(text), in.lines[n-1])
		}
		return true
	}
	// Steps that no row holds.
	if missing := rec.steps(at) - rec.Len(); missing > 0 {
		if rec.Len()+missing >= maxSteps {
			in.bad.add(in.line, in.columns[in.date], "%s is %d steps after line %d; at most %d are read", quote(text), missing+1, in.lines[len(in.lines)-1], maxSteps)
			return false
		}
		in.gap(missing)
		for _, f := range in.fields {
			for range missing {
				*f.values = append(*f.values, math.NaN())
			}
		}
	}
	if rec.Len() == maxSteps {
		in.bad.add(in.line, "", "more than %d rows; cut the record in parts", maxSteps)
		return false
	}
	in.times, in.lines = append(in.times, at.Unix()), append(in.lines, int32(in.line))
	for i, f := range in.fields {
		*f.values = append(*f.values, in.value(i == 0, f, in.values[f.at]))
	}
	in.compare("tmin", "tmax", rec.TMin, rec.TMax)
	in.compare("rhmin", "rhmax", rec.RHMin, rec.RHMax)
	return true
}

// gap takes note of steps on end that no row holds, from the end of the record
// so far.
func (in *recordReading) gap(missing int) {
	rec := in.record
	g := Gap{rec.End(), rec.Time(rec.Len() + missing - 1), missing, rec.Step}
	rec.addGap(g)
	if !in.opts.AllowGaps {
		in.bad.add(in.line, in.columns[in.date], "missing before it: %v; add every step, with 0 where no rain fell", g)
	}
}

// addGap joins a gap to the one before where they touch.
func (r *Record) addGap(g Gap) {
	if n := len(r.Gaps); n > 0 && r.Gaps[n-1].Last.Add(r.Step).Equal(g.First) {
		r.Gaps[n-1].Last, r.Gaps[n-1].Steps = g.Last, r.Gaps[n-1].Steps+g.Steps
		return
	}
	r.Gaps = append(r.Gaps, g)
}

// value reads one value, NaN where it is missing or wrong.
func (in *recordReading) value(rain bool, f field, text string) float64 {
	rec := in.record
	switch strings.ToUpper(text) {
	case "", "NA", "N/A", "NAN", "M", "-9999", "-9999.0", "-999", "NULL":
		if rain {
			at := rec.Time(rec.Len()) // the step is not there yet: rain is the first field
			rec.addGap(Gap{at, at, 1, rec.Step})
		}
		if !in.opts.AllowGaps {
			in.bad.add(in.line, f.name, "the value is missing (%s); fill it in%s", quote(text), map[bool]string{true: ", with 0 only where no rain fell"}[rain])
		}
		return math.NaN()
	case "T":
		if rain {
			in.traces++
			return 0
		}
	}
	v, ok := in.number(text)
	if !ok {
		in.bad.add(in.line, f.name, "%s is not a plain number such as 12.3", quote(text))
		return math.NaN()
	}
	switch {
	case f.mm > 0:
		return in.depth(rain, f, v, text)
	case f.warm:
		v = (v - 32) / 1.8
	}
	if !(v >= f.least && v <= f.most) {
		more := ""
		if c := (v - 32) / 1.8; f.values == &rec.TMin || f.values == &rec.TMax {
			if !f.warm && c >= -60 && c <= 60 && v > f.most {
				more = "; did you mean °F? then name the column " + strings.TrimSuffix(strings.ToLower(f.name), "_c") + "_f"
			}
		}
		in.bad.add(in.line, f.name, "%s is not %s%s", quote(text), f.what, more)
		return math.NaN()
	}
	return v
}

// depth is a depth of rain or evaporation in mm.
func (in *recordReading) depth(rain bool, f field, v float64, text string) float64 {
	mm, hours := v*f.mm, in.record.Step.Hours()
	most, ever := max(2, 30*hours/24), "evaporates"
	if rain {
		most, ever = mostEver(hours), "ever fell on earth"
	}
	switch {
	case v < 0:
		in.bad.add(in.line, f.name, "%s is below zero; %s is needed, and a missing value is left empty", quote(text), f.what)
	case mm > most:
		more := ""
		if f.mm > 1 && v <= most {
			more = "; did you mean mm?"
		}
		in.bad.add(in.line, f.name, "%s is %.5g mm in %s, more than %s (%.0f mm)%s", quote(text), mm, span(hours), ever, most, more)
	default:
		return mm
	}
	return math.NaN()
}

// compare tells where the lower of two values of the last row is above the
// higher.
func (in *recordReading) compare(lowName, highName string, low, high []float64) {
	if n := len(low); n > 0 && n == len(high) && low[n-1] > high[n-1] {
		in.bad.add(in.line, "", "%s is above %s; are the columns swapped?", lowName, highName)
	}
}

// judge looks at the record as a whole.
func (in *recordReading) judge() {
	rec := in.record
	if len(in.times) == 0 {
		if !in.bad.any() {
			in.bad.add(0, "", "found no rows under the header; one each day or hour is needed")
		}
		return
	}
	if in.traces > 0 {
		rec.Remarks = append(rec.Remarks, fmt.Sprintf("traces of rain (T) are taken as 0: %d", in.traces))
	}
	sum, known := 0.0, 0
	for _, v := range rec.Rain {
		if !math.IsNaN(v) {
			sum, known = sum+v, known+1
		}
	}
	years := float64(known) * rec.Step.Hours() / 24 / 365.2425
	if years < 0.9 {
		return
	}
	rain := in.fields[0]
	switch year := sum / years; {
	case year > 13000:
		more := ""
		if rain.mm > 1 && year/rain.mm < 13000 {
			more = "; did you mean mm? then name the column rain_mm"
		}
		in.bad.add(0, rain.name, "the rain comes to %.0f mm a year, more than anywhere on earth (about 12,000 mm)%s", year, more)
	case year < 60 && rain.mm == 1:
		rec.Remarks = append(rec.Remarks, fmt.Sprintf(
			"the rain comes to %.0f mm a year, as in a desert: if the values are inches, name the column rain_in", year))
	}
}

// moment reads an ISO 8601 date, with an hour or without.
func moment(text string) (at time.Time, hourly bool, problem string) {
	if at, err := time.Parse(time.DateOnly, text); err == nil {
		return at, false, outOfTime(at, text)
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02T15:04Z07:00", time.RFC3339} {
		at, err := time.Parse(layout, strings.Replace(text, " ", "T", 1))
		if err != nil {
			continue
		}
		at = at.UTC()
		if !at.Equal(at.Truncate(time.Hour)) {
			return at, true, quote(text) + " is not on the hour; sum the readings to hours, or give one storm of them as a gauge file"
		}
		return at, true, outOfTime(at, text)
	}
	const want = " is not a date such as 2004-02-29 or a time such as 2004-02-29T13:00"
	if len(text) >= 8 && strings.Trim(text, "0123456789/.") == "" && strings.ContainsAny(text, "/.") {
		return at, false, quote(text) + want + "; day and month could be swapped, so write year-month-day"
	}
	if len(text) >= 10 && text[4] == '-' && text[7] == '-' && strings.Trim(text[:10], "0123456789-") == "" {
		return at, false, quote(text) + " is no day or hour of the calendar"
	}
	return at, false, quote(text) + want
}

func outOfTime(at time.Time, text string) string {
	if y := at.Year(); y < 1700 || y > 2200 {
		return quote(text) + " is not between the years 1700 and 2200"
	}
	return ""
}
