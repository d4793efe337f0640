package species

import (
	"fmt"
	"math"
)

// JudgeOptions adjusts JudgeWith. The zero value is the common case.
type JudgeOptions struct {
	// Planned is the species already planned on the site. They come first
	// among the swaps, and a swap must share hardiness with all of them.
	Planned []*Entry

	// Length writes a height or depth given in metres. Nil writes metres.
	Length func(metres float64) string
}

// Mounds.
const (
	// mostMound is the highest mound advised, m. Published mounds are 0.25 m
	// (usual, tropical orchards: Paull and Duarte 2011, read) and 0.6 to 0.9 m
	// (homes on flood-prone land: UF/IFAS, from memory); 0.3 to 0.45 m on
	// heavy temperate soil is common practice. Half a metre is a heap one
	// person can build with a spade and a tree does not dry out on.
	mostMound = 0.50

	// wetGroundMound is the mound for ground that is wet without a pond, m:
	// the usual height above.
	wetGroundMound = 0.25

	// leastFreeboard is the least height of the root crown above the brim, m;
	// twice the error of the ground where that is more, which leaves about
	// one chance in forty that the crown lies lower.
	leastFreeboard = 0.05

	// moundStep is what mounds are rounded up to, m.
	moundStep = 0.05
)

// Judge says what the spot means for the species, with nothing else planned.
func (t *Table) Judge(spot Spot, e *Entry) Verdict { return t.JudgeWith(spot, e, JudgeOptions{}) }

// JudgeWith says what the spot means for the species.
//
// It knows how deep water can stand, not how long: that takes a storm, a soil
// and the time to dry. A species is flagged from High up. Advice on a flagged
// one is "raise" where a mound of half a metre or less lifts its root crown
// clear of the brim, else "swap" where another species bears the spot and
// keeps the role, else "move". An unflagged one is to "keep" its place.
func (t *Table) JudgeWith(spot Spot, e *Entry, opts JudgeOptions) Verdict {
	if opts.Length == nil {
		opts.Length = metres
	}
	v := Verdict{
		Risk:   riskAt(spot, e),
		Why:    why(spot, e, opts.Length),
		Advice: "keep",
	}
	v.Flagged = v.Risk >= High
	if !v.Flagged {
		return v
	}
	v.Mound = mound(spot)
	v.Swaps = t.swaps(spot, e, opts.Planned)
	switch {
	case v.Mound <= mostMound:
		v.Advice = "raise"
	case len(v.Swaps) > 0:
		v.Advice = "swap"
	default:
		v.Advice = "move"
	}
	return v
}

func metres(m float64) string { return fmt.Sprintf("%.2f m", m) }

// mound is the least height that stands the root crown clear of full-brim
// water by the freeboard, m, in whole steps; on wet ground with no pond it is
// the usual mound.
func mound(s Spot) float64 {
	h := wetGroundMound
	if d := s.depth(); d > 0 {
		h = d + math.Max(leastFreeboard, 2*s.Error)
		if s.WetnessPercentile >= wetPercentile {
			h = math.Max(h, wetGroundMound)
		}
	}
	const hair = 1e-9 // so that 0.30 in binary is not 0.35
	steps := math.Ceil(h/moundStep - hair)
	return math.Round(steps*moundStep*100) / 100
}

// raised is the spot as a tree sees it from a mound: clear of the brim there
// is no pond, and the ground is damp at most.
func raised(s Spot, h float64) Spot {
	free := math.Max(leastFreeboard, 2*s.Error)
	const hair = 1e-9
	if d := s.depth(); d > 0 && d+free <= h+hair {
		s.BrimDepth, s.InHollow = 0, false
	}
	if h >= wetGroundMound || s.WetnessPercentile < wetPercentile {
		s.WetnessPercentile = math.Min(s.WetnessPercentile, dampPercentile)
	}
	return s
}

// why says in one sentence what the spot is and what the species bears.
func why(s Spot, e *Entry, length func(float64) string) string {
	name := e.Name()
	bears := fmt.Sprintf("%s bears about %s of waterlogged roots", name, about(e.Days.Likely))
	d := s.depth()
	none := "No water is expected to stand here"
	if d == 0 && s.BrimDepth > s.film()/2 {
		none = fmt.Sprintf("The dip of %s here is no more than the error of the ground makes", length(s.BrimDepth))
	}
	switch x := exposure(s, e); x {
	case Dry:
		return none + ", and the ground is not among the wettest fifth of the site."
	case Damp:
		return none + ", though the ground is among the wettest fifth of the site; " + bears + "."
	case Wet:
		if d > 0 {
			return fmt.Sprintf("When its hollow is full this spot stands in %s of water, about as little as can be told from none; %s.", length(d), bears)
		}
		return "The ground here is among the wettest twentieth of the site, where water gathers and is slow to leave; " + bears + "."
	default:
		deeper := ""
		switch {
		case x == Over:
			deeper = ", over the head of a tree as it is planted"
		case x == Deep && e.Depth != nil:
			deeper = fmt.Sprintf(", deeper than the %s it has been seen to bear", length(*e.Depth))
		}
		return fmt.Sprintf("When its hollow is full this spot stands in %s of water%s; %s.", length(d), deeper, bears)
	}
}

// about writes days as people say them.
func about(days float64) string {
	switch n := math.Round(days); {
	case n < 1:
		return "half a day"
	case n == 1:
		return "a day"
	case n < 300:
		return fmt.Sprintf("%.0f days", n)
	default:
		return "a whole year"
	}
}
