package serve

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"sync"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/relief"
	"wetfeet/terrain/earthwork"

	"github.com/paulmach/orb"
)

// A docWork is what is to be built or dug: a mound, bed or wall, which raises
// the ground, or a ditch or pipe, which lets water out of hollows.
type docWork struct {
	Name string       `json:"name"`
	Kind string       `json:"kind"` // "mound", "bed", "wall", "ditch" or "pipe"
	Line [][2]float64 `json:"line"` // downstream; one point for a mound

	Height float64 `json:"height,omitempty"` // of a mound, bed or wall, m
	Width  float64 `json:"width,omitempty"`  // of its platform, m

	Depth    float64  `json:"depth,omitempty"`    // of a ditch or pipe below the rim of the hollow where it begins, m
	Invert   *float64 `json:"invert,omitempty"`   // level of its bottom there instead, m
	Outlet   *float64 `json:"outlet,omitempty"`   // level of its lower end, m
	Capacity float64  `json:"capacity,omitempty"` // m³/s; 0 is whatever comes
}

// What a page may ask for.
const (
	mostWorks    = 12_000
	mostDepth    = 5 // m
	mostCapacity = 100
)

// worksOf are what a plan builds and digs, as a page begins with it.
func worksOf(r *assess.Result) []docWork {
	p := r.Plan()
	out := make([]docWork, 0, len(p.Works)+len(p.Links))
	shown := func(line orb.LineString) (points [][2]float64) {
		line = slices.Clone(line)
		if assess.Move(r.SiteCRS(), r.Drain.Ground.CRS, line) != nil {
			return nil
		}
		for _, q := range line {
			points = append(points, [2]float64{round(q[0], 4), round(q[1], 4)})
		}
		return points
	}
	for _, w := range p.Works {
		out = append(out, docWork{Name: w.Name, Kind: w.Kind, Line: shown(w.Line), Height: round(w.Height, 4), Width: round(w.Width, 4)})
	}
	for _, l := range p.Links {
		w := workOf(l)
		w.Line = shown(l.Line)
		out = append(out, w)
	}
	return out
}

// workOf is a pipe or ditch whose line is in the system of the ground.
func workOf(l site.Link) docWork {
	w := docWork{Name: l.Name, Kind: "pipe", Depth: round(l.Depth, 4), Invert: l.Invert, Outlet: l.Outlet, Capacity: l.Capacity}
	if l.Ditch {
		w.Kind = "ditch"
	}
	for _, q := range l.Line {
		w.Line = append(w.Line, [2]float64{round(q[0], 4), round(q[1], 4)})
	}
	return w
}

// build puts what a document builds and digs into a plan. What is as the site
// has it stays so to the last digit.
func (d document) build(r *assess.Result, p *assess.Plan) error {
	if len(d.Works) > mostWorks {
		return fault.Input(fmt.Errorf("%d things to build or dig; up to %d are taken", len(d.Works), mostWorks))
	}
	before := map[[2]string]int{}
	was := worksOf(r)
	for i, w := range was {
		before[[2]string{w.table(), w.Name}] = i
	}
	own := r.Plan()
	p.Works, p.Links = nil, nil
	seen := map[[2]string]bool{}
	var bad fault.List
	for _, w := range d.Works {
		key := [2]string{w.table(), w.Name}
		where := "the page: " + w.Kind + " " + strconv.Quote(w.Name)
		if wrong := w.check(); wrong != "" || seen[key] {
			if seen[key] {
				wrong = "another has its name"
			}
			bad.Add(0, "%s: %s", where, wrong)
			continue
		}
		seen[key] = true
		i, known := before[key]
		line := make(orb.LineString, len(w.Line))
		for k, q := range w.Line {
			line[k] = orb.Point(q)
		}
		stays := false // where it is
		if known {
			there := make(orb.LineString, len(was[i].Line))
			for k, q := range was[i].Line {
				there[k] = orb.Point(q)
			}
			stays = near(line, there)
		}
		if stays && was[i].same(w) {
			if k := i - len(own.Works); k >= 0 {
				p.Links = append(p.Links, own.Links[k])
			} else {
				p.Works = append(p.Works, own.Works[i])
			}
			continue
		}
		if err := assess.Move(r.Drain.Ground.CRS, r.SiteCRS(), line); err != nil {
			return fmt.Errorf("%s: %w", where, err)
		}
		if w.table() == "work" {
			if stays {
				line = own.Works[i].Line
			}
			p.Works = append(p.Works, site.Work{Name: w.Name, Where: where, Kind: w.Kind, Line: line, Height: w.Height, Width: w.Width})
			continue
		}
		if stays {
			line = own.Links[i-len(own.Works)].Line
		}
		p.Links = append(p.Links, site.Link{Name: w.Name, Where: where, Ditch: w.Kind == "ditch", Line: line, Invert: w.Invert, Depth: w.Depth, Outlet: w.Outlet, Capacity: w.Capacity})
	}
	return bad.Err()
}

