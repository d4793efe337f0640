package odds

import (
	"cmp"
	"slices"

	"wetfeet/terrain"
)

// A Result is what the draws say. Of a run that was stopped it holds the first
// Draws of them.
type Result struct {
	Draws int

	// Ponding is the share of draws on which water deeper than MinDepth stood
	// on a cell at any time; NaN where the ground is not known.
	Ponding  *terrain.Grid[float32]
	MinDepth float64 // m

	Watch   []int
	Heights []float64 // m

	Hollows []Hollow // as Options.Hollows

	// LeftOut are links that could not be on the ground of some draws, by
	// name.
	LeftOut []LeftOut

	asked int       // draws there is room for
	depth []float32 // by watched cell and draw
	hours []float32 // by height, watched cell and draw
}

// A Hollow is what the draws say of a hollow of the likeliest ground.
type Hollow struct {
	Index int     // in Options.Hollows
	Real  float64 // share of draws on which it is as deep as HollowDepth

	// By draw, of the hollow found in its place: what it holds, m³, and its
	// depth, m; 0 where there is none.
	Volume, Depth []float32
}

// LeftOut is a link that some draws had no room for.
type LeftOut struct {
	Name  string
	Draws int    // how many
	Why   string // on the first of them
}

// Depth is, by draw, how deep the highest water stood over the ground of
// watched cell i, m: 0 where none did, NaN where the ground is not known. It
// must not be changed.
func (r *Result) Depth(i int) []float32 { return r.depth[i*r.asked:][:r.Draws:r.Draws] }

// Hours is, by draw, how long roots in watched cell i are wet if their crown
// lies Heights[h] above the ground, h: while water stands above it, and until
// the root zone has drained after that. NaN where the ground is not known. It
// must not be changed.
func (r *Result) Hours(h, i int) []float32 {
	return r.hours[(h*len(r.Watch)+i)*r.asked:][:r.Draws:r.Draws]
}

// newResult has room for all draws.
func newResult(o *Options) *Result {
	r := &Result{
		MinDepth: o.MinDepth,
		Watch:    slices.Clone(o.Watch),
		Heights:  slices.Clone(o.Heights),
		Hollows:  make([]Hollow, len(o.Hollows)),
		asked:    o.Draws,
		depth:    make([]float32, len(o.Watch)*o.Draws),
		hours:    make([]float32, len(o.Heights)*len(o.Watch)*o.Draws),
	}
	for i := range r.Hollows {
		r.Hollows[i] = Hollow{Index: i, Volume: make([]float32, o.Draws), Depth: make([]float32, o.Draws)}
	}
	return r
}

// finish counts over the draws that were done.
func (r *Result) finish(o *Options, done int, void []bool, counts [][]uint32, left []leftOut) {
	r.Draws = done
	r.Ponding = terrain.NewGrid[float32](o.Frame)
	terrain.Bands(o.Frame.Rows, func(lo, hi int) {
		for c := lo * o.Frame.Cols; c < hi*o.Frame.Cols; c++ {
			if void[c] {
				r.Ponding.Cells[c] = terrain.Void()
				continue
			}
			n := uint32(0)
			for _, count := range counts {
				n += count[c]
			}
			r.Ponding.Cells[c] = float32(float64(n) / float64(done))
		}
	})
	for i := range r.Hollows {
		h := &r.Hollows[i]
		h.Volume, h.Depth = h.Volume[:done:done], h.Depth[:done:done]
		n := 0
		for _, depth := range h.Depth {
			if float64(depth) >= float64(float32(o.HollowDepth)) {
				n++
			}
		}
		h.Real = float64(n) / float64(done)
	}
	slices.SortFunc(left, func(a, b leftOut) int { return cmp.Or(cmp.Compare(a.name, b.name), cmp.Compare(a.draw, b.draw)) })
	last := -1 // draw, so that one that left out two of a name counts once
	for _, l := range left {
		n := len(r.LeftOut)
		if n == 0 || r.LeftOut[n-1].Name != l.name {
			r.LeftOut = append(r.LeftOut, LeftOut{Name: l.name, Draws: 1, Why: l.why})
		} else if l.draw != last {
			r.LeftOut[n-1].Draws++
		}
		last = l.draw
	}
}
