package calibration

import (
	"context"
	"errors"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"wetfeet/cmd/internal/reliability"
	"wetfeet/hydro/odds"
)

// Run makes so many sites and asks of each, with so many draws, and of the first
// few the naive answer too. Answers are in the order of the sites and the same at
// any number of processors. Progress is told how many are done; nil is silence.
func Run(ctx context.Context, seed uint64, sites, draws, naive int, progress func(done int)) ([]*Answer, error) {
	answers, failed := make([]*Answer, sites), make([]error, sites)
	var next, done atomic.Int64
	var tell sync.Mutex
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), sites) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < sites && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				answers[i], failed[i] = Ask(ctx, Make(seed, i), draws, seed, i < naive)
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

	// Of the volume of each hollow the single surface shows: by what the program
	// says of it, and by the draws at their word.
	Held, Bias         reliability.Estimate
	BareHeld, BareBias reliability.Estimate

	// Of the volume of all hollows of a site, by the draws.
	SiteHeld, SiteBias reliability.Estimate

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
	var said, bare, whole, again volumes
	var alone, truth []float64
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
			said.add(&a.Hollows[i], a.allowance(), a.Number)
			bare.add(&a.Hollows[i], odds.ByDraws, a.Number)
		}
		whole.add(&a.Volume, odds.ByDraws, a.Number)
		alone, truth = append(alone, a.Volume.Single), append(truth, a.Volume.Truth)
		if a.Naive != nil {
			naive, naiveSeen = append(naive, a.Naive.Odds...), append(naiveSeen, a.Seen...)
			again.add(&a.Naive.Volume, odds.ByDraws, a.Number)
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
	s.Held, s.Bias = said.held(), said.bias()
	s.BareHeld, s.BareBias = bare.held(), bare.bias()
	s.SiteHeld, s.SiteBias = whole.held(), whole.bias()
	s.Single = reliability.Bias(alone, truth, nil)
	if naive != nil {
		s.Naive, s.NaiveBias = reliability.Corp(naive, naiveSeen), again.bias()
	}
	return s
}

// volumes are what is said of some volumes, and the truth, m³.
type volumes struct {
	lo, expected, hi, truth []float64
	site                    []int
}

func (v *volumes) add(one *Volume, a odds.Allowance, site int) {
	lo, _, hi := a.Spread(one.Draws, nine)
	v.lo, v.expected, v.hi = append(v.lo, lo), append(v.expected, a.Expected(one.Draws)), append(v.hi, hi)
	v.truth, v.site = append(v.truth, one.Truth), append(v.site, site)
}

// held is the share of truths in their intervals.
func (v *volumes) held() reliability.Estimate {
	return reliability.Coverage(v.lo, v.hi, v.truth, v.site)
}

// bias is that of what is expected.
func (v *volumes) bias() reliability.Estimate {
	return reliability.Bias(v.expected, v.truth, v.site)
}

// Others is the score of those that the naive answer was asked for too, and
// whether there are any.
func Others(answers []*Answer) (Score, bool) {
	var some []*Answer
	for _, a := range answers {
		if a.Naive != nil {
			some = append(some, a)
		}
	}
	if some == nil {
		return Score{}, false
	}
	return ScoreOf("by a raster", some), true
}

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
