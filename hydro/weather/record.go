package weather

import (
	"fmt"
	"math"
	"time"
)

// A Record is weather of years in steps of a day or an hour. Slices beside
// Rain are nil where nothing was measured and as long as Rain elsewhere. A
// value that is missing is NaN.
type Record struct {
	Start time.Time     // when the first step begins
	Step  time.Duration // a day or an hour

	Rain []float64 // mm in the step
	ET   []float64 // reference evapotranspiration, mm in the step

	TMin, TMax   []float64 // air temperature, °C
	RHMin, RHMax []float64 // relative humidity, %
	Wind         []float64 // at 2 m, m/s
	Sun          []float64 // bright sunshine, h

	Gaps    []Gap    // stretches without rain readings, in order
	Remarks []string // what a reader of the report should know
}

// A Gap is a stretch of steps whose rain is not known.
type Gap struct {
	First, Last time.Time // the starts of the first and the last missing step
	Steps       int
	Step        time.Duration // a day or an hour, as in the record
}

// String says where the gap is: "3 days, 2004-02-29 to 2004-03-02".
func (g Gap) String() string {
	format, unit := time.DateOnly, "day"
	if g.Step == time.Hour {
		format, unit = "2006-01-02T15:04", "hour"
	}
	if g.Steps == 1 {
		return "1 " + unit + ", " + g.First.Format(format)
	}
	return fmt.Sprintf("%d %ss, %s to %s", g.Steps, unit, g.First.Format(format), g.Last.Format(format))
}

// Len is the number of steps.
func (r *Record) Len() int { return len(r.Rain) }

// Time is when step i begins.
func (r *Record) Time(i int) time.Time {
	if r.Step == time.Hour {
		return r.Start.Add(time.Duration(i) * time.Hour)
	}
	return r.Start.AddDate(0, 0, i) // a Duration ends after 292 years
}

// steps is how many steps lie between the start of the record and at.
func (r *Record) steps(at time.Time) int {
	return int((at.Unix() - r.Start.Unix()) / int64(r.Step/time.Second))
}

// End is when the last step ends.
func (r *Record) End() time.Time { return r.Time(r.Len()) }

// Years is the length of the record in years of 365.2425 days.
func (r *Record) Years() float64 {
	return float64(r.Len()) * r.Step.Hours() / 24 / 365.2425
}

// A Year is the steps of one calendar year: Record.Rain[From:To].
type Year struct {
	Year     int
	From, To int
	Whole    bool // every step of the year is there and has its rain
}

// Calendar parts the record into calendar years, in order.
func (r *Record) Calendar() []Year {
	var years []Year
	for i := 0; i < r.Len(); {
		y := r.Time(i).Year()
		next := time.Date(y+1, 1, 1, 0, 0, 0, 0, time.UTC)
		to := min(r.Len(), r.steps(next))
		first := time.Date(y, 1, 1, 0, 0, 0, 0, time.UTC)
		whole := !r.Start.After(first) && !r.End().Before(next)
		for _, v := range r.Rain[i:to] {
			whole = whole && !math.IsNaN(v)
		}
		years = append(years, Year{y, i, to, whole})
		i = to
	}
	return years
}

// AnnualMaxima is the most rain, mm, that fell within so many steps on end in
// each whole calendar year, for [FitGumbel].
func (r *Record) AnnualMaxima(steps int) []float64 {
	var most []float64
	for _, y := range r.Calendar() {
		if !y.Whole || y.To-y.From < steps {
			continue
		}
		sum, best := 0.0, 0.0
		for i := y.From; i < y.To; i++ {
			sum += r.Rain[i]
			if i-y.From >= steps {
				sum -= r.Rain[i-steps]
			}
			best = max(best, sum)
		}
		most = append(most, best)
	}
	return most
}

// Hyetograph is the rain of steps from up to but not including to. A missing
// value is an error: it is not a dry step.
func (r *Record) Hyetograph(from, to int) (Hyetograph, error) {
	h := Hyetograph{make([]float64, to-from), make([]float64, to-from)}
	for i := range h.Rain {
		if v := r.Rain[from+i]; math.IsNaN(v) {
			return Hyetograph{}, mistaken("the rain of %s is missing", r.Time(from+i).Format("2006-01-02T15:04"))
		}
		h.Hours[i], h.Rain[i] = r.Step.Hours(), r.Rain[from+i]
	}
	return h, nil
}
