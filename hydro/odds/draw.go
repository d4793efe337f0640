package odds

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// leftOut is a link that a draw had no room for.
type leftOut struct {
	name, why string
	draw      int
}

// draw runs the chain on one ground and keeps what is asked of it.
func (w *worker) draw(draw int, z *terrain.Grid[float32]) error {
	o := w.run.o
	found := hydro.FindHollowsDeep(z, o.MinDepth)
	w.found = max(w.found, float64(len(found.All)+found.Noise)/float64(z.Len()))
	w.match.of(found)
	w.findAgain(draw)
	site, err := w.prepare(draw, found, z)
	if err != nil {
		return err
	}
	weather := o.Weather(draw)
	m := w.simulate(site, &weather)
	high, history := m.Highest(), m.History()
	if h := site.Hollows(); h != found {
		own(h, w.match.owner) // as links make them
	}
	w.count(site.Hollows(), high)
	w.watch(draw, history, &weather, high)
	if o.Observe != nil {
		o.Observe(draw, site, history)
	}
	if o.Further != nil {
		if err := o.Further(draw, site); err != nil {
			return fmt.Errorf("draw %d: %w", draw+1, err)
		}
	}
	return nil
}

// findAgain looks for the known hollows on this draw.
func (w *worker) findAgain(draw int) {
	for i := range w.run.o.Hollows {
		m := w.match.match(&w.run.o.Hollows[i])
		if m == hydro.Outside {
			continue
		}
		a, r := &w.match.h.All[m], &w.run.result.Hollows[i]
		r.Volume[draw], r.Depth[draw] = float32(a.Volume), float32(a.Depth())
	}
}

// prepare makes the site of a draw, without the links that cannot be on its
// ground.
func (w *worker) prepare(draw int, found *hydro.Hollows, z *terrain.Grid[float32]) (*storm.Site, error) {
	o := w.run.o
	options := storm.Options{Zone: o.Zone, Zones: o.Zones}
	if o.Links != nil {
		links, err := o.Links(draw, found, z)
		if err != nil {
			return nil, fmt.Errorf("draw %d: %w", draw+1, err)
		}
		options.Links = slices.Clone(links)
	}
	for {
		site, err := storm.Prepare(found, options)
		if err == nil {
			return site, nil
		}
		wrong := linkErrors(err)
		if len(wrong) == 0 {
			return nil, fmt.Errorf("draw %d: %w", draw+1, err)
		}
		slices.SortFunc(wrong, func(a, b *storm.LinkError) int { return b.Place - a.Place })
		for _, l := range wrong {
			w.left = append(w.left, leftOut{l.Name, l.Err.Error(), draw})
			options.Links = slices.Delete(options.Links, l.Place, l.Place+1)
		}
	}
}

// linkErrors are the links that an error of Prepare names, none if it is about
// anything else too.
func linkErrors(err error) []*storm.LinkError {
	parts := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		parts = joined.Unwrap()
	}
	var list []*storm.LinkError
	for _, e := range parts {
		l, ok := errors.AsType[*storm.LinkError](e)
		if !ok {
			return nil
		}
		list = append(list, l)
	}
	return list
}

// simulate carries a site through its weather. What is not watched costs less.
func (w *worker) simulate(site *storm.Site, weather *Weather) *storm.Simulation {
	var loss storm.Loss
	if weather.Loss != nil {
		loss = weather.Loss(site)
	}
	m := site.Simulate(nil, loss)
	if w.run.o.Observe == nil {
		m.Watch(w.run.o.Watch...)
	}
	for _, s := range weather.Steps {
		runoff := s.Runoff
		if len(runoff) == 0 {
			runoff = []float64{0}
		}
		m.Step(storm.Step{Hours: s.Hours, Inflow: site.Runoff(runoff...), Evaporation: s.Evaporation})
	}
	return m
}

// deep is how deep water at a level stands over ground, m, as it is kept.
func deep(level float64, ground float32) float32 { return float32(level - float64(ground)) }

// count adds this draw to the cells that are ponded on it.
func (w *worker) count(h *hydro.Hollows, high []float64) {
	least, z := w.run.o.MinDepth, h.Ground().Cells
	for i, level := range high {
		if math.IsInf(level, -1) {
			continue
		}
		for _, c := range h.Own(i) {
			if float64(deep(level, z[c])) > least {
				w.ponded[c]++
			}
		}
	}
}

// watch keeps the depth and the hours of the watched cells.
func (w *worker) watch(draw int, history *storm.History, weather *Weather, high []float64) {
	o, r := w.run.o, w.run.result
	for i, cell := range o.Watch {
		z := w.ground[draw%2].Cells[cell]
		if terrain.IsVoid(z) {
			r.depth[i*r.asked+draw] = terrain.Void()
			for h := range o.Heights {
				r.hours[(h*len(o.Watch)+i)*r.asked+draw] = terrain.Void()
			}
			continue
		}
		owner := w.match.owner[cell] - 1
		if owner < 0 || !(high[owner] > float64(z)) {
			continue
		}
		r.depth[i*r.asked+draw] = deep(high[owner], z)
		var roots storm.Roots
		if weather.Roots != nil {
			zone := 0
			if o.Zone != nil {
				zone = int(o.Zone.Cells[cell])
			}
			roots = weather.Roots(zone)
		}
		for h, height := range o.Heights {
			if !(high[owner] > float64(z)+height) {
				break // nor above any greater height
			}
			roots.Crown = height
			r.hours[(h*len(o.Watch)+i)*r.asked+draw] = float32(storm.Total(history.RootsWet(cell, roots)))
		}
	}
}
