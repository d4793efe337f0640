package advise

import (
	"context"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/relief"
	"wetfeet/terrain/earthwork"

	"github.com/paulmach/orb/planar"
)

// From where on a change of the water is told of. Common practice, no source.
const (
	leastBacked = 0.03 // that water stands higher, m
	leastMore   = 0.1  // that stands there more than before, m³
	leastLonger = 1.0  // that roots are wet for longer, h
	leastShare  = 0.1  // and of the time that they are wet before

	// leastClosed is how high a mound stands on a line of flow before it is
	// told of, m: less is within what the ground is known to.
	leastClosed = 0.05

	// beside is how far from the foot of a mound water counts as standing by it,
	// m.
	beside = 2.0
)

// A Proof is what the storm does once all mounds stand on the ground, those of
// the plan and those advised, against what it does without any. It is run twice
// on the likeliest ground, hollows however shallow, and not on every draw.
type Proof struct {
	Planned, New int     // mounds on the ground
	Most         float64 // that water rises anywhere beside them, m

	Closed  []Closed // ways of the water that they stand on
	Backed  []Backed // water that rises beside them, the most first
	Wetter  []Wetter // trees whose roots are wet for longer or deeper, in planting order
	LeftOut []string // pipes and ditches that it had to do without, and why
}

// Closed is a way of the water that a mound stands on.
type Closed struct {
	Tree   int
	Height float64 // of the mound, or the bed it runs together with others to, where the water came along, m
	Rise   float64 // how much higher water stands beside the mound, m
}

// A Backed is water that the mounds dam up.
type Backed struct {
	relief.Backed
	Closed []int // trees whose mounds close a way of the water beside it
}

// Wetter is a tree that the mounds of others, or its own, make wetter. Depths
// are over its root crown.
type Wetter struct {
	Tree                    int
	DepthBefore, DepthAfter float64 // m
	HoursBefore, HoursAfter float64
}

// prove sends the storm over the ground with the mounds on it. Heights are by
// tree, as all that is planned and advised has them.
func (a *Advice) prove(ctx context.Context, r *assess.Result, heights []float64) error {
	var mounds []earthwork.Placed
	var trees []int
	p := &Proof{}
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround || heights[i] <= 0 {
			continue
		}
		mounds, trees = append(mounds, earthwork.Placed{Mound: Mound(heights[i]), At: t.Point}), append(trees, i)
		if heights[i] > t.Built {
			p.New++
		} else {
			p.Planned++
		}
	}
	if len(mounds) == 0 {
		return nil
	}
	ground := r.Drain.Ground
	raised, _ := earthwork.Stamp(ground, mounds)
	before, err := r.Course(ctx, ground, heights)
	if err != nil {
		return err
	}
	after, err := r.Course(ctx, raised, heights)
	if err != nil {
		return err
	}
	p.LeftOut = after.LeftOut
	backed := relief.Backwater(relief.Stage{Ground: ground, Water: before.Water}, relief.Stage{Ground: raised, Water: after.Water}, leastBacked)
	for i, level := range after.Water.Cells {
		if up := float64(level) - float64(before.Water.Cells[i]); raised.Cells[i] == ground.Cells[i] && up > p.Most {
			p.Most = up
		}
	}
	for _, b := range backed {
		if b.Volume >= leastMore {
			p.Backed = append(p.Backed, Backed{Backed: b})
		}
	}
	for _, c := range earthwork.Closes(flowLines(r), mounds, leastClosed) {
		m := mounds[c.Mound]
		one := Closed{Tree: trees[c.Mound], Height: c.Height}
		for k := range p.Backed {
			b := &p.Backed[k]
			rise := 0.0
			for _, cell := range b.Cells {
				if planar.Distance(ground.Centre(ground.Cell(int(cell))), m.At) <= m.Base()/2+beside {
					rise = max(rise, float64(after.Water.Cells[cell])-float64(before.Water.Cells[cell]))
				}
			}
			if rise > 0 {
				if !slices.Contains(b.Closed, one.Tree) {
					b.Closed = append(b.Closed, one.Tree)
				}
				one.Rise = max(one.Rise, rise)
			}
		}
		p.Closed = append(p.Closed, one)
	}
	for i := range r.Trees {
		// Without its mound a tree that is to be raised would stand on the
		// level, so the same crown is held against both waters.
		w := Wetter{i, before.Depth[i], after.Depth[i], before.Hours[i], after.Hours[i]}
		if w.HoursAfter-w.HoursBefore > max(leastLonger, leastShare*w.HoursBefore) || w.DepthAfter-w.DepthBefore > leastBacked {
			p.Wetter = append(p.Wetter, w)
		}
	}
	a.Proof = p
	return nil
}
