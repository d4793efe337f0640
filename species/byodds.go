package species

import "math"

// DefaultTarget is the risk that a mound or a swap is to bring a tree under
// where the grower asks for none: of five trees one. Common practice, no
// source.
const DefaultTarget = 0.20

// target is the risk advice is to reach, always one that unflags.
func (o JudgeOptions) target() float64 {
	if !(o.Target > 0) {
		return DefaultTarget
	}
	return math.Min(o.Target, math.Nextafter(HighFrom, 0))
}

// judgeByOdds is the verdict from the draws of the spot. Its water is that of
// the draws, and so is the doubt in it: neither depth and hours of the
// likeliest storm, nor the error of the ground, nor its wetness index counts
// any more. A water table nearer than the species wants does, as it is no
// part of the draws.
func (t *Table) judgeByOdds(spot Spot, e *Entry, opts JudgeOptions) Verdict {
	o := opts.Odds
	o.check()
	tolerance := e.Tolerance(opts.Conditions)
	here := o.soak(0)
	table := spot.stress().table
	v := Verdict{ByOdds: true, Tolerance: tolerance.Days, Odds: here.loss(tolerance), Advice: "keep"}
	v.Risk = max(RiskOf(v.Odds), e.tableRisk(table))
	v.OddsRaised, v.OddsSwapped = v.Odds, v.Odds
	if e.tableRisk(table) > RiskOf(v.Odds) {
		v.Why = whyTable(e, table, opts)
	} else {
		v.Why = whyOdds(e, tolerance, here, v.Odds, opts)
	}
	v.Flagged = v.Risk >= High
	if !v.Flagged || opts.Trial {
		return v
	}
	raised := tolerance
	if opts.Conditions.Years > 0 { // a tree that stands is not lifted: another is planted on the mound
		again := opts.Conditions
		again.Years = 0
		raised = e.Tolerance(again)
	}
	v.Mound = o.mound(e, raised, table, opts.target())
	v.OddsRaised = o.soak(math.Min(v.Mound, highestMound)).loss(raised)
	odds := func(c *Entry) float64 { return here.loss(c.Tolerance(opts.other(c))) }
	v.Swaps = t.swaps(e, opts.Planned, func(c *Entry) Risk {
		p := odds(c)
		if p > opts.target() {
			return Severe
		}
		return max(RiskOf(p), c.tableRisk(table))
	})
	if len(v.Swaps) > 0 {
		v.OddsSwapped = odds(v.Swaps[0])
	}
	return v
}

// mound is the least height, in whole steps, that brings the risk to the
// target and clears the water table, m; +Inf where none does.
func (o *Odds) mound(e *Entry, t Tolerance, table, target float64) float64 {
	least, ok := o.LeastMound(t, target)
	if !ok {
		return math.Inf(1)
	}
	const hair = 1e-9
	for step := max(1, int(math.Ceil(least*moundSteps-hair))); step <= highestMound*moundSteps; step++ {
		if h := float64(step) / moundSteps; e.tableRisk(table+h) < High {
			return h
		}
	}
	return math.Inf(1)
}
