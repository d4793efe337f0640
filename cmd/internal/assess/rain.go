package assess

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
)

// What is taken where the plan does not say. The report names each that was
// used.
const (
	// defaultRain in defaultHours is a heavy rain that most warm temperate
	// places see once in some years; common practice, no source. A local
	// table of rainfall frequencies says better.
	defaultRain  = 100 // mm
	defaultHours = 24

	// evenStep is the longest step of an even rain: a curve number keeps less
	// of its end than of its beginning. shapedStep is that of one that comes
	// in bursts.
	evenStep   = time.Hour
	shapedStep = 15 * time.Minute

	// mostSteps bounds the steps of the rain of a gauge, which may tip twenty
	// times a minute.
	mostSteps = 2000
)

// A Rain is the rain of a storm, however it was given.
type Rain struct {
	weather.Hyetograph
	Years   float64 // how seldom such a rain is, by a table of the place; 0 where that is not known
	assumed []string
}

// rain is the storm of a plan, with the sentences of how it came about.
func (p Plan) rain() (*Rain, error) {
	r := &Rain{}
	say := func(format string, args ...any) { r.assumed = append(r.assumed, fmt.Sprintf(format, args...)) }
	var table *weather.Frequency
	if p.Frequency != "" {
		var err error
		if table, err = readWeather(p.Frequency, weather.ReadFrequency); err != nil {
			return nil, err
		}
	}
	if p.Gauge != "" {
		gauge, err := readWeather(p.Gauge, weather.ReadGauge)
		if err != nil {
			return nil, err
		}
		r.Hyetograph = gauge.Hyetograph
		name := filepath.Base(p.Gauge)
		if p.Rain.Rain > 0 {
			say("The rain takes the course of %s, which holds %s, brought to the %s given.", name, quantity.FormatRain(gauge.Depth(), p.Units), quantity.FormatRain(p.Rain.Rain, p.Units))
			r.Hyetograph = r.Scale(p.Rain.Rain)
		} else {
			say("The rain is that of %s.", name)
		}
		if r.Depth() <= 0 {
			return nil, fault.Input(fmt.Errorf("%s: no rain fell, so there is no storm to assess", name))
		}
		if len(r.Hours) > mostSteps {
			r.Hyetograph = r.Resample(r.Duration() / mostSteps)
		}
		return r, r.seldom(table, p.Units)
	}
	s := p.Rain
	if s.Duration == 0 {
		s.Duration = defaultHours * time.Hour
		if s.Rain != 0 || p.ReturnPeriod > 0 {
			say("The storm was taken to last %d hours.", defaultHours)
		}
	}
	switch {
	case s.Rain == 0 && table != nil && p.ReturnPeriod > 0:
		var err error
		if s.Rain, err = table.Rain(s.Duration, p.ReturnPeriod); err != nil {
			return nil, fault.Input(fmt.Errorf("%s: %w", filepath.Base(p.Frequency), err))
		}
		r.Years = p.ReturnPeriod
		say("The storm is the rain that falls in %s once in %g years on average, by %s: %s.", hours(s.Duration.Hours()), p.ReturnPeriod, filepath.Base(p.Frequency), quantity.FormatRain(s.Rain, p.Units))
	case s.Rain == 0 && table != nil:
		return nil, fault.Input(fmt.Errorf("%s: a table of rain needs a return_period to take a storm from it, such as \"10 years\"; or give rain, and its return period is told", filepath.Base(p.Frequency)))
	case s.Rain == 0:
		s.Rain = defaultRain
		say("No storm was given: %s of rain in %s were taken. Ask for the rain your place sees once in ten years.", quantity.FormatRain(defaultRain, p.Units), hours(s.Duration.Hours()))
	}
	step := evenStep
	if s.Shape != weather.Even {
		step = shapedStep
		say("The rain comes as an NRCS storm of %v.", s.Shape)
	} else {
		say("The rain falls evenly, %s an hour.", quantity.FormatRain(s.Rain/s.Duration.Hours(), p.Units))
	}
	var err error
	if r.Hyetograph, err = s.Hyetograph(max(step, s.Duration/mostSteps)); err != nil {
		return nil, fault.Input(err)
	}
	if r.Years > 0 {
		return r, nil
	}
	return r, r.seldom(table, p.Units)
}

// seldom tells how seldom the rain is, where there is a table that says.
func (r *Rain) seldom(table *weather.Frequency, u quantity.Units) error {
	if table == nil {
		return nil
	}
	lasts := time.Duration(r.Duration() * float64(time.Hour))
	years, err := table.ReturnPeriod(lasts, r.Depth())
	if wrong, ok := errors.AsType[*weather.Mistake](err); ok {
		r.assumed = append(r.assumed, "How seldom this rain is cannot be told: "+wrong.Text+".")
		return nil
	}
	if err != nil {
		return err
	}
	r.Years = years
	r.assumed = append(r.assumed, fmt.Sprintf("By the table given, %s in %s falls once in about %s years.", quantity.FormatRain(r.Depth(), u), hours(r.Duration()), twoDigits(years)))
	return nil
}

// readWeather reads a file of weather, whose mistakes are those of an input.
func readWeather[T any](path string, read func(r io.Reader, name string) (T, error)) (T, error) {
	var none T
	f, err := os.Open(path)
	if err != nil {
		return none, fault.Input(err)
	}
	defer f.Close()
	v, err := read(f, filepath.Base(path))
	if errors.Is(err, weather.ErrInput) {
		err = fault.Input(err)
	}
	return v, err
}

// hours writes a time of so many hours.
func hours(h float64) string {
	switch {
	case h == 1:
		return "an hour"
	case h < 1:
		return fmt.Sprintf("%.0f minutes", 60*h)
	}
	return fmt.Sprintf("%.4g hours", h)
}

// twoDigits writes a figure that is not known better.
func twoDigits(v float64) string {
	if v >= 10 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2g", v)
}
