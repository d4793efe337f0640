package advise

import (
	"cmp"
	"context"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"
	"wetfeet/hydro/relief"
)

// mostDrained is how many hollows are looked at: those with the most trees in
// danger.
const mostDrained = 5

// A Drain is what letting water out of one hollow would take and save.
type Drain struct {
	Hollow int // index among the hollows of the site
	Trees  []int
	Cuts   []Cut
}

// A Cut is one way to do it, and the trees in danger that it leaves dry: whose
// ground lies no lower than its bottom.
type Cut struct {
	relief.Cut
	Freed int
}

// drain tries cuts and pipes on the hollows that endanger trees.
func (a *Advice) drain(ctx context.Context, r *assess.Result) error {
	in := map[int][]int{}
	for i := range r.Trees {
		t := &r.Trees[i]
		if t.Flagged && t.Pond > 0 {
			in[t.Pond-1] = append(in[t.Pond-1], i)
		}
	}
	var which []int
	for k := range in {
		which = append(which, k)
	}
	slices.SortFunc(which, func(x, y int) int { return cmp.Or(len(in[y])-len(in[x]), x-y) })
	which = which[:min(len(which), mostDrained)]
	if len(which) == 0 {
		return nil
	}
	storm, err := r.ReliefStorm()
	if err != nil {
		return err
	}
	cuts, without, err := relief.Cuts(ctx, r.Drain.Hollows, which, relief.Options{Storm: storm})
	if err != nil {
		return err
	}
	a.Without = without
	for _, k := range which {
		d := Drain{Hollow: k, Trees: in[k]}
		for _, c := range cuts {
			if c.Hollow != k {
				continue
			}
			cut := Cut{Cut: c}
			for _, i := range d.Trees {
				if r.Trees[i].Ground >= c.Level {
					cut.Freed++
				}
			}
			d.Cuts = append(d.Cuts, cut)
		}
		a.Drains = append(a.Drains, d)
	}
	return nil
}

// Best is the cut that leaves the most trees dry for each cubic metre dug, nil
// where none frees any.
func (d *Drain) Best() *Cut {
	var best *Cut
	for i := range d.Cuts {
		c := &d.Cuts[i]
		if c.Freed > 0 && (best == nil || c.PerDug(float64(c.Freed)) > best.PerDug(float64(best.Freed))) {
			best = c
		}
	}
	return best
}

// Settle changes the advice on trees that no mound and no swap helps, from
// moving them to draining, where a cut or a pipe leaves their ground dry.
func (a *Advice) Settle(r *assess.Result) {
	frees := map[int]*Cut{}
	for i := range a.Drains {
		if c := a.Drains[i].Best(); c != nil {
			frees[a.Drains[i].Hollow] = c
		}
	}
	for _, i := range a.Beyond {
		t := &r.Trees[i]
		if c := frees[t.Pond-1]; c != nil && t.Ground >= c.Level && t.Advice == "move" {
			t.Advice = "drain"
		}
	}
}

// ToHollow says where the water goes: the ID of a hollow, 0 off the site.
func (c *Cut) ToHollow(h *hydro.Hollows) int {
	if c.To == hydro.Outside {
		return 0
	}
	return h.All[c.To].ID
}
