package advise

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/hydro/relief"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"
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

// leastOver is how far above the floor of its hollow the upper end of a pipe
// is laid, m, so that it stays above when a file rounds it.
const leastOver = 0.005

// A Laid cut is one as a plan has it, in words and as a link without a name.
type Laid struct {
	What string
	Link site.Link // in the system of the ground, its levels to the millimetre
}

// Dig are the cuts that each sentence of Drain tells of: the best one and, where
// it is another, that which helps the most trees. A sentence on hollows that
// none helps has none.
func (a *Advice) Dig(r *assess.Result) [][]Laid {
	var out [][]Laid
	for i := range a.Drains {
		best, most := a.Drains[i].Best(), a.Drains[i].Most()
		if best == nil {
			continue
		}
		laid := []Laid{{best.what(r.Units), best.laid(r)}}
		if most != best {
			laid = append(laid, Laid{most.what(r.Units), most.laid(r)})
		}
		out = append(out, laid)
	}
	return out
}

// laid is a cut as a link of a plan. Corners of less than half a cell are cut.
func (c *Cut) laid(r *assess.Result) site.Link {
	z := r.Drain.Ground
	upper := math.Ceil(1000*max(c.Level, r.Drain.Hollows.All[c.Hollow].Floor+leastOver)) / 1000
	lower := math.Floor(1000*min(c.Dug.Level, upper)) / 1000
	line := simplify.DouglasPeucker(z.CellSize / 2).LineString(slices.Clone(c.Line))
	if c.To == hydro.Outside {
		line = beyond(z, line)
	}
	return site.Link{Ditch: !c.Pipe, Line: line, Invert: &upper, Outlet: &lower}
}

// beyond leads a line that ends at the rim of the known ground on across it.
func beyond(z *terrain.Grid[float32], line orb.LineString) orb.LineString {
	end := line[len(line)-1]
	if len(line) > 1 { // straight on, if that leads out
		before := line[len(line)-2]
		far := math.Hypot(end[0]-before[0], end[1]-before[1])
		q := orb.Point{end[0] + 2*z.CellSize*(end[0]-before[0])/far, end[1] + 2*z.CellSize*(end[1]-before[1])/far}
		if _, known := terrain.AtPoint(z, q); !known {
			return append(line, q)
		}
	}
	for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		q := orb.Point{end[0] + z.CellSize*d[0], end[1] + z.CellSize*d[1]}
		if _, known := terrain.AtPoint(z, q); !known {
			return append(line, q)
		}
	}
	return line
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
