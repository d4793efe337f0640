package assess

import (
	"fmt"
	"math"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/season"
	"wetfeet/hydro/watertable"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// usualRecharge is what gets down to the water table in the wet season, m a
// day, where the state of it does not tell; common practice, no source.
const usualRecharge = 0.001

// A WaterTable is the water table of the site as someone found it, drawn out
// over the ground.
type WaterTable struct {
	*watertable.Table
	Model *watertable.Model
	State *watertable.State
}

// fitTable draws the water table through what was seen of it, if anything was.
func (r *Result) fitTable(p Plan, s *Soil, ditches []watertable.Ditch) error {
	if len(p.Wells) == 0 {
		return nil
	}
	var seen []watertable.Observation
	for _, w := range p.Wells {
		at := r.amid()
		if w.At != nil {
			places := []orb.Point{*w.At}
			if err := move(p.system(), r.Drain.Ground.CRS, places); err != nil {
				return fmt.Errorf("well %q: %w", w.Name, err)
			}
			at = places[0]
		} else {
			r.Assumptions = append(r.Assumptions, fmt.Sprintf("Nobody said where the water table was seen: the tree nearest the middle of the planting was taken, E %.1f, N %.1f.", at[0], at[1]))
		}
		seen = append(seen, watertable.Observation{Name: w.Name, At: at, Depth: w.Depth, When: w.When})
	}
	perDay := s.Rate.Median * 24 / 1000 // m/day
	m, err := watertable.Prepare(watertable.Site{
		Ground: r.Drain.Ground, Index: r.Drain.Wetness, Ditches: ditches,
		Soil: watertable.Soil{Conductivity: perDay, DrainablePorosity: s.Drainable.Likely},
	}, watertable.Options{})
	if err != nil {
		return fault.Input(err)
	}
	state, err := m.Fit(seen)
	if err != nil {
		return fault.Input(err)
	}
	r.WaterTable = &WaterTable{Table: m.Table(state), Model: m, State: state}
	r.Assumptions = append(r.Assumptions, fmt.Sprintf(
		"The water table is drawn through %s of its depth. Water was taken to move sideways through the soil at %s down to a tight layer %s below the surface, and to drain from %.0f %% of its volume.",
		count(len(seen), "reading"), quantity.FormatRate(s.Rate.Median, r.Units), quantity.FormatLength(m.Soil.BarrierDepth, r.Units), 100*s.Drainable.Likely))
	for _, note := range state.Notes {
		r.Remarks = append(r.Remarks, "Water table: "+note+".")
	}
	return nil
}

// amid is the tree on known ground nearest to the middle of all.
func (r *Result) amid() orb.Point {
	var all orb.MultiPoint
	for i := range r.Trees {
		p := r.Trees[i].Point
		if row, col, inside := r.Drain.Ground.Locate(p); inside && !terrain.IsVoid(r.Drain.Ground.At(row, col)) {
			all = append(all, p)
		}
	}
	middle, near, best := all.Bound().Center(), math.Inf(1), orb.Point{}
	for _, p := range all {
		if d := math.Hypot(p[0]-middle[0], p[1]-middle[1]); d < near {
			near, best = d, p
		}
	}
	return best
}

// depth is that of the table below a cell, m; NaN where it is not known.
func (w *WaterTable) depth(cell int) float64 {
	if w == nil {
		return math.NaN()
	}
	return float64(w.Depth.Cells[cell])
}

// season is the table as the seasons carry it along.
func (w *WaterTable) season() *season.WaterTable {
	if w == nil {
		return nil
	}
	recharge := w.State.Recharge
	if recharge < usualRecharge/10 {
		recharge = usualRecharge
	}
	return season.TableOf(w.Model, w.State, recharge)
}