// table is the kind of table a work has in the site file.
func (w docWork) table() string {
	if w.Kind == "ditch" || w.Kind == "pipe" {
		return "link"
	}
	return "work"
}

func (w docWork) same(o docWork) bool {
	level := func(a, b *float64) bool { return (a == nil) == (b == nil) && (a == nil || math.Abs(*a-*b) < 1e-4) }
	close := func(a, b float64) bool { return math.Abs(a-b) < 1e-4 }
	return w.Kind == o.Kind && close(w.Height, o.Height) && close(w.Width, o.Width) && close(w.Depth, o.Depth) &&
		level(w.Invert, o.Invert) && level(w.Outlet, o.Outlet) && math.Abs(w.Capacity-o.Capacity) < 1e-6
}

// check says what is wrong with a work, or nothing.
func (w docWork) check() string {
	points := len(w.Line)
	for _, q := range w.Line {
		if !finite(q[0]) || !finite(q[1]) {
			return "a point of its line is no place"
		}
	}
	apart := points > 1 && slices.ContainsFunc(w.Line, func(q [2]float64) bool { return q != w.Line[0] })
	switch {
	case w.Name == "" || len(w.Name) > 200:
		return "needs a name of up to 200 letters"
	case points > mostPoints:
		return fmt.Sprintf("has %d points; up to %d are taken", points, mostPoints)
	}
	switch w.Kind {
	case site.Mound, site.Bed, site.Wall:
		if (w.Kind == site.Mound) != (points == 1) || points > 1 && !apart {
			return "a mound has one point, a bed or a wall two or more that lie apart"
		}
		if !(w.Height > 0 && w.Height <= site.MostHeight) {
			return fmt.Sprintf("is %g m high; from above 0 to %d m are taken", w.Height, site.MostHeight)
		}
		if !(w.Width > 0 && w.Width <= site.MostWidth) {
			return fmt.Sprintf("is %g m wide; from above 0 to %d m are taken", w.Width, site.MostWidth)
		}
	case "ditch", "pipe":
		switch {
		case points == 0 || points > 1 && !apart || points == 1 && w.Kind == "ditch":
			return "needs two points or more that lie apart"
		case w.Invert == nil && !(w.Depth > 0 && w.Depth <= mostDepth):
			return fmt.Sprintf("is %g m deep; from above 0 to %d m are taken", w.Depth, mostDepth)
		case w.Invert != nil && (!finite(*w.Invert) || w.Depth != 0), w.Outlet != nil && !finite(*w.Outlet):
			return "has a level that is none"
		case w.Invert != nil && w.Outlet != nil && *w.Outlet > *w.Invert:
			return "runs uphill"
		case !(w.Capacity >= 0 && w.Capacity <= mostCapacity):
			return fmt.Sprintf("carries %g m³/s; up to %d are taken", w.Capacity, mostCapacity)
		}
	default:
		return `is no "mound", "bed", "wall", "ditch" or "pipe"`
	}
	return ""
}

