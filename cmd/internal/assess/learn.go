package assess

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/learn"
	"wetfeet/species"
	"wetfeet/terrain/field"

	"github.com/paulmach/orb"
)

// learnDraws is how many draws are made at a time.
const learnDraws = 200

// LearnOptions adjusts Learn. The zero value is the common case.
type LearnOptions struct {
	Draws int // at a time, an even number; 0 is 200
	Seed  uint64
}

// A Learned is what observations make of a site.
type Learned struct {
	Posterior *learn.Posterior

	Soaking [2]Interval // rate of standing water outside the zones, mm/h, before and after
	Table   [2]Interval // how much deeper than stated the water table lies, m; all NaN without one
	Wells   []LearnedWell
	Datum   [2]Interval // how much higher all of the ground lies against the stated levels of pipes and ditches, m; all NaN without such
	Staff   [2]Interval // by how much all depths of water were read too large, m; all NaN where they were not at several places
	Trees   []LearnedTree
	Ground  []LearnedGround
	Species []LearnedSpecies

	Used    []int    // by index, the observations that said something
	Remarks []string // those that did not and why, and those that the site as stated could not foresee
	Next    []NextLook

	// Plan is what to put into the site file.
	Plan Plan
}

// LearnedTree is what is thought of a tree that was looked at: how long its
// roots are wet in the storm of the plan.
type LearnedTree struct {
	ID            string
	Before, After Interval // h
}

// LearnedWell is how deep the water table lies where it was seen and nobody had
// stated one, m.
type LearnedWell struct {
	Where string
	Depth Interval
}

// LearnedGround is how high the ground lies where water was seen.
type LearnedGround struct {
	Where         string
	At            orb.Point  // in the system of the ground
	Before, After Interval   // m
	Shot          field.Shot // what it comes to as a height taken there; an SD of 0 where nothing was learned
}

// LearnedSpecies is how many times the days of the table a species bears here.
type LearnedSpecies struct {
	Entry         *species.Entry
	Before, After Interval // factor
}

// NextLook is an observation that could be made next.
type NextLook struct {
	What string
	Left float64 // of the doubt in hours wet, the share that is expected to be left
}

// A learning is a site while it is held against its book.
type learning struct {
	r       *Result
	draws   *field.Draws
	design  *Rain
	looks   []look
	storms  []seenStorm
	species []*species.Entry
	datum   bool  // some pipe or ditch has a level that does not come from the ground
	staff   bool  // depths of water were read at several places
	made    bool  // the water table is drawn through what the book holds
	watched []int // trees whose hours are told or looked at
	when    calendar
	seed    uint64
	say     func(string)
}

// Learn holds a site against what was seen on it. The plan is that of the site
// file, whatever was learned before: a book is learned from whole, or what it
// says would count twice.
func Learn(ctx context.Context, p Plan, seen []logbook.Observation, o LearnOptions, progress func(stage string)) (*Result, *Learned, error) {
	if progress == nil {
		progress = func(string) {}
	}
	p.Learned = site.Learned{}
	still := p
	still.Odds.Off, still.Season = true, SeasonPlan{}
	r, err := Run(ctx, still, progress)
	if err != nil {
		return nil, nil, err
	}
	l := &learning{r: r, seed: o.Seed, say: progress}
	out := &Learned{}
	if len(p.Wells) == 0 {
		if err := l.makeTable(ctx, still, seen, out); err != nil {
			return nil, nil, err
		}
		p.Learned, r = l.r.basis.plan.Learned, l.r
	}
	out.Plan = p
	if err := l.prepare(p, seen, out); err != nil {
		return nil, nil, err
	}
	if len(l.looks) == 0 {
		return nil, nil, fault.Input(fmt.Errorf("the book holds nothing yet that a site can learn from: a depth of water, a day it dried out, an auger depth, or the health of a tree after a storm; %s", joined(out.Remarks)))
	}
	var readings []learn.Reading
	for i := range l.looks {
		readings = append(readings, l.looks[i].reading)
		if len(out.Used) == 0 || out.Used[len(out.Used)-1] != l.looks[i].index {
			out.Used = append(out.Used, l.looks[i].index)
		}
	}
	draws := o.Draws
	if draws == 0 {
		draws = learnDraws
	}
	post, err := learn.Update(ctx, l.params(), readings, l.model, learn.Options{Draws: draws, Seed: o.Seed, Rounds: 6})
	if wrong, ok := errors.AsType[*learn.ContradictionError](err); ok {
		var which []error
		for _, k := range wrong.Readings {
			which = append(which, fmt.Errorf("observation %d, %s: nothing like it happens on any of the sites that are as likely as what is stated; is the storm the right one, and are soil, ground and pipes?", seen[l.looks[k].index].ID, l.looks[k].where))
		}
		if len(which) == 0 {
			which = append(which, errors.New("what was seen contradicts itself: no site agrees with all of it"))
		}
		return nil, nil, fault.Input(errors.Join(which...))
	}
	if err != nil {
		return nil, nil, err
	}
	out.Posterior = post
	l.farOff(out, seen)
	if post.Effective < leastEffective {
		return nil, nil, fault.Input(fmt.Errorf("no site that is as likely as what is stated agrees with all that was seen, so nothing can be learned from it yet. %s", joined(out.Remarks)))
	}
	l.tell(out)
	return r, out, nil
}

// leastEffective is how many draws have to agree with what was seen for
// anything to be told of them; few is how many are called few.
const leastEffective, few = 5, 30

// farOff remarks on what the site as stated could not foresee.
func (l *learning) farOff(out *Learned, seen []logbook.Observation) {
	post := out.Posterior
	for k, far := range post.Misfit {
		if o := &seen[l.looks[k].index]; far > tooFar {
			out.Remarks = append(out.Remarks, fmt.Sprintf("observation %d of %s, %s: none of the sites that are as likely as what is stated came nearer than %.0f times its error to it. Look again at what was written down, at the storm, at the water table, and at pipes and ditches that the site file does not know.", o.ID, o.Seen, o.Where(), far))
		}
	}
	if post.Effective < few {
		out.Remarks = append(out.Remarks, fmt.Sprintf("Only about %.0f of %d draws agree with all that was seen, so the figures after it are rough.", post.Effective, len(post.Weights)))
	}
}

func joined(all []string) string {
	if len(all) == 0 {
		return "it is empty"
	}
	return strings.Join(all, " ")
}
