package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/logbook"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/learn"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
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
	before := len(l.looks)
	if o.Depth != nil {
		d := k
		d.kind, d.reading = depthSeen, learn.Standing{Depth: *o.Depth, Error: depthError}
		d.hours, d.doubt = afterRain(o, o.Seen), untimed(o.Seen, o.Storm.Ended)
		if d.hours <= 24*dryDown {
			l.looks = append(l.looks, d)
		} else {
			skip("the depth was seen more than %d days after the rain, which is further than the drying is followed", dryDown)
		}
	}
	if !o.DriedOut.IsZero() || !o.LastWet.IsZero() {
		d := k
		d.kind, d.reading = driedSeen, dried(o)
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

// untimed is the doubt in hours between moments of some of which only the day
// is known, one standard deviation.
func untimed(all ...logbook.When) float64 {
	sum := 0.0
	for _, w := range all {
		if !w.Timed() {
			sum += dayError * dayError
		}
	}
	return math.Sqrt(sum)
}

// afterRain is how many hours after the rain of its storm something was seen.
func afterRain(o *logbook.Observation, w logbook.When) float64 {
	return w.Likely().Sub(o.Storm.Ended.Likely()).Hours()
}

// dried is between which hours after the rain a place dried out: after it was
// last seen wet, and before it was first seen dry.
func dried(o *logbook.Observation) learn.Between {
	low, high := math.Inf(-1), math.Inf(1)
	doubt := untimed(o.Storm.Ended)
	if !o.LastWet.IsZero() {
		low = afterRain(o, o.LastWet)
		doubt = math.Hypot(doubt, untimed(o.LastWet))
	}
	if !o.DriedOut.IsZero() {
		high = afterRain(o, o.DriedOut)
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
	return learn.Between{Low: low, High: high, Error: math.Hypot(math.Hypot(doubt, dryError*math.Abs(middle)), 1)}
}
