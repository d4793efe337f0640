package assess

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/hydro"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/quantity"
)

const (
	// usualDraws tells odds of a tenth to within two hundredths, one standard
	// deviation, and a 10 to 90 % interval to within a few of its hundredths:
	// finer than anyone plants by.
	usualDraws = 200

	// crownStep and highestCrown are the heights of root crowns for which the
	// hours are kept, m: mounds are built in such steps, and none higher is
	// advised.
	crownStep    = 0.05
	highestCrown = 1.0

	// mostTimes bounds how many times as long as after the storm the longest
	// wet spell of the usual year is taken to be on every draw.
	mostTimes = 10
)

// Odds is how surely everything is: the storm on many sites that are as likely
// as each other.
type Odds struct {
	*odds.Result
	Asked  int     // draws; Result has fewer where the work was interrupted
	Seed   uint64  // of the draws
	Target float64 // risk that a mound or a swap is to bring a tree under
	Ground *field.Draws
	Watch  map[int]int // by cell of a tree, its index in Result
	Years  *Years      // the years of weather on every draw; nil where they were not asked for

	chance func(draw int) chance
}

// Soaking is how fast standing water soaks in on a draw, mm/h, outside the zones
// of the site.
func (o *Odds) Soaking(r *Result, draw int) float64 {
	s := &r.Storm.soils[0]
	return s.rate(o.chance(draw)) * (1 - s.Known.Impervious)
}

// runOdds sends the storm over equally likely sites. Where the work is
// interrupted, what is done is kept.
func (r *Result) runOdds(ctx context.Context, p Plan, g *ground.Ground, given given, progress func(string)) error {
	if p.Odds.Off {
		r.Assumptions = append(r.Assumptions, "Odds were not asked for: every figure is the likeliest alone.")
		return nil
	}
	draws, said, err := r.likelyGrounds(p, g)
	if err != nil {
		return err
	}
	asked := p.Odds.Draws
	if asked == 0 {
		asked = drawsFor(terrain.Known(r.Drain.Ground))
		if asked < usualDraws {
			r.Assumptions = append(r.Assumptions, fmt.Sprintf("The site is large, so the odds were told from %d draws instead of %d; more can be asked for.", asked, usualDraws))
		}
	}
	o := &Odds{Asked: asked, Seed: p.Odds.Seed, Target: cmp.Or(p.Odds.Target, species.DefaultTarget), Ground: draws, Watch: map[int]int{}, chance: chances(p.Odds.Seed)}
	var watch []int
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			if _, seen := o.Watch[t.cell]; !seen {
				o.Watch[t.cell] = len(watch)
				watch = append(watch, t.cell)
			}
		}
	}
	links, err := r.linksOfDraws(p, p.datumOfDraws())
	if err != nil {
		return err
	}
	known := make([]odds.Known, len(r.Drain.Hollows.All))
	for i := range known {
		known[i] = odds.KnownOf(r.Drain.Hollows, i)
	}
	s := r.Storm
	var heights []float64
	for k := 0; float64(k)*crownStep <= highestCrown+1e-9; k++ {
		heights = append(heights, float64(k)*crownStep)
	}
	drawing, done := ctx, func() {}
	if p.Odds.Until != nil {
		drawing, done = p.Odds.Until(ctx)
	}
	defer done()
	options := odds.Options{
		Frame:       draws.Frame,
		Source:      r.sourceOf(draws),
		SourceBytes: draws.RoomBytes(),
		Draws:       o.Asked,
		Zone:        s.zone, Zones: len(s.soils),
		Links:       links,
		Weather:     func(draw int) odds.Weather { return r.weatherOf(o.chance(draw), given.rain) },
		Watch:       watch,
		Heights:     heights,
		Hollows:     known,
		HollowDepth: r.Drain.Error,
		Progress:    sayDraws(progress, time.Now()),
	}
	if p.Odds.Season {
		if o.Years, err = r.yearsOfDraws(ctx, p, given.record, o, &options); err != nil {
			return err
		}
	}
	o.Result, err = odds.Run(drawing, options)
	if tooMany, ok := errors.AsType[*odds.MemoryError](err); ok {
		if p.Odds.Draws > 0 {
			return fault.Input(fmt.Errorf("odds.draws: %w", tooMany))
		}
		r.Remarks = append(r.Remarks, fmt.Sprintf("No odds were worked out: %v. A coarser cell or a smaller boundary lets them fit.", tooMany))
		return nil
	}
	r.Remarks = append(r.Remarks, o.leftOut()...)
	if err != nil && (ctx.Err() != nil || drawing.Err() == nil) {
		return err
	}
	if err != nil && (o.Result == nil || o.Draws < leastDraws) {
		done := 0
		if o.Result != nil {
			done = o.Draws
		}
		r.Remarks = append(r.Remarks, fmt.Sprintf("The odds were stopped after %d of %d draws, too few to tell any: %d are the least.", done, o.Asked, leastDraws))
		return nil
	}
	if err != nil {
		r.Remarks = append(r.Remarks, fmt.Sprintf("The odds were stopped after %d of %d draws, and are told from those.", o.Draws, o.Asked))
	}
	r.Odds = o
	for i := range r.Trees {
		r.surely(&r.Trees[i])
	}
	for _, remark := range draws.Remarks {
		r.Remarks = append(r.Remarks, "Odds: "+remark+".")
	}
	r.Assumptions = append(r.Assumptions, said, r.doubts(p, o))
	if o.Years != nil {
		r.Assumptions = append(r.Assumptions, o.Years.words(o))
	}
	return nil
}

