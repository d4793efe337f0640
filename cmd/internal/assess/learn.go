package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/learn"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/stat/distuv"
)

// How far what is written in a book is from what was there, one standard
// deviation each. All are common practice, no source.
const (
	depthError = 0.02 // of a depth of water read off a staff among clods, m
	augerError = 0.05 // of the water in an auger hole, m
	dayError   = 6.0  // of a time of which only the day is known, h
	dryError   = 0.20 // of the hours until dry as the model has them, a share of them: no soil is the same in every hollow
	tableError = 0.25 // of a water table that was seen on one day for that of the season, m
	staffError = 0.02 // that all depths of one site are off alike: how far a staff sinks in, how grass lies, m
	datumError = 0.05 // of the ground against levels that were taken from elsewhere, as those of pipes may be, m
)

// Health, in standard deviations of what trees of one species bear in one
// place: from where on a tree that had so much is stressed, dying or dead.
// Common practice, no source.
var healthFrom = []float64{-1, -0.25, 0}

// shared is the part of the doubt in what a species bears that all trees of a
// site have in common; the rest is the tree's own. Half and half: common
// practice, no source.
const shared = 0.5

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

// A look is an observation as the draws are held against it.
type look struct {
	index   int // in the book
	where   string
	cell    int
	tree    *Tree // nil for a place by itself
	storm   int   // in learning.storms; -1 without
	kind    lookKind
	reading learn.Reading

	hours float64 // after the rain ended, of a depth
	doubt float64 // in that, h
	tests int     // of a health: index of the species among those learned of
	bears species.Tolerance
}

type lookKind int

const (
	depthSeen lookKind = iota
	driedSeen
	tableSeen
	healthSeen
)

// A seenStorm is a storm that observations are about.
type seenStorm struct {
	storm logbook.Storm
	rain  *Rain
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
	s := all[0]
	for _, more := range all[1:] {
		s += " " + more
	}
	return s
}

// prepare turns the book into what draws can be held against.
func (l *learning) prepare(p Plan, seen []logbook.Observation, out *Learned) error {
	r := l.r
	given, err := p.given()
	if err != nil {
		return err
	}
	l.design, l.when = given.rain, p.calendar(given.record, r.Units)
	if l.draws, _, err = r.likelyGrounds(p, r.basis.ground); err != nil {
		return err
	}
	l.datum = slices.ContainsFunc(p.Links, levelled)
	byID := map[string]int{}
	for i := range r.Trees {
		byID[r.Trees[i].ID] = i
		if t := &r.Trees[i]; t.OnGround && t.StormDepth > 0 {
			l.watched = append(l.watched, i)
		}
	}
	var outside []error
	for i := range seen {
		o := &seen[i]
		skip := func(format string, args ...any) {
			out.Remarks = append(out.Remarks, fmt.Sprintf("observation %d of %s, %s: %s.", o.ID, o.Seen, o.Where(), fmt.Sprintf(format, args...)))
		}
		k := look{index: i, where: o.Where(), storm: -1}
		if o.Tree != "" {
			at, planned := byID[o.Tree]
			if !planned {
				skip("no such tree is planned any more, so it is left out")
				continue
			}
			k.tree = &r.Trees[at]
			if !k.tree.OnGround {
				skip("the ground is not known there, so it is left out")
				continue
			}
			k.cell = k.tree.cell
			if !slices.Contains(l.watched, at) {
				l.watched = append(l.watched, at)
			}
		} else {
			at := []orb.Point{*o.At}
			if err := move(raster.LonLatCRS, r.Drain.Ground.CRS, at); err != nil {
				return err
			}
			row, col, inside := r.Drain.Ground.Locate(at[0])
			if !inside {
				outside = append(outside, fmt.Errorf("observation %d of %s, %s: lies outside the site; mend its place or take it out of the book", o.ID, o.Seen, o.Where()))
				continue
			}
			if terrain.IsVoid(r.Drain.Ground.At(row, col)) {
				skip("the ground is not known there, so it is left out")
				continue
			}
			k.cell = r.Drain.Ground.Index(row, col)
		}
		if !o.Storm.Ended.IsZero() {
			if k.storm, err = l.storm(p, o.Storm); err != nil {
				return fmt.Errorf("observation %d: %w", o.ID, err)
			}
			if o.Storm.Rain == 0 {
				skip("nobody said how much rain it was, so it was taken to be the storm of the site file")
			}
		}
		l.add(o, k, skip)
	}
	if outside != nil {
		return fault.Input(errors.Join(outside...))
	}
	at := -1
	for i := range l.looks {
		if k := &l.looks[i]; k.kind == depthSeen && k.staffed() {
			l.staff = l.staff || at >= 0 && at != k.cell
			at = k.cell
		}
	}
	return nil
}

