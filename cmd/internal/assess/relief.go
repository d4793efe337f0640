package assess

import (
	"wetfeet/hydro/relief"
	"wetfeet/hydro/storm"
)

// ReliefStorm is the storm of the site, to try cuts and pipes with: to the end
// of the rain and then of the drying, with the cells of all trees watched.
func (r *Result) ReliefStorm() (*relief.Storm, error) {
	rain, err := r.basis.plan.rain()
	if err != nil {
		return nil, err
	}
	s := r.Storm
	var watch []int
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			watch = append(watch, t.cell)
		}
	}
	excess := make([][]float64, len(s.soils))
	for k := range s.soils {
		excess[k] = s.soils[k].loss().Excess(nil, rain.Rain, rain.Hours)
	}
	return &relief.Storm{
		Options: storm.Options{Zone: s.zone, Zones: len(s.soils), Links: r.basis.links},
		Steps: func(on *storm.Site) []storm.Step {
			var steps []storm.Step
			mm := make([]float64, len(s.soils))
			for i, hours := range rain.Hours {
				for k := range mm {
					mm[k] = excess[k][i]
				}
				steps = append(steps, storm.Step{Hours: hours, Inflow: on.Runoff(mm...)})
			}
			return append(steps, storm.Step{Hours: 24 * dryDown, Inflow: on.Runoff(0), Evaporation: openWater / 24.0})
		},
		Watch: watch,
		Loss:  func(on *storm.Site) storm.Loss { return s.lossOf(on, s.rates(), r.WaterTable) },
	}, nil
}

// WetIn is the deepest water over the root crown of a tree, m, and how long
// its roots are wet, h, as it is planned, in a run of the storm of
// [Result.ReliefStorm].
func (r *Result) WetIn(t *Tree, on *storm.Site, h *storm.History) (depth, hours float64) {
	return r.Storm.wet(on, h, t.cell, t.Built)
}