// leftOut says which pipes and ditches could not be on some draws.
func (o *Odds) leftOut() (out []string) {
	if o.Result == nil {
		return nil
	}
	for _, l := range o.LeftOut {
		out = append(out, fmt.Sprintf("%s is missing on %d of %d draws, where it cannot be: %s.", l.Name, l.Draws, o.Draws, l.Why))
	}
	return out
}

// leastDraws is the fewest that odds are told from.
const leastDraws = 20

// drawsFor is how many draws are made of so many cells where nobody asked: the
// usual number, or as many fewer as keep the work to that of the usual number
// on two million cells.
func drawsFor(cells int) int {
	const most = usualDraws * 2_000_000
	return min(usualDraws, max(40, most/max(cells, 1)/2*2))
}

// doubts says what differs between the draws beside the ground.
func (r *Result) doubts(p Plan, o *Odds) string {
	s := "how fast water soaks in, how much the ground takes before the storm"
	if known := r.Storm.soils[0].Known.Before != 0; known {
		s = "how fast water soaks in"
	}
	if sd := p.datumError(); sd > 0 {
		s += fmt.Sprintf(", in how the stated levels of pipes and ditches lie against the ground (%s, one standard deviation)", quantity.FormatDepth(sd, r.Units))
	}
	return fmt.Sprintf("Odds are told from %d sites that are as likely as each other: in their ground, in %s, and in what a tree bears (seed %d). The storm is the one asked for on all of them.", o.Draws, s, o.Seed)
}

// surely puts the odds of a tree in its place.
func (r *Result) surely(t *Tree) {
	if r.Odds == nil || !t.OnGround {
		return
	}
	i, watched := r.Odds.Watch[t.cell]
	if !watched {
		return
	}
	t.Ponding = float64(r.Odds.Ponding.Cells[t.cell])
	t.Depths = interval(r.Odds.Depth(i))
	at := min(int(math.Round(t.Built/crownStep)), len(r.Odds.Heights)-1)
	t.Hours = interval(r.Odds.Hours(at, i))
	t.Draws = &species.Odds{Step: crownStep, Depth: r.Odds.Depth(i), Crown: t.Built}
	for h := range r.Odds.Heights {
		t.Draws.Hours = append(t.Draws.Hours, r.Odds.Hours(h, i))
	}
	r.Odds.Years.surely(t, r.Odds, at, i)
}

// lengthen makes the hours of every draw count as many times as much as the wet
// spell of the usual year counts more than that of the storm, both on the level.
// Where the storm is too small to go by, they are no fewer on any draw than in
// the usual year of the likeliest ground.
func (r *Result) lengthen(t *Tree) {
	if t.Draws == nil || t.Draws.Spell != nil {
		return
	}
	var usual [kinds]species.Usual
	for k := range usual {
		usual[k] = species.Usual{Times: min(r.longer(t, k), mostTimes), Least: t.levelHours[k]}
	}
	t.Draws.Usual = usual[temperate]
	if t.Doses != nil {
		t.Draws.Tropical = &usual[tropical]
	}
}

