package summary

import (
	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
)

// OddsFacts say what the odds were told from, and what following the advice
// would save. Intervals hold eight in ten of the draws.
type OddsFacts struct {
	Draws  int     `json:"draws"`
	Asked  int     `json:"draws_asked"` // more than draws where the work was interrupted
	Seed   uint64  `json:"seed"`
	Target float64 `json:"target"`

	LostAsPlanned *Span `json:"trees_lost_as_planned,omitempty"`
	LostAdvised   *Span `json:"trees_lost_as_advised,omitempty"`
	Saved         *Span `json:"trees_saved,omitempty"`

	Changed int      `json:"trees_changed"`
	Mounds  int      `json:"mounds"`
	Settled *float64 `json:"mound_soil_settled_m3,omitempty"`
	Loose   *float64 `json:"mound_soil_to_bring_m3,omitempty"`
}

// A Span is an expected number and an interval.
type Span struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"p10"`
	High float64 `json:"p90"`
}

func oddsFacts(r *assess.Result, a *advise.Advice) *OddsFacts {
	if r.Odds == nil {
		return nil
	}
	f := &OddsFacts{Draws: r.Odds.Draws, Asked: r.Odds.Asked, Seed: r.Odds.Seed, Target: r.Odds.Target}
	if a == nil {
		return f
	}
	span := func(l advise.Loss) *Span { return &Span{round(l.Mean, 3), round(l.Low, 3), round(l.High, 3)} }
	f.LostAsPlanned, f.LostAdvised, f.Saved = span(a.Now), span(a.Then), span(a.Saved)
	f.Changed, f.Mounds = len(a.Changes), a.Soil.Mounds
	settled, loose := round(a.Soil.Settled, 3), round(a.Soil.Loose, 3)
	f.Settled, f.Loose = &settled, &loose
	return f
}
