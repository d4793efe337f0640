package season

import (
	"errors"
	"fmt"
	"math"
	"time"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/terrain"
)

// A Position is a place whose roots are watched.
type Position struct {
	Name string // for messages

	Cell  int // of the ground
	Zone  int // in which it lies, by index in Options.Zones
	Roots storm.Roots

	// Clearance is how deep below the root crown the water table must stay,
	// m, for the roots not to count as wet. 0 is 0.30, the depth of SEW30.
	Clearance float64
}

const (
	sew       = 0.30 // m, the depth that SEW30 is named for
	wetDay    = 12   // hours; common practice, no source
	dayLength = 24.0 // hours
)

func (p *Position) clearance() float64 {
	if p.Clearance == 0 {
		return sew
	}
	return p.Clearance
}

func (p *Position) check(ground *terrain.Grid[float32], zones int) error {
	var bad []error
	if p.Cell < 0 || p.Cell >= ground.Len() {
		bad = append(bad, fmt.Errorf("cell %d of %d", p.Cell, ground.Len()))
	} else if terrain.IsVoid(ground.Cells[p.Cell]) {
		bad = append(bad, errors.New("the ground is not known there"))
	}
	if p.Zone < 0 || p.Zone >= zones {
		bad = append(bad, fmt.Errorf("zone %d of %d, counted from 0", p.Zone, zones))
	}
	if lag := p.Roots.Lag(); !(lag >= 0) || math.IsInf(lag, 1) {
		bad = append(bad, fmt.Errorf("a root zone %g m deep of drainable porosity %g never drains at %g mm/h", p.Roots.Depth, p.Roots.Porosity, p.Roots.Drainage))
	}
	if !(p.Roots.Crown >= 0) || !(p.Clearance >= 0) {
		bad = append(bad, fmt.Errorf("a crown %g m above the ground and a clearance of %g m are not both 0 or more", p.Roots.Crown, p.Clearance))
	}
	return errors.Join(bad...)
}

// Wetness is what a year was like for the roots of a position.
type Wetness struct {
	Longest         float64   // wet spell, days, as far as it lies in the year
	Since           time.Time // when it began, or the year did; zero without one
	LongestInSeason float64   // likewise in the growing season

	// Doses are the most that any one wet spell of the year counts by each of
	// Options.Weights, days.
	Doses []float64

	// Days of the calendar on which roots were wet for at least half the day,
	// all of them and those in the growing season, and the first and the last
	// of the year, zero without one.
	WetDays, WetDaysInSeason int
	FirstWet, LastWet        time.Time

	// SEW30 is the sum over the days of the growing season of how far the
	// water table stood above 30 cm below the crown, cm·day; at most 30 a day,
	// which is what standing water counts.
	SEW30 float64

	// Hours wet in each month of the calendar, January first.
	Hours [12]float64

	// Run is the longest run of days in the growing season on which the ground
	// met Options.Criterion.
	Run int
}

// A Spell is a time for which roots were wet without a break.
type Spell struct {
	From time.Time
	Days float64
}

// A watcher follows one position through the years.
type watcher struct {
	*Position
	under watertable.Position // the water table

	until float64 // hour at which roots wet by a pond will have drained
	last  storm.Span
	best  storm.Span
}

// A chapter is what happened in a year, for the watchers to read. Hours count
// from the start of the record.
type chapter struct {
	year     *Year
	step     float64 // hours
	midnight float64 // hour of the day at which the record begins
	start    time.Time
	history  *storm.History
	shift    float64            // hours of history before the record began
	table    []watertable.Daily // at the end of each step; nil without a water table
	filled   [][]bool           // by zone and step
	limit    *watertable.Criterion
	scales   []scale
}

// A scale tells what hours of the record count.
type scale struct {
	weights []float64 // of an hour, by step
	until   []float64 // sum of the hours of all steps before each
	step    float64   // hours
}

func newScale(weights []float64, step float64) scale {
	s := scale{weights, make([]float64, len(weights)+1), step}
	for i, w := range weights {
		s.until[i+1] = s.until[i] + float64(w*step)
	}
	return s
}

// at is what all hours before one of the record count.
func (s *scale) at(hour float64) float64 {
	i := min(max(int(hour/s.step), 0), len(s.weights))
	if i == len(s.weights) {
		return s.until[i]
	}
	return s.until[i] + float64(s.weights[i]*(hour-float64(i)*s.step))
}

// most is the most that any of some spans counts, days.
func (s *scale) most(spans []storm.Span) float64 {
	most := 0.0
	for _, span := range spans {
		most = max(most, s.at(span.To)-s.at(span.From))
	}
	return most / dayLength
}

func (c *chapter) hour(step int) float64 { return float64(step) * c.step }

func (c *chapter) time(hour float64) time.Time {
	return c.start.Add(time.Duration(math.Round(hour * float64(time.Hour))))
}

// ponded are the times at which water stood over a level above the ground.
func (c *chapter) ponded(cell int, above float64) []storm.Span {
	list := c.history.UnderWater(cell, above)
	for i := range list {
		list[i].From -= c.shift
		list[i].To -= c.shift
	}
	return clip(list, c.hour(c.year.From), c.hour(c.year.To))
}

// near adds the steps with the water table nearer than a depth below ground, and
// those on which the soil of the zone was filled.
func (w *watcher) near(list []storm.Span, c *chapter, depth float64) []storm.Span {
	filled := c.filled[w.Zone]
	return c.steps(list, len(filled), func(k int) bool {
		return filled[k] || c.table != nil && watertable.TooNear(w.under.Depth(&c.table[k]), depth)
	})
}

