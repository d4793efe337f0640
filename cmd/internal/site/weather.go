package site

import (
	"cmp"
	"errors"
	"strconv"
	"strings"
	"time"

	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
)

// A Storm is rain that the site is asked about: a depth in so long, the
// readings of a gauge, or what a table says falls once in so many years.
type Storm struct {
	Rain         float64 // mm; 0 leaves it to the gauge or the table
	Duration     time.Duration
	Shape        weather.Shape
	Gauge        File    // a hyetograph, or the readings of a rain gauge
	Frequency    File    // a table of depth, duration and frequency
	ReturnPeriod float64 // years; 0 for none

	Month           time.Month // in which it comes; 0 where nobody says
	SoilTemperature *float64   // of the root zone while it is wet, °C; nil where nobody says
	Dormant         *bool      // trees are at rest when it comes; nil leaves it to month and weather
	Moving          bool       // its water flows past the trees, and does not stand
}

// Season is a record of daily or hourly rain.
type Season struct {
	Rain         File
	Growing      *season.Growing // nil leaves it to the record
	RefuseGaps   bool
	ReturnPeriod float64 // years, of the wet spells asked for; 0 for none
}

// usualStorm is how long a storm is taken to last where nobody says.
const usualStorm = 24 * time.Hour

func (s *Storm) read(n node) {
	gauge := func(n node) {
		if s.Gauge.Given() {
			n.fail("a storm has one course of rain; give hyetograph or gauge, not both")
			return
		}
		s.Gauge = n.file()
	}
	n.table([]field{
		{"rain", func(n node) { s.Rain, _ = n.positive(quantity.Rain, "150 mm") }},
		{"duration", func(n node) { s.Duration, _ = n.duration() }},
		{"distribution", func(n node) {
			if t, ok := n.text(`one of "even", "type I", "type IA", "type II" and "type III" is needed`); ok {
				var err error
				s.Shape, err = weather.ParseShape(t)
				n.failed(err)
			}
		}},
		{"hyetograph", gauge},
		{"gauge", gauge},
		{"frequency", func(n node) { s.Frequency = n.file() }},
		{"return_period", func(n node) { s.ReturnPeriod, _ = n.years() }},
		{"month", func(n node) { s.Month = n.month() }},
		{"soil_temperature", func(n node) { s.SoilTemperature = n.soilTemperature() }},
		{"dormant", func(n node) {
			v := n.flag()
			s.Dormant = &v
		}},
		{"moving_water", func(n node) { s.Moving = n.flag() }},
	})
	table, ok := n.value.(map[string]any)
	if !ok {
		return
	}
	at := func(key string, format string, args ...any) {
		if child, ok := n.under(key); ok {
			child.fail(format, args...)
		}
	}
	has := func(key string) bool { return table[key] != nil }
	switch {
	case has("hyetograph") || has("gauge"):
		at("duration", "the file of the rain has a duration of its own; leave this one out")
		at("distribution", "the file of the rain has a course of its own; leave this out")
		at("return_period", "the rain is that of a file; give either the file or a return period")
	case has("return_period") && has("rain"):
		at("return_period", "the rain is given too; with a frequency table its return period is told, so give one of the two")
	case has("return_period") && !has("frequency"):
		at("return_period", "a table of the rain that falls so often is needed: frequency = \"table.csv\", typed from your local atlas")
	case s.Shape != weather.Even && s.Duration != 0 && s.Duration != usualStorm:
		at("distribution", "the NRCS types are storms of 24 h; leave the duration out, or take \"even\"")
	case s.Rain > 0:
		err := weather.Storm{Rain: s.Rain, Duration: cmp.Or(s.Duration, usualStorm)}.Check()
		if wrong, ok := errors.AsType[*weather.Mistake](err); ok {
			at("rain", "%s", wrong.Text)
		}
	}
}

func (s *Season) read(n node) {
	n.table([]field{
		{"rain", func(n node) { s.Rain = n.file() }},
		{"growing", func(n node) { s.Growing = n.growing() }},
		{"gaps", func(n node) { s.RefuseGaps = choose(n, map[string]bool{"report": false, "refuse": true}) }},
		{"return_period", func(n node) { s.ReturnPeriod, _ = n.years() }},
	})
	n.needs("a season needs a record of daily or hourly rain", "rain")
}

func (n node) growing() *season.Growing {
	const wanted = `the first and the last day are needed, such as ["04-01", "10-31"]`
	days, ok := n.list(wanted)
	if !ok {
		return nil
	}
	if len(days) != 2 {
		n.fail("found %s; %s", describe(n.value), wanted)
		return nil
	}
	var dates [2]season.Date
	for i, d := range days {
		text, ok := d.text(wanted)
		if !ok {
			return nil
		}
		var err error
		if dates[i], err = season.ParseDate(text); d.failed(err) {
			return nil
		}
	}
	return &season.Growing{First: dates[0], Last: dates[1], How: "as given"}
}

// years is a return period: "10 years", or 10.
func (n node) years() (float64, bool) {
	const wanted = `a number of years above 1 is needed, such as "10 years"`
	s, ok := n.typed(wanted)
	if !ok {
		return 0, false
	}
	text := strings.ToLower(strings.TrimSpace(s))
	for _, unit := range []string{"years", "year", "yr", "y"} {
		text = strings.TrimSpace(strings.TrimSuffix(text, unit))
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v > 1 && v <= 1e6) {
		n.fail("found %s; %s", describe(n.value), wanted)
		return 0, false
	}
	return v, true
}
