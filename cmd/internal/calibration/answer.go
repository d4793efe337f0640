package calibration

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"wetfeet/hydro"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/survey"
)

// Deep is how deep water must be for a place to count as ponded, m.
const Deep = 0.01

// An Answer is what the program says of a site, and what is true.
type Answer struct {
	Number   int
	Kind     Kind
	Surveyed bool

	Odds   []float64 // of each tree: that water deeper than Deep stands there
	Ponded [][]bool  // by draw and tree
	Single []bool    // by the likeliest surface alone
	Seen   []bool    // in truth

	Volume  Volume   // of all hollows deeper than Deep
	Hollows []Volume // of each hollow of the likeliest surface

	Naive *Naive // nil where it was not asked for and for a site without a raster
}

// allowance is that of the program for the hollows of such a site.
func (a *Answer) allowance() odds.Allowance {
	if a.Surveyed {
		return odds.BySurvey
	}
	return odds.ByRaster
}

// A Volume is what a hollow holds, or all hollows of a site, m³.
type Volume struct {
	Draws  []float32 // ascending
	Truth  float64   // 0 where the truth has no such hollow
	Single float64   // by the likeliest surface
}

// nine is the share that intervals are to hold.
const nine = 0.9

// needs is how many times as far from the middle as the draws say an interval
// must reach, in cube roots, to hold the truth, below or above: one of them is
// 0.
func (v *Volume) needs() (below, above float64) {
	lo, middle, hi := odds.ByDraws.Spread(v.Draws, nine)
	truth, from := math.Cbrt(v.Truth), math.Cbrt(middle)
	switch {
	case v.Truth < middle:
		return (from - truth) / (from - math.Cbrt(lo)), 0
	case v.Truth > middle:
		return 0, (truth - from) / (math.Cbrt(hi) - from)
	}
	return 0, 0
}

// Naive is the answer that adds the error to the raster again.
type Naive struct {
	Odds   []float64
	Volume Volume
}

// likely draws grounds given what is known of a site, and drains the likeliest
// surface.
func likely(ctx context.Context, s *Site, seed uint64) (*field.Draws, *hydro.Drainage, error) {
	if !s.Surveyed() {
		d, err := field.OfRaster(s.Raster, s.Error, seed)
		if err != nil {
			return nil, nil, err
		}
		drain, err := hydro.Drain(ctx, s.Raster, hydro.Options{Error: s.Error.SD, CellNoise: s.Error.CellNoise})
		return d, drain, err
	}
	m, err := survey.FitDirection(s.Shots, survey.Options{Error: s.ShotError})
	if err != nil {
		return nil, nil, err
	}
	mean, sd := m.Grid(s.Truth.Frame)
	given := field.Survey{
		Mean:       mean,
		Covariance: m.Covariance.Apart(m.Anisotropy),
		Reach:      m.Covariance.Reach(),
		Planar:     m.Trend == survey.Planar,
	}
	for _, c := range m.Likely(field.MostLikely(len(m.Shots()))) {
		given.Likely = append(given.Likely, field.Likeness{Covariance: c.Apart(m.Anisotropy), Reach: c.Reach()})
	}
	for _, shot := range m.Shots() {
		given.Shots = append(given.Shots, field.Shot{Point: shot.Point, Z: shot.Z, SD: s.ShotError})
	}
	d, err := field.OfSurvey(given, seed)
	if err != nil {
		return nil, nil, err
	}
	drain, err := hydro.Drain(ctx, mean, hydro.Options{Error: s.ShotError, ErrorAt: sd})
	return d, drain, err
}