// staffed says whether a depth was read off a staff: there is nothing to read
// where it is dry.
func (k *look) staffed() bool { return k.reading.(learn.Standing).Depth > 0 }

// makeTable draws a water table through the auger holes of the book where
// nobody stated any: those of the day with the most of them, and of such days
// the last, since a table moves from day to day.
func (l *learning) makeTable(ctx context.Context, still Plan, seen []logbook.Observation, out *Learned) error {
	days := map[time.Time][]site.LearnedWell{}
	var best time.Time
	for i := range seen {
		o := &seen[i]
		if o.WaterTable == nil || o.At == nil && o.Tree == "" {
			continue
		}
		at := []orb.Point{{}}
		if k := slices.IndexFunc(l.r.Trees, func(t Tree) bool { return o.Tree != "" && t.ID == o.Tree }); k >= 0 {
			at[0] = l.r.Trees[k].LonLat
		} else if o.At != nil {
			at[0] = *o.At
		} else {
			continue
		}
		if err := move(raster.LonLatCRS, l.r.SiteCRS(), at); err != nil {
			return err
		}
		day := o.Seen.Likely().Truncate(24 * time.Hour)
		days[day] = append(days[day], site.LearnedWell{At: at[0], Depth: *o.WaterTable, When: day})
		if n := len(days[day]); n > len(days[best]) || n == len(days[best]) && day.After(best) {
			best = day
		}
	}
	if len(days) == 0 {
		return nil
	}
	still.Learned.Wells = days[best]
	r, err := l.r.Again(ctx, still, l.say)
	if fault.IsInput(err) {
		out.Remarks = append(out.Remarks, fmt.Sprintf("no water table can be drawn through the auger depths of %s: %v.", best.Format(time.DateOnly), err))
		return nil
	}
	if err != nil {
		return err
	}
	l.r, l.made = r, true
	return nil
}

// storm is the index of the storm of an observation.
func (l *learning) storm(p Plan, s logbook.Storm) (int, error) {
	for i := range l.storms {
		if l.storms[i].storm == s {
			return i, nil
		}
	}
	rain := l.design
	if s.Rain > 0 {
		p.Gauge, p.Frequency = "", ""
		p.Rain = weather.Storm{Rain: s.Rain, Duration: time.Duration(s.Hours * float64(time.Hour))}
		if s.Hours == 0 {
			p.Rain.Duration = time.Duration(l.design.Duration() * float64(time.Hour))
		}
		var err error
		if rain, err = p.rain(); err != nil {
			return 0, err
		}
	}
	l.storms = append(l.storms, seenStorm{s, rain})
	return len(l.storms) - 1, nil
}

// add puts each thing that one visit showed among the looks.
func (l *learning) add(o *logbook.Observation, k look, skip func(string, ...any)) {
	untimed := func(all ...logbook.When) float64 {
		sum := 0.0
		for _, w := range all {
			if !w.Timed() {
				sum += dayError * dayError
			}
		}
		return math.Sqrt(sum)
	}
	after := func(t time.Time) float64 { return t.Sub(o.Storm.Ended.Likely()).Hours() }
	before := len(l.looks)
	if o.Depth != nil {
		d := k
		d.kind, d.reading = depthSeen, learn.Standing{Depth: *o.Depth, Error: depthError}
		d.hours, d.doubt = after(o.Seen.Likely()), untimed(o.Seen, o.Storm.Ended)
		if d.hours <= 24*dryDown {
			l.looks = append(l.looks, d)
		} else {
			skip("the depth was seen more than %d days after the rain, which is further than the drying is followed", dryDown)
		}
	}
	if !o.DriedOut.IsZero() || !o.LastWet.IsZero() {
		d := k
		low, high := math.Inf(-1), math.Inf(1)
		doubt := untimed(o.Storm.Ended)
		if !o.LastWet.IsZero() {
			low = after(o.LastWet.Likely())
			doubt = math.Hypot(doubt, untimed(o.LastWet))
		}
		if !o.DriedOut.IsZero() {
			high = after(o.DriedOut.Likely())
			doubt = math.Hypot(doubt, untimed(o.DriedOut))
			if o.LastWet.IsZero() { // it dried that day, or after the look of the day before
				low = high - 24
				if !o.DriedOut.Timed() {
					high += 12
				}
			}
		}
		middle := low
		switch {
		case math.IsInf(low, -1):
			middle = high
		case !math.IsInf(high, 1):
			middle = (low + high) / 2
		}
		if high <= low {
			high = low + 1
		}
		d.kind, d.reading = driedSeen, learn.Between{Low: low, High: high, Error: math.Hypot(math.Hypot(doubt, dryError*math.Abs(middle)), 1)}
		l.looks = append(l.looks, d)
	}
	if o.WaterTable != nil {
		if l.r.WaterTable == nil {
			skip("no water table is stated, and none could be drawn through this")
		} else {
			d := k
			d.kind, d.reading = tableSeen, learn.Measured{Value: *o.WaterTable, Error: augerError}
			l.looks = append(l.looks, d)
		}
	}
	if o.Health != "" {
		switch {
		case k.storm < 0:
			skip("the health of a tree says something of what its species bears only with the storm it stood in; give rain_ended")
		case k.tree != nil:
			d := k
			d.kind = healthSeen
			if d.tests = slices.Index(l.species, k.tree.Entry); d.tests < 0 {
				d.tests = len(l.species)
				l.species = append(l.species, k.tree.Entry)
			}
			bounds := append(append([]float64{math.Inf(-1)}, healthFrom...), math.Inf(1))
			g := slices.Index(logbook.Healths, o.Health)
			found := l.when.on(l.r.conditions(k.tree, k.tree.Entry, false), o.Storm.Ended.Likely())
			d.bears = k.tree.Entry.Tolerance(found)
			if words := foundWords(found, l.r.Units); words != "" {
				skip("%s", words)
			}
			d.reading = learn.Between{Low: bounds[g], High: bounds[g+1], Error: math.Sqrt(1 - shared)}
			l.looks = append(l.looks, d)
		}
	}
	if len(l.looks) == before && o.Health == "" && o.WaterTable == nil && o.Depth == nil {
		skip("it says nothing that is computed")
	}
}