// steps adds the times of those of the n steps of the year on which something is
// so.
func (c *chapter) steps(list []storm.Span, n int, is func(k int) bool) []storm.Span {
	begun := -1
	for k := 0; k <= n; k++ {
		so := k < n && is(k)
		switch {
		case so && begun < 0:
			begun = k
		case !so && begun >= 0:
			list = append(list, storm.Span{From: c.hour(c.year.From + begun), To: c.hour(c.year.From + k)})
			begun = -1
		}
	}
	return list
}

// read is what a year was like.
func (w *watcher) read(c *chapter) Wetness {
	from, to := c.hour(c.year.From), c.hour(c.year.To)
	ponded := c.ponded(w.Cell, w.Roots.Crown)
	var spans []storm.Span
	if w.until > from {
		spans = append(spans, storm.Span{From: from, To: w.until})
	}
	for _, s := range ponded {
		w.until = max(w.until, s.To+w.Roots.Lag())
		spans = append(spans, storm.Span{From: s.From, To: s.To + w.Roots.Lag()})
	}
	spans = w.near(spans, c, w.clearance()-w.Roots.Crown)
	spans = clip(storm.Union(spans), from, to)

	var y Wetness
	for _, s := range spans {
		if days := (s.To - s.From) / dayLength; days > y.Longest {
			y.Longest, y.Since = days, c.time(s.From)
		}
		if s.From <= w.last.To && w.last.To > 0 {
			w.last.To = s.To
		} else {
			w.last = s
		}
		if w.last.To-w.last.From > w.best.To-w.best.From {
			w.best = w.last
		}
	}
	for k := range c.scales {
		y.Doses = append(y.Doses, c.scales[k].most(spans))
	}
	first, end := c.hour(c.year.SeasonFrom), c.hour(c.year.SeasonTo)
	for _, s := range clip(append([]storm.Span(nil), spans...), first, end) {
		y.LongestInSeason = max(y.LongestInSeason, (s.To-s.From)/dayLength)
	}
	for day := range c.days(spans) {
		y.Hours[day.date.Month()-1] += day.hours
		if day.hours < wetDay {
			continue
		}
		y.WetDays++
		if day.noon > first && day.noon < end {
			y.WetDaysInSeason++
		}
		if y.FirstWet.IsZero() {
			y.FirstWet = day.date
		}
		y.LastWet = day.date
	}
	y.SEW30 = w.sew30(c, ponded)
	if c.limit != nil {
		y.Run = w.run(c)
	}
	return y
}

// sew30 is the sum of excess water of the growing season.
func (w *watcher) sew30(c *chapter, ponded []storm.Span) float64 {
	sum := 0.0
	share := storm.Total(clip(append([]storm.Span(nil), ponded...), c.hour(c.year.SeasonFrom), c.hour(c.year.SeasonTo)))
	if c.table == nil {
		return 100 * sew * share / dayLength
	}
	k := 0
	for i := c.year.SeasonFrom; i < c.year.SeasonTo; i++ {
		a, b := c.hour(i), c.hour(i+1)
		under := 0.0
		for k < len(ponded) && ponded[k].To <= a {
			k++
		}
		for n := k; n < len(ponded) && ponded[n].From < b; n++ {
			under += min(ponded[n].To, b) - max(ponded[n].From, a)
		}
		depth := w.under.Depth(&c.table[i-c.year.From]) + w.Roots.Crown
		excess := min(max(sew-depth, 0), sew)
		sum += 100 * (sew*under + excess*(c.step-under)) / dayLength
	}
	return sum
}

// clip cuts spans that are in order to a time, in place.
func clip(list []storm.Span, from, to float64) []storm.Span {
	out := list[:0]
	for _, s := range list {
		if s.From, s.To = max(s.From, from), min(s.To, to); s.To > s.From {
			out = append(out, s)
		}
	}
	return out
}

// A wet is how long a day was.
type wet struct {
	date  time.Time
	noon  float64 // hour of the record
	hours float64
}

// days yields the days that spans in order touch, in order, with the hours of
// them.
func (c *chapter) days(spans []storm.Span) func(func(wet) bool) {
	return func(yield func(wet) bool) {
		day, hours := math.MinInt, 0.0
		out := func() bool {
			if hours == 0 {
				return true
			}
			noon := (float64(day)+0.5)*dayLength - c.midnight
			t := c.start.Add(time.Duration(noon * float64(time.Hour)))
			return yield(wet{time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC), noon, hours})
		}
		for _, s := range spans {
			for a := s.From + c.midnight; a < s.To+c.midnight; {
				d := int(math.Floor(a / dayLength))
				b := min(s.To+c.midnight, float64(d+1)*dayLength)
				if d != day {
					if !out() {
						return
					}
					day, hours = d, 0
				}
				hours += b - a
				a = b
			}
		}
		out()
	}
}

// run is the longest run of days in the growing season that met the criterion:
// by the depth of the water table at the end of the day, or with water over the
// ground for half of it. It looks at the ground, not at the crown.
func (w *watcher) run(c *chapter) int {
	first, end := c.hour(c.year.SeasonFrom), c.hour(c.year.SeasonTo)
	depths := make([]float64, int(math.Ceil((end-first)/dayLength)))
	for d := range depths {
		depths[d] = math.Inf(1)
		if last := min(int(float64(d+1)*dayLength/c.step), c.year.SeasonTo-c.year.SeasonFrom) - 1; c.table != nil {
			depths[d] = w.under.Depth(&c.table[c.year.SeasonFrom-c.year.From+last])
		}
	}
	for day := range c.days(c.ponded(w.Cell, 0)) {
		if day.hours >= wetDay && day.noon > first && day.noon < end {
			depths[int((day.noon-first)/dayLength)] = 0
		}
	}
	longest, _ := watertable.LongestSpell(depths, c.limit.Depth)
	return longest.Days
}
