package advise

import (
	"cmp"
	"context"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"
	"wetfeet/hydro/relief"
	"wetfeet/hydro/storm"
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

// A Cut is one way to do it, and what the storm run with it makes of the trees
// of the whole site on the likeliest ground. A tree in danger is freed if its
// roots stay dry with the cut and do not without, or if what it then bears of
// wet brings the odds of losing it to the target or under. One is endangered if
// they go from the target or under to over it.
type Cut struct {
	relief.Cut
	Freed, Endangered []int
}

// Helps is how many more trees are freed than endangered.
func (c *Cut) Helps() int { return len(c.Freed) - len(c.Endangered) }

// leastSaved is the water from which a cut is worth a word, m³.
const leastSaved = 0.05

// A stand is how wet a tree gets in one run of the storm.
type stand struct{ depth, hours float64 } // m, h

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
	weather, err := r.ReliefStorm()
	if err != nil {
		return err
	}
	var before []stand
	var after [][]stand // by cut
	weather.Observe = func(cut int, on *storm.Site, h *storm.History) {
		all := make([]stand, len(r.Trees))
		for i := range r.Trees {
			if t := &r.Trees[i]; t.OnGround {
				all[i].depth, all[i].hours = r.WetIn(t, on, h)
			}
		}
		if cut < 0 {
			before = all
		} else {
			after = append(after, all)
		}
	}
	cuts, without, err := relief.Cuts(ctx, r.Drain.Hollows, which, relief.Options{Storm: weather})
	if err != nil {
		return err
	}
	a.Without = without
	for _, k := range which {
		d := Drain{Hollow: k, Trees: in[k]}
		for n, c := range cuts {
			if c.Hollow == k {
				d.Cuts = append(d.Cuts, a.weigh(r, c, before, after[n]))
			}
		}
		a.Drains = append(a.Drains, d)
	}
	return nil
}

// weigh holds how wet the trees get without and with a cut against what they
// bear.
func (a *Advice) weigh(r *assess.Result, c relief.Cut, before, after []stand) Cut {
	cut := Cut{Cut: c}
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround || before[i] == after[i] {
			continue
		}
		bears := r.Bears(i, t.Entry, false)
		was, is := bears.Loss(before[i].hours, before[i].depth), bears.Loss(after[i].hours, after[i].depth)
		switch {
		case was <= a.Target && is > a.Target:
			cut.Endangered = append(cut.Endangered, i)
		case t.Flagged && (before[i].hours > 0 && after[i].hours == 0 || was > a.Target && is <= a.Target):
			cut.Freed = append(cut.Freed, i)
		}
	}
	return cut
}

// Best is the cut that helps the most trees for each cubic metre dug, nil where
// none helps any or saves any water.
func (d *Drain) Best() *Cut {
	return d.pick(func(c, best *Cut) bool { return c.PerDug(float64(c.Helps())) > best.PerDug(float64(best.Helps())) })
}

// Most is the cut that helps the most trees, of such that which is the least to
// dig; nil where there is no best one.
func (d *Drain) Most() *Cut {
	return d.pick(func(c, best *Cut) bool {
		return c.Helps() > best.Helps() || c.Helps() == best.Helps() && c.Volume < best.Volume
	})
}

func (d *Drain) pick(better func(c, best *Cut) bool) *Cut {
	var best *Cut
	for i := range d.Cuts {
		c := &d.Cuts[i]
		if c.Helps() > 0 && c.Saved() > leastSaved && (best == nil || better(c, best)) {
			best = c
		}
	}
	return best
}

// Settle changes the advice on trees that no mound and no swap helps, from
// moving them to draining, where a cut or a pipe that is advised frees them.
func (a *Advice) Settle(r *assess.Result) {
	for i := range a.Drains {
		c := a.Drains[i].Most()
		if c == nil {
			continue
		}
		for _, tree := range c.Freed {
			if t := &r.Trees[tree]; t.Advice == "move" && slices.Contains(a.Beyond, tree) {
				t.Advice = "drain"
			}
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