// The parameters, in order: how fast water soaks in; how much the ground took
// before each storm seen; the water table; the species looked at; the datum and
// the staff, where what was seen says something of them.
func (l *learning) params() int {
	n := l.datumAt()
	for _, more := range [2]bool{l.datum, l.staff} {
		if more {
			n++
		}
	}
	return n
}

func (l *learning) beforeAt(storm int) int    { return 1 + storm }
func (l *learning) tableAt() int              { return 1 + len(l.storms) }
func (l *learning) speciesAt(species int) int { return 2 + len(l.storms) + species }
func (l *learning) datumAt() int              { return 2 + len(l.storms) + len(l.species) }
func (l *learning) staffAt() int              { return l.params() - 1 }

// The outcomes after those of the looks: hours wet, hours until dry and depth
// when the rain ends of each watched tree, in the storm of the plan, then the
// ground at every look.
func (l *learning) hoursAt(k int) int  { return len(l.looks) + 3*k }
func (l *learning) dryAt(k int) int    { return len(l.looks) + 3*k + 1 }
func (l *learning) depthAt(k int) int  { return len(l.looks) + 3*k + 2 }
func (l *learning) groundAt(k int) int { return len(l.looks) + 3*len(l.watched) + k }

// model runs the storms of the book and that of the plan on as many sites as
// there are draws.
func (l *learning) model(ctx context.Context, first int, params [][]float64) ([][]float64, error) {
	r, s := l.r, l.r.Storm
	out := make([][]float64, len(params))
	weatherOf := func(draw int, before float64, rain *Rain) odds.Weather {
		w := r.weatherOf(chance{params[draw][0], before}, rain)
		if r.WaterTable == nil {
			return w
		}
		deeper, lossOf := tableError*params[draw][l.tableAt()], w.Loss
		w.Loss = func(on *storm.Site) storm.Loss {
			loss := lossOf(on)
			for i := range loss.Room {
				loss.Room[i] = max(0, loss.Room[i]+1000*deeper*s.soils[0].Drainable.Likely)
			}
			return loss
		}
		return w
	}
	own := func(draw int) *rand.Rand { return rand.New(rand.NewPCG(l.seed^0x1ea2, uint64(first+draw))) }
	var lower func(draw int) float64
	if l.datum {
		lower = func(draw int) float64 { return datumError * params[draw][l.datumAt()] }
	}
	links, err := r.linksOfDraws(r.basis.plan, lower)
	if err != nil {
		return nil, err
	}
	var lock sync.Mutex
	round := first/len(params) + 1
	source := r.sourceOf(l.draws)
	_, err = odds.Run(ctx, odds.Options{
		Frame:       l.draws.Frame,
		Source:      func() odds.Source { return &later{source(), first / 2} },
		SourceBytes: l.draws.RoomBytes(),
		Draws:       len(params),
		Zone:        s.zone, Zones: len(s.soils),
		Links:   links,
		Weather: func(draw int) odds.Weather { return weatherOf(draw, own(draw).NormFloat64(), l.design) },
		Observe: func(draw int, on *storm.Site, h *storm.History) {
			rng := own(draw)
			weather := weatherOf(draw, rng.NormFloat64(), l.design)
			histories := make([]*storm.History, len(l.storms))
			for k := range l.storms {
				w := weatherOf(draw, params[draw][l.beforeAt(k)], l.storms[k].rain)
				histories[k] = runWeather(on, w)
			}
			row := l.outcomes(params[draw], on, h, histories, weather, rng)
			lock.Lock()
			out[draw] = row
			lock.Unlock()
		},
		Progress: func(done, all int) { l.say(fmt.Sprintf("learn: round %d, %d of %d draws", round, done, all)) },
	})
	if tooMany, ok := errors.AsType[*odds.MemoryError](err); ok {
		return nil, fault.Input(tooMany)
	}
	return out, err
}

