package relief

import (
	"context"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain/earthwork"
)

// sameDepth is how much deeper a cut to the floor must be than the one before
// to be tried too, m: a spade does not tell the two apart.
const sameDepth = 0.02

// leastAbove is how far above the floor of a hollow a cut to the floor is
// taken to begin, m.
const leastAbove = 0.001

// A Cut is a way to let water out of a hollow and what comes of it.
type Cut struct {
	Hollow int // index in All of the hollow
	Pipe   bool

	Depth float64        // of the bottom below the spill level, where it leaves the water, m
	Level float64        // of the bottom there, m
	Line  orb.LineString // cell centres, from the water to lower ground
	To    int            // index of the leaf that takes the water, or hydro.Outside
	End   float64        // how deep the cut still is where its way ends: more than 0 only at the rim, m

	earthwork.Dug

	Storage float64 // that the hollow loses, m³

	// Of the storm; 0 without one. What stands less in the hollow stands
	// elsewhere, has left the site or has soaked in.
	Before, After float64 // stands in the hollow when the rain ends, m³
	Elsewhere     float64 // stands more in all other hollows then, m³
	Site          Outcome // with the cut; without it, see Cuts

	// Backwater says that the pipe leads into a hollow that can stand above
	// it, so that its capacity was left out of the account.
	Backwater bool

	capacity float64
}

// Saved is how much less stands in the hollow when the rain ends, m³.
func (c *Cut) Saved() float64 { return c.Before - c.After }

// PerDug is what is saved for each cubic metre dug, or of storage lost where
// there was no storm; +Inf where there is nothing to dig.
func (c *Cut) PerDug(of float64) float64 {
	if c.Volume == 0 {
		return math.Inf(1)
	}
	return of / c.Volume
}

// Link is the cut as a storm has it.
func (c *Cut) Link(h *hydro.Hollows) storm.Link {
	name := fmt.Sprintf("ditch from hollow %d", h.All[c.Hollow].ID)
	if c.Pipe {
		name = fmt.Sprintf("pipe from hollow %d", h.All[c.Hollow].ID)
	}
	return storm.Link{Name: name, From: c.Hollow, To: c.To, Level: c.Level, Outlet: math.NaN(), Capacity: c.capacity}
}

// Cuts looks, for each of some hollows by their index in All, for ditches of
// every depth and for a pipe from the floor, in that order, and tries them one
// by one in the storm; without is the storm on the site as it is, nil if there
// is none. It panics on a hollow there is not; the error names what is wrong
// with the options, or is the cause of a context that is done.
func Cuts(ctx context.Context, h *hydro.Hollows, which []int, o Options) (cuts []Cut, without *Outcome, err error) {
	if err := o.settle(); err != nil {
		return nil, nil, err
	}
	if o.Storm != nil {
		if without, err = o.Storm.Run(h); err != nil {
			return nil, nil, err
		}
		o.Storm.show(-1, without)
	}
	if len(which) == 0 {
		return nil, without, nil
	}
	curves := h.Storage()
	f := newFinder(h)
	for _, i := range which {
		hollow := &h.All[i]
		cells, within := under(h, i)
		deepest := hollow.Depth() - leastAbove
		var tries []Cut
		for _, d := range o.Depths {
			d = min(d, deepest)
			if n := len(tries); d > 0 && (n == 0 || d < deepest || d-tries[n-1].Depth > sameDepth) {
				tries = append(tries, Cut{Hollow: i, Depth: d})
			}
		}
		if !o.NoPipe && deepest > 0 {
			tries = append(tries, Cut{Hollow: i, Depth: deepest, Pipe: true})
		}
		for _, c := range tries {
			c.Level = hollow.Spill - c.Depth
			channel := o.Ditch
			if c.Pipe {
				channel = o.Pipe
			}
			path, to, err := f.way(ctx, hollow.FloorCell, channel, c.Level, func(leaf int) bool { return within[leaf] })
			if err != nil {
				return nil, nil, err
			}
			c.To = to
			c.Dug = channel.Dig(h.Ground(), path, c.Level)
			c.End = max(0, float64(h.Ground().Cells[path[len(path)-1]])-c.Dug.Level)
			for _, cell := range path {
				c.Line = append(c.Line, h.Centre(h.Cell(cell)))
			}
			c.Storage = hollow.Volume - kept(h, curves, i, c.Level)
			if c.Pipe {
				c.capacity = o.Capacity
				if to != hydro.Outside && h.All[h.Outer[h.All[to].FloorCell]-1].Spill > c.Level {
					c.capacity, c.Backwater = 0, o.Capacity > 0
				}
			}
			if o.Storm != nil {
				site, err := o.Storm.Run(h, c.Link(h))
				if err != nil {
					return nil, nil, err
				}
				o.Storm.show(len(cuts), site)
				c.Site = *site
				c.Before, c.After = stands(without.ended, h, cells), stands(site.ended, h, cells)
				c.Elsewhere = (site.Ponded - c.After) - (without.Ponded - c.Before)
				c.Site.ended = nil // a whole tree of hollows hangs on it
			}
			cuts = append(cuts, c)
		}
	}
	return cuts, without, nil
}

// under is all cells that a hollow wets when full, and its leaves.
func under(h *hydro.Hollows, i int) (cells []int32, leaves map[int]bool) {
	leaves = map[int]bool{}
	for todo := []int{i}; len(todo) > 0; {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		cells = append(cells, h.Own(k)...)
		if a := &h.All[k]; a.IsLeaf() {
			leaves[k] = true
		} else {
			todo = append(todo, a.Children[0], a.Children[1])
		}
	}
	return cells, leaves
}

// kept is what a hollow can still hold, m³, with a cut from its floor at a
// level. A part of it that does not reach down to the cut stays full.
func kept(h *hydro.Hollows, curves *hydro.Storage, i int, level float64) float64 {
	if h.All[i].IsLeaf() || level >= curves.Base(i) {
		return curves.Volume(i, level)
	}
	sum := 0.0
	for _, k := range h.All[i].Children {
		if h.All[k].FloorCell == h.All[i].FloorCell {
			sum += kept(h, curves, k, level)
		} else {
			sum += h.All[k].Volume
		}
	}
	return sum
}

// stands is the water over some cells, m³.
func stands(st *storm.State, h *hydro.Hollows, cells []int32) float64 {
	sum := 0.0
	for _, c := range cells {
		if level, wet := st.WaterLevel(int(c)); wet {
			sum += level - float64(h.Ground().Cells[c])
		}
	}
	return sum * h.CellArea()
}
