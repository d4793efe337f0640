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
}

// Judge says what the spot means for the species, with nothing else planned.
func (t *Table) Judge(spot Spot, e *Entry) Verdict { return t.JudgeWith(spot, e, JudgeOptions{}) }

// JudgeWith says what the spot means for the species, newly planted there.
//
// The days its roots are wet in and after the storm, and on end in the median
// year, are held against half of Entry.Days, which are for established trees:
// fewer than the low days are a low risk, fewer than the likely ones moderate,
// fewer than the high ones high, and more are severe. Water deeper than the
// species bears makes it worse, and so may a water table nearer than it wants
// and ground that is wet by its lie. The risk never falls with hours, days,
// depth or a nearer water table, and never rises with tolerance.
//
// A species is flagged from High up. Advice on a flagged one is "raise" where
// a mound of half a metre or less unflags it, else "swap" where another species
// bears the spot and keeps the role, else "move". An unflagged one is to "keep"
// its place.
func (t *Table) JudgeWith(spot Spot, e *Entry, opts JudgeOptions) Verdict {
	if opts.Length == nil {
		opts.Length = metres
	}
	v := Verdict{
		Risk:   e.risk(spot.stress()),
		Why:    spot.why(e, opts.Length),
		Advice: "keep",
	}
	v.Flagged = v.Risk >= High
	if !v.Flagged {
		return v
	}
	v.Mound = spot.mound(e, opts)
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
