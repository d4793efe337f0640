package report

import (
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/hydro/storm"
)

// watersOf are the water at each moment that is shown. Without a storm there
// is none.
func watersOf(r *assess.Result) []brim.Water {
	if r.Storm == nil {
		return nil
	}
	var out []brim.Water
	for _, m := range r.Storm.Shown {
		if m.Peak {
			out = append(out, brim.AtPeak(r.Storm.Site.Hollows(), r.Storm.History))
			continue
		}
		out = append(out, brim.At(r.Storm.Site.Hollows(), r.Storm.History, m.Hours))
	}
	return out
}

// rainEnds is when the rain ends, h from its start: times on the page count
// from there, as people do.
func rainEnds(r *assess.Result) float64 { return r.Storm.Duration.Hours() }

// leafAt is the leaf, among the hollows of the storm, that a place drains to.
func leafAt(r *assess.Result, row, col int) (int, bool) {
	hs := r.Storm.Site.Hollows()
	if !hs.Holds(row, col) {
		return 0, false
	}
	i := int(hs.Inner[hs.Index(row, col)]) - 1
	return i, i >= 0
}

// lastAbove is when the water whose levels are given is last above a level, h,
// and whether it ever is. It is +Inf where it still is at the end.
func lastAbove(levels []storm.Point, z float64) (hours float64, ever bool) {
	for n := len(levels) - 1; n >= 0; n-- {
		if levels[n].Level <= z {
			continue
		}
		if n == len(levels)-1 {
			return math.Inf(1), true
		}
		a, b := levels[n], levels[n+1]
		return a.Hours + (b.Hours-a.Hours)*((a.Level-z)/(a.Level-b.Level)), true
	}
	return 0, false
}

// firstAbove is when that water is first above a level, h; it must be at some
// time.
func firstAbove(levels []storm.Point, z float64) float64 {
	for n, b := range levels {
		if b.Level <= z {
			continue
		}
		if n == 0 {
			return b.Hours
		}
		a := levels[n-1]
		return a.Hours + (b.Hours-a.Hours)*((z-a.Level)/(b.Level-a.Level))
	}
	return math.NaN()
}

// dryWords says how long after the rain a place is dry that is last wet at a
// time.
func dryWords(r *assess.Result, last float64) string {
	switch after := last - rainEnds(r); {
	case math.IsInf(last, 1):
		return "wet for over " + assess.Spell(r.Storm.History.Hours-rainEnds(r))
	case after <= 0:
		return "dry when the rain ends"
	default:
		return "dry after " + assess.Spell(after)
	}
}