// longer is how many times as much as the hours after the storm, as they are, the
// wet spell of the usual year counts for a kind of species, +Inf where the storm
// leaves the roots dry; 0 where the draws of a tree do not go by that.
func (r *Result) longer(t *Tree, kind int) float64 {
	if t.Draws == nil || t.Draws.Spell != nil || !(t.level[kind] > 0) {
		return 0
	}
	_, hours := r.Storm.standing(t.cell, 0)
	return 24 * t.level[kind] / hours
}

func interval(values []float32) Interval {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	return Interval{odds.Quantile(sorted, 0.1), odds.Quantile(sorted, 0.5), odds.Quantile(sorted, 0.9)}
}

// weatherOf is the storm and the drying as one draw has them.
func (r *Result) weatherOf(c chance, rain *Rain) odds.Weather {
	s := r.Storm
	excess := make([][]float64, len(s.soils))
	rates := make([]float64, len(s.soils))
	for k := range s.soils {
		excess[k] = s.soils[k].kept(c).Excess(nil, rain.Rain, rain.Hours)
		rates[k] = s.soils[k].rate(c)
	}
	var w odds.Weather
	for i, hours := range rain.Hours {
		step := odds.Step{Hours: hours}
		for k := range excess {
			step.Runoff = append(step.Runoff, excess[k][i])
		}
		w.Steps = append(w.Steps, step)
	}
	w.Steps = append(w.Steps, odds.Step{Hours: 24 * dryDown, Runoff: make([]float64, len(s.soils)), Evaporation: openWater / 24.0})
	w.Loss = func(site *storm.Site) storm.Loss { return s.lossOf(site, rates, r.WaterTable) }
	w.Roots = func(zone int) storm.Roots { return s.soils[zone].rootsOf(rates[zone]) }
	return w
}

// linksOfDraws leads the pipes and ditches of the plan anew on the hollows of
// every draw. What cannot be there on a draw, such as a pipe from a hollow that
// is none, is not there; one that would lie below the floor of its hollow
// begins there, as it would be laid. Lower, where it is not nil, is how much
// lower than in the plan their stated levels lie on a draw, m.
func (r *Result) linksOfDraws(p Plan, lower func(draw int) float64) (func(draw int, h *hydro.Hollows, z *terrain.Grid[float32]) ([]storm.Link, error), error) {
	if len(p.Links) == 0 {
		return nil, nil
	}
	crs := r.Drain.Ground.CRS
	laid, err := r.laid(p)
	if err != nil {
		return nil, err
	}
	return func(draw int, h *hydro.Hollows, z *terrain.Grid[float32]) ([]storm.Link, error) {
		one := &Result{Units: r.Units, Drain: &hydro.Drainage{Ground: z, Hollows: h}}
		var out []storm.Link
		here := laid
		if lower != nil {
			here = lowered(laid, lower(draw))
		}
		for i := range here {
			links, _, err := one.lead(Plan{CRS: crs, Links: here[i : i+1]})
			if err != nil {
				continue
			}
			for k := range links {
				links[k].Level = max(links[k].Level, h.All[links[k].From].Floor+leastAbove)
			}
			out = append(out, links...)
		}
		return out, nil
	}, nil
}

// sayDraws tells how many draws are done and how long the rest will take.
func sayDraws(progress func(string), began time.Time) func(done, all int) {
	return func(done, all int) {
		left := time.Since(began).Seconds() / float64(max(done, 1)) * float64(all-done)
		progress(fmt.Sprintf("odds %d of %d draws, %.0f s left", done, all, left))
	}
}

// A Surety is how sure a hollow is.
type Surety struct {
	Real     float64  // odds that it is deeper than the error of the ground
	Expected float64  // volume that it holds when full, m³, on average
	Volume   Interval // the same; 0 on a draw where it is none
}

// Sureties are those of the hollows, in their order; nil without odds.
func (r *Result) Sureties() []Surety {
	if r.Odds == nil {
		return nil
	}
	allowance := odds.ByRaster
	if r.Survey != nil && !r.Survey.Raster {
		allowance = odds.BySurvey
	}
	out := make([]Surety, len(r.Odds.Hollows))
	for i, h := range r.Odds.Hollows {
		expected, low, likely, high := h.Outlook(0.8, allowance)
		out[i] = Surety{h.Real, expected, Interval{low, likely, high}}
	}
	return out
}
