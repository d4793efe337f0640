package relief

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain/earthwork"
)

// What a cut is unless the caller says otherwise. Common practice, no source.
const (
	ditchBottom = 0.3   // a spade wide and a half, m
	ditchSide   = 1.5   // run over rise that most loams stand at
	ditchFall   = 0.001 // rise over run, the least that keeps a small ditch clear
	trenchWidth = 0.3   // for a pipe of 100 to 150 mm, m
	pipeFall    = 0.002 // rise over run
)

// Options are what is dug, and the storm that it is for. The zero value looks
// at ditches 10, 20 and 30 cm deep and a pipe from the floor, without a storm.
type Options struct {
	// Depths of the bottom of a ditch below the level at which the hollow
	// spills, m. One below the floor is taken to the floor. Nil is 0.1, 0.2
	// and 0.3.
	Depths []float64

	Ditch earthwork.Channel // zero is 0.3 m wide with sides of 1.5 in 1 and a fall of 1 in 1000

	NoPipe   bool
	Pipe     earthwork.Channel // the trench; zero is 0.3 m wide, upright, with a fall of 2 in 1000
	Capacity float64           // of the pipe, m³/s; 0 is whatever comes

	// Storm is what each cut is tried with; nil tries none.
	Storm *Storm
}

// A Storm is the weather, and what else there is on the site.
type Storm struct {
	Options storm.Options // zones, and pipes and ditches there are already
	Steps   func(*storm.Site) []storm.Step
	Loss    func(*storm.Site) storm.Loss // nil for nothing

	// Observe, where it is not nil, is shown each run of [Cuts] in turn: by the
	// index of the cut among those returned, -1 for the site as it is, the site
	// the storm was sent over and what became of the water of the hollows that
	// can wet a cell of Watch.
	Observe func(cut int, on *storm.Site, h *storm.History)
	Watch   []int
}

func (o *Options) settle() error {
	if o.Depths == nil {
		o.Depths = []float64{0.1, 0.2, 0.3}
	}
	if o.Ditch == (earthwork.Channel{}) {
		o.Ditch = earthwork.Channel{Bottom: ditchBottom, Side: ditchSide, Fall: ditchFall}
	}
	if o.Pipe == (earthwork.Channel{}) {
		o.Pipe = earthwork.Channel{Bottom: trenchWidth, Fall: pipeFall}
	}
	var bad []error
	for _, d := range o.Depths {
		if !(d > 0 && d <= 10) {
			bad = append(bad, fmt.Errorf("a cut of %v m at the spill, not more than 0 and up to 10", d))
		}
	}
	if err := o.Ditch.Check(); err != nil {
		bad = append(bad, fmt.Errorf("ditch: %w", err))
	}
	if err := o.Pipe.Check(); err != nil {
		bad = append(bad, fmt.Errorf("trench of the pipe: %w", err))
	}
	if !(o.Capacity >= 0) || math.IsInf(o.Capacity, 1) {
		bad = append(bad, fmt.Errorf("a pipe that carries %v m³/s, not 0 or more", o.Capacity))
	}
	return errors.Join(bad...)
}

// An Outcome is what a storm does to a site.
type Outcome struct {
	Ponded float64 // stands on the site when the rain ends, m³
	Left   float64 // has crossed its boundary by then, m³
	Peak   float64 // most that crosses it, mean over a step, m³/s
	After  float64 // has crossed it by the end of the last step, m³

	on      *storm.Site
	ended   *storm.State
	history *storm.History
}

// Run sends the storm over hollows with some links more.
func (s *Storm) Run(h *hydro.Hollows, more ...storm.Link) (*Outcome, error) {
	o := s.Options
	o.Links = append(append([]storm.Link{}, o.Links...), more...)
	site, err := storm.Prepare(h, o)
	if err != nil {
		return nil, err
	}
	var loss storm.Loss
	if s.Loss != nil {
		loss = s.Loss(site)
	}
	steps := s.Steps(site)
	last := 0 // of the steps with rain
	for k, w := range steps {
		if w.Inflow.Total() > 0 {
			last = k
		}
	}
	m := site.Simulate(nil, loss)
	m.Watch(s.Watch...)
	out := Outcome{on: site}
	left := 0.0
	for k, w := range steps {
		m.Step(w)
		b := m.Balance()
		if w.Hours > 0 {
			out.Peak = max(out.Peak, (b.Left-left)/(w.Hours*3600))
		}
		left = b.Left
		if k == last {
			out.Ponded, out.Left, out.ended = b.Ponded, b.Left, m.State()
		}
	}
	out.After, out.history = left, m.History()
	return &out, nil
}

// show lets the caller look at a run, and lets go of what takes room.
func (s *Storm) show(cut int, o *Outcome) {
	if s.Observe != nil {
		s.Observe(cut, o.on, o.history)
	}
	o.on, o.history = nil, nil
}
