package odds

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// A Source draws grounds that may be the true one. Pair writes two of them,
// draws 2k and 2k+1, row by row in the frame's order, voids NaN. What it writes
// depends on k alone. Voids are the same in all draws.
type Source interface {
	Pair(k int, a, b []float32)
}

// Options are what is asked. Frame, Source, Draws and Weather must be given;
// the zero value of the rest is the common case.
//
// Functions may be called by several workers at once, for draws in any order.
type Options struct {
	Frame terrain.Frame

	// Source makes a source of draws, one for each worker. SourceBytes is the
	// memory that one takes, for the check of MemoryLimit.
	Source      func() Source
	SourceBytes int64

	Draws int

	// Zone is, for every cell, the zone its runoff is given for, from 0 to
	// Zones−1, as in [storm.Options].
	Zone  *terrain.Grid[uint8]
	Zones int // 0 is 1

	// Links are the ditches and pipes of a draw, given its hollows and its
	// ground. One that cannot be on that ground, say because it would run
	// uphill there, is left out of that draw: see [Result.LeftOut]. An error
	// ends the run. Nil is none.
	Links func(draw int, h *hydro.Hollows, ground *terrain.Grid[float32]) ([]storm.Link, error)

	// Weather is the storm of a draw and what the soil does with it.
	Weather func(draw int) Weather

	// Watch are the cells whose depth and hours are kept.
	Watch []int

	// Heights are those of root crowns above the ground, m, for which hours
	// are kept, in ascending order. Nil is the level ground, 0.
	Heights []float64

	// Hollows are those of the likeliest ground, to be found again on every
	// draw.
	Hollows []Known

	// MinDepth is how deep water must be for a cell to be ponded, m. 0 is a
	// centimetre. Hollows shallower than that are left out.
	MinDepth float64

	// HollowDepth is how deep a hollow must be to be real, m. It is no less
	// than MinDepth, which 0 stands for.
	HollowDepth float64

	// Observe sees the site and the history of each draw. It must not keep
	// either: their ground is used again for other draws.
	Observe func(draw int, s *storm.Site, h *storm.History)

	// Further is what else is done on the site of each draw, such as years of
	// weather. It must not keep the site. An error ends the run. A run whose
	// context is done waits for it as for the rest of a draw. FurtherBytes is
	// the memory that it keeps of each draw and FurtherRoom what it takes
	// while it works, in a worker, both for the check of MemoryLimit.
	Further      func(draw int, s *storm.Site) error
	FurtherBytes int64
	FurtherRoom  int64

	Workers int // 0 is one for each processor; fewer are used where memory asks for it

	// MemoryLimit is how much a run may take, bytes; 0 is 2 GiB. It is kept by
	// an estimate: a single worker on ground that is all noise may take more.
	MemoryLimit int64

	// Progress is told how many draws are done, of how many. It is called by
	// one worker at a time.
	Progress func(done, all int)
}

// Weather is the storm of a draw, from dry hollows to the end of the drying.
type Weather struct {
	Steps []Step

	// Loss is how fast standing water soaks in. Nil is not at all.
	Loss func(*storm.Site) storm.Loss

	// Roots are those of a tree in a zone; their crown does not count. Nil
	// leaves roots wet as long as they are under water and no longer.
	Roots func(zone int) storm.Roots
}

// A Step is a time of even weather.
type Step struct {
	Hours       float64
	Runoff      []float64 // from each zone, mm; one for all zones; nil is none; another number panics
	Evaporation float64   // from standing water, mm/h
}

const (
	defaultMinDepth    = 0.01
	defaultMemoryLimit = 2 << 30
)

// filled is o with its zero values replaced.
func (o Options) filled() Options {
	if o.MinDepth == 0 {
		o.MinDepth = defaultMinDepth
	}
	o.HollowDepth = max(o.HollowDepth, o.MinDepth)
	if o.Heights == nil {
		o.Heights = []float64{0}
	}
	if o.MemoryLimit == 0 {
		o.MemoryLimit = defaultMemoryLimit
	}
	return o
}

// check says what is wrong with the options, all of it.
func (o *Options) check() error {
	var bad []error
	say := func(format string, args ...any) { bad = append(bad, fmt.Errorf(format, args...)) }
	if o.Frame.Rows <= 0 || o.Frame.Cols <= 0 || !(o.Frame.CellSize > 0) {
		say("a ground of %d rows and %d columns of %g m", o.Frame.Rows, o.Frame.Cols, o.Frame.CellSize)
	}
	if o.Source == nil || o.Weather == nil {
		say("there is no source of draws or no weather")
	}
	if o.Draws <= 0 {
		say("%d draws: ask for one at least", o.Draws)
	}
	if o.Zone != nil && o.Zone.Frame != o.Frame {
		say("zones lie on another grid than the ground")
	}
	for _, c := range o.Watch {
		if c < 0 || c >= o.Frame.Len() {
			say("watched cell %d is none of the %d of the ground", c, o.Frame.Len())
		}
	}
	for i, h := range o.Heights {
		if !(h >= 0) || math.IsInf(h, 1) || i > 0 && !(h > o.Heights[i-1]) {
			say("heights of %v m: each must be more than the one before, and the first no less than 0", o.Heights)
			break
		}
	}
	for i := range o.Hollows {
		for _, c := range o.Hollows[i].Cells {
			if c < 0 || int(c) >= o.Frame.Len() {
				say("hollow %d has a cell %d, which is none of the %d of the ground", i+1, c, o.Frame.Len())
				break
			}
		}
	}
	if !(o.MinDepth >= 0) || math.IsInf(o.MinDepth, 1) || !(o.HollowDepth >= 0) || math.IsInf(o.HollowDepth, 1) {
		say("water %g m deep and hollows %g m deep to count: each must be 0 or more", o.MinDepth, o.HollowDepth)
	}
	if o.Workers < 0 || o.MemoryLimit < 0 {
		say("%d workers and %d bytes of memory: each must be 0 or more", o.Workers, o.MemoryLimit)
	}
	return errors.Join(bad...)
}
