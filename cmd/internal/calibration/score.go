package calibration

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"wetfeet/cmd/internal/reliability"
	"wetfeet/hydro/odds"
)

// Run makes so many sites and asks of each, with so many draws. Answers are in
// the order of the sites and the same at any number of processors. Progress
// is told how many are done; nil is silence.
func Run(ctx context.Context, seed uint64, sites, draws int, progress func(done int)) ([]*Answer, error) {
	answers, failed := make([]*Answer, sites), make([]error, sites)
	var next, done atomic.Int64
	var tell sync.Mutex
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), sites) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < sites && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				answers[i], failed[i] = Ask(ctx, Make(seed, i), draws, seed)
				n := int(done.Add(1))
				if progress != nil {
					tell.Lock()
					progress(n)
					tell.Unlock()
				}
			}
		})
	}
	wg.Wait()
	return answers, errors.Join(append(failed, ctx.Err())...)
}

// A Score is how well some sites were answered.
type Score struct {
	Name  string
	Sites int
	Trees int

	Curve  reliability.Curve
	Band   reliability.Band
	Chance float64 // the miscalibration that odds that are right stay under nine times in ten
	Skill  float64 // over the single surface

	Held, Bias reliability.Estimate // of the volume of each hollow the single surface shows
	Bare       reliability.Estimate // held by the draws, without the program's allowance
	SiteHeld   reliability.Estimate // of the volume of all hollows of a site, without it
	SiteBias   reliability.Estimate

	Single reliability.Estimate // bias of the volume of all hollows on the single surface

	Naive     reliability.Curve    // of sites with a raster; no points without
	NaiveBias reliability.Estimate // of the volume of all hollows
}

const (
	bandLevel = 0.9
	redraws   = 400
)

// ScoreOf scores answers, one at least. The band redraws what happened a whole
// site at a time, from the draws of the site, so it knows that trees get wet
// together.
func ScoreOf(name string, answers []*Answer) Score {
	s := Score{Name: name, Sites: len(answers)}
	var given, single, naive []float64
	var seen, naiveSeen []bool
	var each, whole, alone, again volumes
	for _, a := range answers {
		given, seen = append(given, a.Odds...), append(seen, a.Seen...)
		for _, wet := range a.Single {
			p := 0.0
			if wet {
				p = 1
			}
			single = append(single, p)
		}
		for i := range a.Hollows {
			each.add(&a.Hollows[i])
		}
		whole.add(&a.Volume)
		alone.mean, alone.truth = append(alone.mean, a.Volume.Single), append(alone.truth, a.Volume.Truth)
		if a.Naive != nil {
			naive, naiveSeen = append(naive, a.Naive.Odds...), append(naiveSeen, a.Seen...)
			again.add(&a.Naive.Volume)
		}
	}
	s.Trees = len(given)
	s.Curve = reliability.Corp(given, seen)
	s.Band = reliability.Consistency(given, bandLevel, redraws, 1, func(r *rand.Rand, happened []bool) {
		for _, a := range answers {
			happened = happened[copy(happened, a.Ponded[r.IntN(len(a.Ponded))]):]
		}
	})
	s.Chance = s.Band.Miscalibration[int(bandLevel*redraws)]
	s.Skill = reliability.Skill(given, single, seen)
	s.Held, s.Bare, s.Bias = each.held(odds.Allowance), each.held(1), each.bias()
	s.SiteHeld, s.SiteBias = whole.held(1), whole.bias()
	s.Single = alone.bias()
	s.Naive, s.NaiveBias = reliability.Corp(naive, naiveSeen), again.bias()
	return s
}

// volumes are draws of volumes with their means and truths, m³.
type volumes struct {
	all         []*Volume
	mean, truth []float64
}

func (v *volumes) add(one *Volume) {
	v.all = append(v.all, one)
	v.mean, v.truth = append(v.mean, one.mean()), append(v.truth, one.Truth)
}

// held is the share of truths in intervals drawn out so many times.
func (v *volumes) held(times float64) reliability.Estimate {
	var lo, hi []float64
	for _, one := range v.all {
		a, b := one.interval(times)
		lo, hi = append(lo, a), append(hi, b)
	}
	return reliability.Coverage(lo, hi, v.truth)
}

func (v *volumes) bias() reliability.Estimate { return reliability.Bias(v.mean, v.truth) }

// Scores are that of all answers, then of those from rasters, from surveys,
// and of each kind of ground under a raster.
func Scores(answers []*Answer) []Score {
	var out []Score
	add := func(name string, of func(a *Answer) bool) {
		var some []*Answer
		for _, a := range answers {
			if of(a) {
				some = append(some, a)
			}
		}
		if len(some) > 0 {
			out = append(out, ScoreOf(name, some))
		}
	}
	add("all", func(*Answer) bool { return true })
	add("by a raster", func(a *Answer) bool { return !a.Surveyed })
	add("by a survey", func(a *Answer) bool { return a.Surveyed })
	for k := range kinds {
		add("raster, "+k.String(), func(a *Answer) bool { return !a.Surveyed && a.Kind == k })
	}
	return out
}

// Allowance is how far the intervals of hollows must be drawn out for nine in
// ten of one more site's to hold the truth, hollows of these sites being like
// those of that: split conformal prediction, see odds.Allowance.
func Allowance(answers []*Answer) float64 {
	var needs []float64
	for _, a := range answers {
		for i := range a.Hollows {
			needs = append(needs, a.Hollows[i].needs())
		}
	}
	slices.Sort(needs)
	at := int(math.Ceil(nine*float64(len(needs)+1))) - 1
	if at >= len(needs) {
		return math.Inf(1)
	}
	return needs[at]
}
