package assess

import (
	"context"
	"errors"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// A Course is how the storm of an assessment goes on one ground, from the
// first rain to the end of the drying.
type Course struct {
	Water   *terrain.Grid[float32] // level of the highest water, m; where none stood, of the ground
	LeftOut []string               // pipes and ditches of the plan that cannot be on this ground, and why

	// Depth and Hours are, by tree, the deepest water over its root crown, m,
	// and how long its roots are wet; 0 off the known ground.
	Depth, Hours []float64
}

// Course sends the storm of r over another ground of the same frame, such as
// that with mounds on it, its pipes and ditches led anew. Root crowns lie, by
// tree, so many metres over the ground as r has it, wherever it is raised. All hollows count,
// those within the error of the ground too: two grounds that share an error may
// differ by less than it, and what is built is no error. So a Course is to be
// held against another, and not against the figures of r, which leave such
// hollows out.
func (r *Result) Course(ctx context.Context, z *terrain.Grid[float32], crowns []float64) (*Course, error) {
	found := hydro.FindHollows(z)
	s, err := r.ReliefStorm()
	if err != nil {
		return nil, err
	}
	c := &Course{}
	if s.Options.Links, err = r.leadOn(z, found); err != nil {
		return nil, err
	}
	on, err := storm.Prepare(found, s.Options)
	if err != nil {
		s.Options.Links = c.drop(s.Options.Links, err)
		if on, err = storm.Prepare(found, s.Options); err != nil {
			return nil, err
		}
	}
	m := on.Simulate(nil, s.Loss(on))
	m.Watch(s.Watch...)
	for _, step := range s.Steps(on) {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		m.Step(step)
	}
	c.Water = terrain.NewGrid[float32](z.Frame)
	copy(c.Water.Cells, z.Cells)
	for i, level := range m.Highest() {
		for _, cell := range on.Hollows().Own(i) {
			c.Water.Cells[cell] = max(c.Water.Cells[cell], float32(level))
		}
	}
	history := m.History()
	c.Depth, c.Hours = make([]float64, len(r.Trees)), make([]float64, len(r.Trees))
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			raised := float64(z.Cells[t.cell]) - t.Ground
			c.Depth[i], c.Hours[i] = r.Storm.wet(on, history, t.cell, crowns[i]-raised)
		}
	}
	return c, nil
}

// leadOn leads the pipes and ditches of the plan on the hollows of a ground
// that are more than its error, and tells them by those of all its hollows.
func (r *Result) leadOn(z *terrain.Grid[float32], found *hydro.Hollows) ([]storm.Link, error) {
	lead, err := r.linksOfDraws(r.basis.plan, nil)
	if lead == nil || err != nil {
		return nil, err
	}
	sifted := found.Significant(r.Drain.Error)
	if e := r.basis.ground.ErrorAt; e != nil {
		sifted = found.SignificantShared(e)
	}
	links, err := lead(0, sifted, z)
	leaf := func(i int) int {
		if i == hydro.Outside {
			return i
		}
		return int(found.Inner[sifted.All[i].FloorCell]) - 1
	}
	for i := range links {
		links[i].From, links[i].To = leaf(links[i].From), leaf(links[i].To)
	}
	return links, err
}

// drop takes the links that an error of Prepare names out of a list.
func (c *Course) drop(links []storm.Link, err error) []storm.Link {
	wrong := map[int]bool{}
	all := []error{err}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		all = joined.Unwrap()
	}
	for _, e := range all {
		if l, ok := errors.AsType[*storm.LinkError](e); ok && !wrong[l.Place] {
			wrong[l.Place] = true
			c.LeftOut = append(c.LeftOut, l.Error())
		}
	}
	var kept []storm.Link
	for i, l := range links {
		if !wrong[i] {
			kept = append(kept, l)
		}
	}
	return kept
}

// wet is the deepest water over a root crown so far above the ground of a
// site, m, and how long the roots are wet, h, as a history of the site has it.
func (s *Storm) wet(on *storm.Site, h *storm.History, cell int, crown float64) (depth, hours float64) {
	soil, _ := s.soil(cell)
	roots := soil.roots()
	roots.Crown = crown
	hours = storm.Total(h.RootsWet(cell, roots))
	leaf := int(on.Hollows().Inner[cell]) - 1
	if hours == 0 || leaf < 0 {
		return 0, 0
	}
	depth = h.Peak(leaf).Level - float64(on.Hollows().Ground().Cells[cell]) - crown
	return max(0, depth), hours
}
