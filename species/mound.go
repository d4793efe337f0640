package species

import "math"

// Mounds.
const (
	// mostMound is the highest mound advised, m. Published mounds are 0.25 m
	// (usual, tropical orchards: Paull and Duarte 2011, read) and 0.6 to 0.9 m
	// (homes on flood-prone land: UF/IFAS, from memory); 0.3 to 0.45 m on
	// heavy temperate soil is common practice. Half a metre is a heap one
	// person can build with a spade and a tree does not dry out on.
	mostMound = 0.50

	// highestMound is the highest one tried, m. Common practice.
	highestMound = 1.00

	// wetGroundMound is the mound for ground that is wet without a pond, m:
	// the usual height above.
	wetGroundMound = 0.25

	// leastFreeboard is the least height of the root crown above water of
	// which nothing but the depth is known, m; twice the error of the ground
	// where that is more, which leaves about one chance in forty that the
	// crown lies lower.
	leastFreeboard = 0.05

	// moundSteps is in how many steps heights are tried to a metre.
	moundSteps = 20
)

// mound is the least height, in whole steps, on which the species would not
// be flagged, m; +Inf where none does. It tries one after the other, since a
// function of the caller's need not be monotone.
func (s Spot) mound(e *Entry, opts JudgeOptions) float64 {
	c := opts.Conditions
	c.Years = 0 // a tree that stands is not lifted
	for step := 1; step <= highestMound*moundSteps; step++ {
		h := float64(step) / moundSteps
		if e.risk(s.raised(h, opts), c) < High {
			return h
		}
	}
	return math.Inf(1)
}

// raised is what the spot puts on a tree whose root crown a mound lifts by h,
// m. Whether its water counts, the ground says as it was without the mound.
func (s Spot) raised(h float64, opts JudgeOptions) stress {
	up := s
	up.HeightAboveWater += h
	up.WaterTable += h
	x := up.stress()
	if h >= wetGroundMound {
		x.ground = min(x.ground, damp)
	}
	if s.stands() {
		if opts.WetHoursAt != nil {
			depth, hours := opts.WetHoursAt(h)
			x.depth, x.storm = positive(depth), positive(hours)/24
		} else if x.depth = positive(s.StormDepth - h); s.clears(h, positive(s.StormDepth)) {
			x.storm = 0
		}
	}
	switch {
	case opts.LongestWetDaysAt != nil:
		x.season, x.counts = positive(opts.LongestWetDaysAt(h)), nil
	case h < wetGroundMound || s.InHollow && !s.clears(h, positive(s.BrimDepth)):
	default:
		x.season, x.counts = 0, nil // no year fills a hollow over its brim
	}
	return x
}

// clears says whether a mound of height h stands above water of a depth by
// the freeboard.
func (s Spot) clears(h, depth float64) bool {
	const hair = 1e-9 // so that 0.20 and 0.05 in binary are not more than 0.25
	return h+hair >= depth+math.Max(leastFreeboard, 2*positive(s.Error))
}
