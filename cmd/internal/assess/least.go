package assess

import (
	"context"

	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
)

// leastOfYears works out, for the trees on which the storm is too small to tell
// from it how long they are wet on each draw, how long the usual year of the
// likeliest ground wets them at each height of the crown.
func (r *Result) leastOfYears(ctx context.Context, record *weather.Record, o season.Options) error {
	o.Positions, o.Progress = nil, nil
	var which []int
	for i := range r.Trees {
		t := &r.Trees[i]
		if !(r.longer(t, temperate) > mostTimes || r.longer(t, tropical) > mostTimes) {
			continue
		}
		soil, zone := r.Storm.soil(t.cell)
		which = append(which, i)
		o.Positions = append(o.Positions, season.Position{Name: t.ID, Cell: t.cell, Zone: zone, Roots: soil.roots()})
	}
	if len(which) == 0 {
		return nil
	}
	spells, err := season.RunSpells(ctx, r.Storm.Site, record, o, r.Odds.Heights)
	if err != nil {
		return err
	}
	var days []float64
	for k, i := range which {
		t := &r.Trees[i]
		for kind := range t.levelHours {
			hours := make([]float64, len(r.Odds.Heights))
			for h := range hours {
				if o.Weights != nil {
					days = spells.Dose(days[:0], kind, h, k)
				} else {
					days = spells.Longest(days[:0], h, k)
				}
				hours[h] = 24 * season.Median(days)
			}
			t.levelHours[kind] = hours
		}
	}
	return nil
}