// later is a source of draws that begins at a later pair.
type later struct {
	odds.Source
	first int
}

func (s *later) Pair(k int, a, b []float32) { s.Source.Pair(s.first+k, a, b) }

// runWeather carries a site through its weather.
func runWeather(on *storm.Site, w odds.Weather) *storm.History {
	m := on.Simulate(nil, w.Loss(on))
	for _, s := range w.Steps {
		m.Step(storm.Step{Hours: s.Hours, Inflow: on.Runoff(s.Runoff...), Evaporation: s.Evaporation})
	}
	return m.History()
}

// outcomes is what one draw foresees.
func (l *learning) outcomes(params []float64, on *storm.Site, design *storm.History, seen []*storm.History, w odds.Weather, rng *rand.Rand) []float64 {
	row := make([]float64, l.groundAt(len(l.looks)))
	ground := func(cell int) float64 { return float64(on.Hollows().Ground().Cells[cell]) }
	level := func(h *storm.History, cell int, hours float64) float64 {
		leaf := int(on.Hollows().Inner[cell]) - 1
		if leaf < 0 {
			return math.Inf(-1)
		}
		return h.Level(leaf, hours)
	}
	zone := func(cell int) int {
		_, z := l.r.Storm.soil(cell)
		return z
	}
	for i := range l.looks {
		k := &l.looks[i]
		row[l.groundAt(i)] = ground(k.cell)
		off := rng.NormFloat64() // in the time of the look; drawn whether it is used or not
		switch k.kind {
		case depthSeen:
			ended := l.storms[k.storm].rain.Duration()
			at := min(max(ended+k.hours+off*k.doubt, 0), ended+24*dryDown)
			row[i] = max(level(seen[k.storm], k.cell, at)-ground(k.cell), -1)
			if l.staff && k.staffed() {
				row[i] += staffError * params[l.staffAt()]
			}
		case driedSeen:
			row[i] = dryAfter(seen[k.storm], k.cell, l.storms[k.storm].rain.Duration())
		case tableSeen:
			row[i] = l.r.WaterTable.depth(k.cell) + tableError*params[l.tableAt()]
		case healthSeen:
			roots := w.Roots(zone(k.cell))
			roots.Crown = k.tree.Built
			hours := storm.Total(seen[k.storm].RootsWet(k.cell, roots))
			depth := highest(seen[k.storm], on, k.cell) - ground(k.cell) - k.tree.Built
			loss := k.bears.Loss(hours, depth)
			dose := distuv.UnitNormal.Quantile(min(max(loss, 1e-9), 1-1e-9))
			row[i] = dose - math.Sqrt(shared)*params[l.speciesAt(k.tests)]
		}
	}
	ended := l.design.Duration()
	for k, tree := range l.watched {
		t := &l.r.Trees[tree]
		roots := w.Roots(zone(t.cell))
		roots.Crown = t.Built
		row[l.hoursAt(k)] = storm.Total(design.RootsWet(t.cell, roots))
		row[l.dryAt(k)] = min(dryAfter(design, t.cell, ended), 24*dryDown)
		row[l.depthAt(k)] = max(level(design, t.cell, ended)-ground(t.cell), 0)
	}
	return row
}

// highest is the highest level of the water that a cell stands in, m.
func highest(h *storm.History, on *storm.Site, cell int) float64 {
	leaf := int(on.Hollows().Inner[cell]) - 1
	if leaf < 0 {
		return math.Inf(-1)
	}
	return h.Peak(leaf).Level
}

// dryAfter is when the water on a cell is gone, h after the rain ended: 0 where
// none stood then, +Inf where it does to the end of the drying.
func dryAfter(h *storm.History, cell int, ended float64) float64 {
	last := 0.0
	for _, s := range h.UnderWater(cell, 0) {
		last = max(last, s.To-ended)
	}
	if last >= 24*dryDown-1e-6 {
		return math.Inf(1)
	}
	return last
}
