package serve

import (
	"context"
	"reflect"
	"slices"
	"sync"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/relief"
	"wetfeet/terrain/earthwork"
)

// works keeps the grounds that were shown with what is built on them, and what
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
