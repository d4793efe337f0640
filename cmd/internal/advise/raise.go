package advise

import (
	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain/earthwork"

	"github.com/paulmach/orb"
)

// platform is the level top of a mound, m across: room for the root ball of a
// nursery tree and a palm's width around it. Common practice, no source.
const platform = 1.0

// Mound is that of a tree whose root crown stands so high, m.
func Mound(height float64) earthwork.Mound {
	return earthwork.Mound{Top: platform, Height: height}
}

// A Heap is the soil of one mound.
type Heap struct {
	earthwork.Mound
	Settled float64 // m³, as if it stood alone
}

// Soil is that of all new mounds.
type Soil struct {
	Mounds  int
	Settled float64 // m³, what overlaps counted once
	Loose   float64 // to be brought, m³
}

// heap works out the soil of the mounds.
func (a *Advice) heap(r *assess.Result) {
	var mounds []earthwork.Placed
	for i := range a.Changes {
		if c := &a.Changes[i]; c.Raised {
			c.Heap.Mound = Mound(c.Mound)
			c.Heap.Settled = c.Heap.Volume()
			mounds = append(mounds, earthwork.Placed{Mound: c.Heap.Mound, At: r.Trees[c.Tree].Point})
		}
	}
	a.Soil = Soil{Mounds: len(mounds), Settled: earthwork.Volume(mounds)}
	a.Soil.Loose = earthwork.Loose(a.Soil.Settled, earthwork.Settlement)
}

// flowLines are where the water of the site runs.
func flowLines(r *assess.Result) []orb.LineString {
	out := make([]orb.LineString, len(r.Drain.FlowLines))
	for i, l := range r.Drain.FlowLines {
		out[i] = l.Line
	}
	return out
}
