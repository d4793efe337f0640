package species

import "fmt"

// JudgeOptions adjusts JudgeWith. The zero value is the common case.
type JudgeOptions struct {
	// Planned is the species already planned on the site. They come first
	// among the swaps, and a swap must share hardiness with all of them.
	Planned []*Entry

	// Length writes a height or depth given in metres. Nil writes metres.
	Length func(metres float64) string

	// WetHoursAt is StormDepth, above the root crown, and WetHours at the same
	// spot with its root crown raised by a mound, m. Nil leaves the hours as
	// they are until the mound stands clear of the water by 0.05 m, or twice
	// the error of the ground.
	WetHoursAt func(mound float64) (depth, hours float64)

	// LongestWetDaysAt is LongestWetDays on such a mound. Nil leaves the days
	// as they are until the mound is a usual one, 0.25 m, and stands as clear
	// of the brim of the hollow, which no year can overfill.
	LongestWetDaysAt func(mound float64) float64

	// Odds is the water of the spot on many equally likely sites. Where it is
	// given, risk, mound and swaps come from it, and WetHoursAt and
	// LongestWetDaysAt are not asked. Nil judges by the likeliest storm.
	Odds *Odds

	// Conditions are those of the tree, its soil and the storm. The zero value
	// is a new planting in still water and warm soil. A tree that has stood for
	// years is not lifted and not moved: a mound and a swap are judged as a new
	// planting in its place.
	Conditions Conditions

	// Other is the conditions of another species planted in place of this one.
	// Nil is those of this one, newly planted on a rootstock nobody named.
	Other func(*Entry) Conditions

	// Degrees writes a temperature given in °C. Nil writes °C.
	Degrees func(celsius float64) string

	// Target is the risk of losing the tree that a mound or a swap is to bring
	// it to, by odds, a share of 1. 0 is DefaultTarget; one of HighFrom or more
	// is taken as just under that, which is where a tree is no longer flagged.
	Target float64

	// Trial says that the grower tries the species out here, knowingly: its
	// risk is told, and marked as that of a trial, and it keeps its place.
	Trial bool
}

// Judge says what the spot means for the species, with nothing else planned.
func (t *Table) Judge(spot Spot, e *Entry) Verdict { return t.JudgeWith(spot, e, JudgeOptions{}) }

// JudgeWith says what the spot means for the species, newly planted there unless
// Conditions say otherwise.
//
// The days its roots are wet in and after the storm, and on end in the median
// year, are held against half of Entry.Days, which are for established trees, or
// against what Conditions make of them:
// fewer than the low days are a low risk, fewer than the likely ones moderate,
// fewer than the high ones high, and more are severe. Water deeper than the
// species bears makes it worse, and so may a water table nearer than it wants
// and ground that is wet by its lie. The risk never falls with hours, days,
// depth or a nearer water table, and never rises with tolerance.
//
// A species is flagged from High up. Advice on a flagged one is "raise" where
// a mound of half a metre or less unflags it, else "swap" where another species
// bears the spot and keeps the role, else "move". An unflagged one is to "keep"
// its place, and so is one on trial, which is never flagged.
//
// With Odds the risk is RiskOf the probability that the tree is lost, or that
// of a water table nearer than it wants where this is worse; see the package
// comment.
func (t *Table) JudgeWith(spot Spot, e *Entry, opts JudgeOptions) Verdict {
	if opts.Length == nil {
		opts.Length = metres
	}
	if opts.Degrees == nil {
		opts.Degrees = celsius
	}
	var v Verdict
	if opts.Odds != nil {
		v = t.judgeByOdds(spot, e, opts)
	} else {
		v = t.judgeByDays(spot, e, opts)
	}
	switch {
	case opts.Trial:
		v.Trial, v.Flagged = true, false
		v.Why = "A trial. " + v.Why
	case !v.Flagged:
	case v.Mound <= mostMound:
		v.Advice = "raise"
	case len(v.Swaps) > 0:
		v.Advice = "swap"
	default:
		v.Advice = "move"
	}
	return v
}

// judgeByDays is the verdict from the likeliest storm and the median year.
func (t *Table) judgeByDays(spot Spot, e *Entry, opts JudgeOptions) Verdict {
	v := Verdict{
		Risk:   e.risk(spot.stress(), opts.Conditions),
		Why:    spot.why(e, opts),
		Advice: "keep",
	}
	v.Flagged = v.Risk >= High
	if !v.Flagged || opts.Trial {
		return v
	}
	v.Mound = spot.mound(e, opts)
	x := spot.stress()
	v.Swaps = t.swaps(e, opts.Planned, func(c *Entry) Risk { return c.risk(x, opts.other(c)) })
	return v
}

// other is the conditions of another species in the place.
func (o JudgeOptions) other(e *Entry) Conditions {
	if o.Other != nil {
		return o.Other(e)
	}
	return o.Conditions.Anew()
}

func celsius(c float64) string { return fmt.Sprintf("%.0f °C", c) }

func metres(m float64) string { return fmt.Sprintf("%.2f m", m) }
