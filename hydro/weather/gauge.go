package weather

import (
	"io"
	"math"
	"strings"
	"time"
)

// A Gauge is one rain as a gauge wrote it down.
type Gauge struct {
	Hyetograph
	Start time.Time // of the first step; zero where the file counts hours
}

// ReadGauge reads the readings of a rain gauge during one rain as CSV. The name
// is for messages.
//
// The first line names a column of time and one of rain. Times are ISO 8601,
// 2004-02-29T13:05, or numbers under a heading hours or minutes; they rise.
// Rain under rain_mm or rain_in is what fell since the reading before; under
// cumulative_mm, total_mm or the like in inches it is all since the start and
// never falls. The first reading starts the rain: it may be 0, or of readings
// since the one before what fell in a step as long as the next.
//
// All that is wrong is told at once and is ErrInput.
func ReadGauge(r io.Reader, name string) (*Gauge, error) {
	t, ok := openTable(r, name, "time,rain_mm")
	in := &gaugeReading{table: t, time: -1, rain: -1}
	if ok && in.header() {
		for t.row() && in.row() {
		}
	}
	var g *Gauge
	if t.scan.Err() == nil && ok && !t.bad.any() {
		g = in.gauge()
	}
	if err := t.close(); err != nil {
		return nil, err
	}
	return g, nil
}

type gaugeReading struct {
	*table
	time, rain int     // columns
	hour       float64 // of counted times: hours in one; 0 for dates
	mm         float64
	cumulative bool

	start time.Time
	at    []float64 // hours, of dates since start
	read  []float64 // mm
	lines []int
}

func (in *gaugeReading) header() bool {
	for i, heading := range in.columns {
		name, unit := recordColumn(heading)
		switch name {
		case "date", "time", "hours", "hour", "minutes", "minute", "min", "elapsed":
			if in.time >= 0 {
				in.bad.add(in.line, heading, "is a second column of times beside %s; keep one", quote(in.columns[in.time]))
				continue
			}
			in.time = i
			switch {
			case unit == "h" || strings.HasPrefix(name, "hour"):
				in.hour = 1
			case strings.HasPrefix(name, "min"):
				in.hour = 1.0 / 60
			}
		case "rain", "cumulative", "cumulativerain", "raincumulative", "cum", "cumrain", "total", "totalrain", "raintotal", "sum":
			if in.rain >= 0 {
				in.bad.add(in.line, heading, "is a second column of rain beside %s; keep one", quote(in.columns[in.rain]))
				continue
			}
			in.rain, in.cumulative = i, name != "rain"
			var known bool
			if in.mm, known = map[string]float64{"mm": 1, "cm": 10, "in": 25.4}[unit]; !known {
				in.bad.add(in.line, heading, "has no unit known here; name it %s_mm or %s_in", heading, heading)
			}
		}
	}
	found := quote(strings.Join(in.columns, in.mark))
	if in.time < 0 {
		in.bad.add(in.line, "", "no column of times among %s; needed are time,rain_mm or hours,cumulative_mm", found)
	}
	if in.rain < 0 {
		in.bad.add(in.line, "", "no column of rain among %s; needed are time,rain_mm or hours,cumulative_mm", found)
	}
	return !in.bad.any()
}

// row takes one reading, and reports whether more can be taken.
func (in *gaugeReading) row() bool {
	if len(in.at) == maxSteps {
		in.bad.add(in.line, "", "more than %d readings; cut the file in parts", maxSteps)
		return false
	}
	at, ok := in.when(in.values[in.time])
	mm, good := in.number(in.values[in.rain])
	mm *= in.mm
	column := in.columns[in.rain]
	n := len(in.at)
	switch text := quote(in.values[in.rain]); {
	case !good:
		in.bad.add(in.line, column, "%s is not a plain number such as 12.3; a reading that is missing needs no row", text)
	case mm < 0:
		in.bad.add(in.line, column, "%s is below zero", text)
		good = false
	case in.cumulative && n > 0 && mm < in.read[n-1]:
		in.bad.add(in.line, column, "%s is less than in line %d; if it is the rain since then, name the column rain_mm", text, in.lines[n-1])
		good = false
	}
	if ok && n > 0 && !(at > in.at[n-1]) {
		in.bad.add(in.line, in.columns[in.time], "%s is not after the time in line %d", quote(in.values[in.time]), in.lines[n-1])
		ok = false
	}
	if ok && good {
		in.at, in.read, in.lines = append(in.at, at), append(in.read, mm), append(in.lines, in.line)
	}
	return true
}

// when is a time in hours.
func (in *gaugeReading) when(text string) (float64, bool) {
	column := in.columns[in.time]
	if in.hour > 0 {
		v, ok := in.number(text)
		if !ok || v < 0 || v*in.hour > 8784 {
			in.bad.add(in.line, column, "%s is not a number from 0 to 366 days", quote(text))
			return 0, false
		}
		return v * in.hour, true
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02T15:04Z07:00", time.RFC3339} {
		at, err := time.Parse(layout, strings.Replace(text, " ", "T", 1))
		if err != nil {
			continue
		}
		if at = at.UTC(); in.start.IsZero() {
			in.start = at
		}
		hours := at.Sub(in.start).Hours()
		if math.Abs(hours) > 8784 {
			in.bad.add(in.line, column, "%s is more than a year from the first reading; a gauge file holds one rain", quote(text))
			return 0, false
		}
		return hours, true
	}
	more := ""
	if _, ok := in.number(text); ok {
		more = "; if times are counted, name the column hours or minutes"
	}
	in.bad.add(in.line, column, "%s is not a time such as 2004-02-29T13:05%s", quote(text), more)
	return 0, false
}

// gauge makes a hyetograph of the readings.
func (in *gaugeReading) gauge() *Gauge {
	if len(in.at) < 2 {
		in.bad.add(0, "", "%d readings; two are the least", len(in.at))
		return nil
	}
	g := &Gauge{Start: in.start}
	before := 0.0 // hours, of the start of the first step
	switch first := in.read[0]; {
	case first == 0 || in.cumulative:
		before = in.at[0]
	case in.hour > 0 && in.at[0] > 0:
		// Counted hours begin at 0: the first reading is of the time since.
	default:
		before = in.at[0] - (in.at[1] - in.at[0])
		if !g.Start.IsZero() {
			g.Start = g.Start.Add(-time.Duration((in.at[1] - in.at[0]) * float64(time.Hour)))
		}
	}
	sum := 0.0
	if in.cumulative {
		sum = in.read[0] // what the gauge held at the start
	}
	for i, at := range in.at {
		if at == before {
			continue
		}
		mm := in.read[i]
		if in.cumulative {
			mm, sum = mm-sum, in.read[i]
		}
		g.Hours, g.Rain = append(g.Hours, at-before), append(g.Rain, mm)
		before = at
	}
	if err := g.Check(); err != nil {
		in.bad.add(0, in.columns[in.rain], "%v", err)
		return nil
	}
	return g
}