// Works keeps the grounds that were shown with what is built on them, and what
// was there before.
type works struct {
	opened *assess.Result // the site as it was read first
	first  *layers        // of opened

	mu     sync.Mutex
	shown  []shownGround // newest last
	before []*outcome    // newest last
}

// mostBefore is how many answers without what is built are kept: one by odds
// and one without.
const mostBefore = 2

type shownGround struct {
	result *assess.Result
	layers *layers
}

// mostGrounds is how many grounds are kept beside that of the site.
const mostGrounds = 4

// base is a result whose ground is that of a plan, or else that of the site.
func (w *works) base(s *sheet, p assess.Plan) *assess.Result {
	if s.result.SameEarth(p) {
		return s.result
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, g := range w.all(s) {
		if g.result.SameEarth(p) {
			return g.result
		}
	}
	return s.result
}

// all is every ground that is kept, that of the sheet first.
func (w *works) all(s *sheet) []shownGround {
	return append([]shownGround{{s.result, s.layers}, {w.opened, w.first}}, w.shown...)
}

// layersOf are the layers of the ground of a result, and those of its hollows,
// which pipes and ditches change too.
func (w *works) layersOf(s *sheet, r *assess.Result) (ground, hollows *layers) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, g := range w.all(s) {
		if g.layers == nil || g.layers.of.Drain != r.Drain {
			continue
		}
		if ground == nil {
			ground = g.layers
		}
		if hollows == nil && reflect.DeepEqual(g.layers.of.Plan().Links, r.Plan().Links) {
			hollows = g.layers
		}
	}
	if hollows == nil {
		hollows = layersOf(r)
		if w.shown = append(w.shown, shownGround{r, hollows}); len(w.shown) > mostGrounds {
			w.shown = slices.Delete(w.shown, 0, 1)
		}
	}
	if ground == nil {
		ground = hollows
	}
	return ground, hollows
}

// named are the layers of a name that a page was given, nil where they are no
// longer kept.
func (w *works) named(s *sheet, id string) *layers {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, g := range w.all(s) {
		if g.layers != nil && g.layers.id == id {
			return g.layers
		}
	}
	return nil
}

// A worksReply is what is built and dug, and what that does to the water.
type worksReply struct {
	Each []workReply `json:"each"`

	Cut   float64 `json:"cut"`   // as it lay, m³
	Fill  float64 `json:"fill"`  // settled, m³
	Loose float64 `json:"loose"` // what is to be brought for that, m³

	After   waterReply    `json:"after"`
	Before  *beforeReply  `json:"before,omitempty"` // where anything differs from the site as it was opened
	Changed []changeReply `json:"changed,omitempty"`
}

type workReply struct {
	Name   string  `json:"name"`
	Kind   string  `json:"kind"`
	Volume float64 `json:"volume"` // m³
	Buried float64 `json:"buried,omitempty"`
	Dry    bool    `json:"dry,omitempty"`
	Idle   bool    `json:"idle,omitempty"`
}

// A waterReply is the water of the site in the storm: m³ and l/s.
type waterReply struct {
	Ponded float64 `json:"ponded"` // stands when the rain ends
	Left   float64 `json:"left"`   // has crossed the boundary a day after
	Peak   float64 `json:"peak"`   // most that crosses it
}

type beforeReply struct {
	waterReply
	Ground  string     `json:"ground"`
	Hollows string     `json:"hollows"`
	Storm   stormReply `json:"storm"`
}

// A changeReply is a tree whose risk another ground changes.
type changeReply struct {
	ID  string `json:"id"`
	Was string `json:"was"`
	Now string `json:"now"`
}

// An outcome is a result and the water of its storm.
type outcome struct {
	result *assess.Result
	water  waterReply
}

func outcomeOf(r *assess.Result) (*outcome, error) {
	s, err := r.ReliefStorm()
	if err != nil {
		return nil, err
	}
	var o *relief.Outcome
	if o, err = s.Run(r.Drain.Hollows); err != nil {
		return nil, err
	}
	return &outcome{r, waterReply{round(o.Ponded, 2), round(o.After, 2), round(1000*o.Peak, 2)}}, nil
}