// Ask runs the program on a site, with so many draws, and the naive answer too
// where that is asked for.
func Ask(ctx context.Context, s *Site, n int, seed uint64, naive bool) (*Answer, error) {
	d, drain, err := likely(ctx, s, seed)
	if err != nil {
		return nil, fmt.Errorf("site %d: %w", s.Number, err)
	}
	a := &Answer{Number: s.Number, Kind: s.Kind, Surveyed: s.Surveyed()}
	known := make([]odds.Known, len(drain.Hollows.All))
	for i := range known {
		known[i] = odds.KnownOf(drain.Hollows, i)
	}
	r := rand.New(rand.NewPCG(seed, 1<<32+uint64(s.Number)))
	chances := make([]Chance, n)
	for k := range chances {
		chances[k] = Chance{r.NormFloat64(), r.NormFloat64()}
	}
	run := func(source func() odds.Source) (*odds.Result, []float32, error) {
		volume := make([]float32, n)
		result, err := odds.Run(ctx, odds.Options{
			Frame: s.Truth.Frame, Source: source, Draws: n, MinDepth: Deep,
			Weather: func(k int) odds.Weather { return s.weather(chances[k]) },
			Watch:   s.Trees, Hollows: known, Workers: 1,
			Observe: func(k int, site *storm.Site, _ *storm.History) { volume[k] = float32(storage(site.Hollows())) },
		})
		slices.Sort(volume)
		return result, volume, err
	}
	result, volume, err := run(func() odds.Source { return d.NewRoom() })
	if err != nil {
		return nil, err
	}
	a.Odds = make([]float64, len(s.Trees))
	a.Ponded = make([][]bool, n)
	for k := range a.Ponded {
		a.Ponded[k] = make([]bool, len(s.Trees))
	}
	for i := range s.Trees {
		a.Odds[i] = odds.Share(result.Depth(i), Deep)
		for k, depth := range result.Depth(i) {
			a.Ponded[k][i] = depth > Deep
		}
	}
	truth := hydro.FindHollowsDeep(s.Truth, Deep)
	a.Seen, err = ponded(s, truth, s.True)
	if err != nil {
		return nil, err
	}
	a.Single, err = ponded(s, drain.Hollows, Chance{})
	if err != nil {
		return nil, err
	}
	a.Volume = Volume{Draws: volume, Truth: storage(truth), Single: storage(drain.Hollows)}
	for i, m := range odds.Match(known, truth) {
		v := Volume{Draws: slices.Clone(result.Hollows[i].Volume), Single: drain.Hollows.All[i].Volume}
		slices.Sort(v.Draws)
		if m != hydro.Outside {
			v.Truth = truth.All[m].Volume
		}
		a.Hollows = append(a.Hollows, v)
	}
	if naive && !s.Surveyed() {
		result, volume, err := run(func() odds.Source { return again{s, newNoise(s.Truth.Frame, s.Error.SD, s.Error.Range), seed} })
		if err != nil {
			return nil, err
		}
		a.Naive = &Naive{Volume: Volume{Draws: volume, Truth: a.Volume.Truth}}
		for i := range s.Trees {
			a.Naive.Odds = append(a.Naive.Odds, odds.Share(result.Depth(i), Deep))
		}
	}
	return a, nil
}

// again adds an error to the raster that has one.
type again struct {
	s     *Site
	noise *noise
	seed  uint64
}

func (n again) Pair(k int, a, b []float32) {
	r := rand.New(rand.NewPCG(n.seed, uint64(n.s.Number)<<32+uint64(k)))
	u, v := n.noise.pair(r)
	for i, z := range n.s.Raster.Cells {
		a[i] = z + float32(u[i]+n.s.Error.CellNoise*r.NormFloat64())
		b[i] = z + float32(v[i]+n.s.Error.CellNoise*r.NormFloat64())
	}
}

// storage is what all hollows hold, m³.
func storage(h *hydro.Hollows) float64 {
	sum := 0.0
	for i := range h.All {
		if h.All[i].Parent == hydro.Outside {
			sum += h.All[i].Volume
		}
	}
	return sum
}

// ponded says which trees stand in water on one ground.
func ponded(s *Site, h *hydro.Hollows, c Chance) ([]bool, error) {
	site, err := storm.Prepare(h, storm.Options{})
	if err != nil {
		return nil, err
	}
	w := s.weather(c)
	m := site.Simulate(nil, w.Loss(site))
	for _, step := range w.Steps {
		mm := step.Runoff
		if len(mm) == 0 {
			mm = []float64{0}
		}
		m.Step(storm.Step{Hours: step.Hours, Inflow: site.Runoff(mm...), Evaporation: step.Evaporation})
	}
	history := m.History()
	wet := make([]bool, len(s.Trees))
	for i, cell := range s.Trees {
		if z := h.Ground().Cells[cell]; !terrain.IsVoid(z) {
			wet[i] = len(history.UnderWater(cell, Deep)) > 0
		}
	}
	return wet, nil
}