// unbuilt is what becomes of a plan without what was built since the site was
// opened.
func (w *works) unbuilt(ctx context.Context, p assess.Plan) (*outcome, error) {
	own := w.opened.Plan()
	p.Works, p.Links, p.Units = own.Works, own.Links, own.Units
	w.mu.Lock()
	for _, o := range w.before {
		if q := o.result.Plan(); samePlan(q, p) {
			w.mu.Unlock()
			return o, nil
		}
	}
	w.mu.Unlock()
	r := w.opened
	if !samePlan(own, p) {
		var err error
		if r, err = w.opened.Again(ctx, p, nil); err != nil {
			return nil, err
		}
	}
	return w.keep(r)
}

// keep keeps an answer without what is built.
func (w *works) keep(r *assess.Result) (*outcome, error) {
	out, err := outcomeOf(r)
	if err != nil {
		return nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.before = append(w.before, out); len(w.before) > mostBefore {
		w.before = slices.Delete(w.before, 0, 1)
	}
	return out, nil
}

// samePlan reports whether plans are answered alike, whatever units they are
// told in and wherever their links are written.
func samePlan(p, q assess.Plan) bool {
	if !sameLinks(p.Links, q.Links) {
		return false
	}
	p.Units, p.Links, q.Links = q.Units, nil, nil
	return reflect.DeepEqual(p, q)
}

// reply says what the works of a result do.
func (w *works) reply(ctx context.Context, r *assess.Result) (*worksReply, error) {
	out := &worksReply{Each: []workReply{}}
	trenches, err := r.Trenches()
	if err != nil {
		return nil, err
	}
	for _, b := range r.Works {
		out.Each = append(out.Each, workReply{Name: b.Name, Kind: b.Kind, Volume: round(b.Volume, 3)})
		out.Fill += b.Volume
	}
	for _, t := range trenches {
		kind := "pipe"
		if t.Ditch {
			kind = "ditch"
		}
		e := workReply{Name: t.Name, Kind: kind, Volume: round(t.Dug.Volume, 3), Dry: t.Dry, Idle: t.Idle}
		if t.Buried > 0.02 {
			e.Buried = round(t.Buried, 3)
		}
		out.Each = append(out.Each, e)
		out.Cut += t.Dug.Volume
	}
	out.Loose = round(earthwork.Loose(out.Fill, earthwork.Settlement), 3)
	out.Cut, out.Fill = round(out.Cut, 3), round(out.Fill, 3)
	own, now := w.opened.Plan(), r.Plan()
	if w.opened.SameEarth(now) && sameLinks(own.Links, now.Links) {
		if r.Odds != nil { // what is drawn next is held against it
			if _, err := w.keep(r); err != nil {
				return nil, err
			}
		}
		if len(out.Each) == 0 {
			return out, nil
		}
		after, err := outcomeOf(r)
		if err != nil {
			return nil, err
		}
		out.After = after.water
		return out, nil
	}
	after, err := outcomeOf(r)
	if err != nil {
		return nil, err
	}
	before, err := w.unbuilt(ctx, now)
	if err != nil {
		return nil, err
	}
	out.After = after.water
	b := w.first
	out.Before = &beforeReply{before.water, b.id, b.id, stormOf(before.result)}
	for i := range r.Trees {
		if a, b := &before.result.Trees[i], &r.Trees[i]; a.OnGround && a.Risk != b.Risk {
			out.Changed = append(out.Changed, changeReply{b.ID, a.Risk.String(), b.Risk.String()})
		}
	}
	return out, nil
}

// sameLinks reports whether pipes and ditches lead water alike, wherever they
// are written.
func sameLinks(a, b []site.Link) bool {
	return slices.EqualFunc(a, b, func(x, y site.Link) bool {
		x.Where, y.Where = "", ""
		return reflect.DeepEqual(x, y)
	})
}
