package assess

import (
	"fmt"
	"math"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/wording"
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
	wells := p.learnedWells()
	if len(wells) == 0 {
		return nil
	}
	var seen []watertable.Observation
	for _, w := range wells {
		at := r.amid()
		if w.At != nil {
			places := []orb.Point{*w.At}
			if err := move(p.system(), r.Drain.Ground.CRS, places); err != nil {
				return fmt.Errorf("well %q: %w", w.Name, err)
			}
			at = places[0]
		} else {
			r.Assumptions = append(r.Assumptions, fmt.Sprintf("Nobody said where the water table was seen: the tree nearest the middle of the planting was taken, %s.", r.Where(at)))
		}
		seen = append(seen, watertable.Observation{Name: w.Name, At: at, Depth: w.Depth, When: w.When})
	}
	ground := watertable.Site{
		Ground: r.Drain.Ground, Index: r.Drain.Wetness, Ditches: ditches,
		Soil: watertable.Soil{Conductivity: s.Rate.Median * 24 / 1000, DrainablePorosity: s.Drainable.Likely}, // m/day
	}
	quicker, err := sideways(ground, seen)
	if err != nil {
		return err
	}
	ground.Soil.Conductivity *= quicker
	m, state, err := fitted(ground, watertable.Options{}, seen)
	if err != nil {
		return err
	}
	r.WaterTable = &WaterTable{Table: m.Table(state), Model: m, State: state}
	how := "as fast as it soaks in"
	if quicker != 1 {
		how = fmt.Sprintf("%s times as fast as it soaks in, since only so would the table stay where it was seen while about %s a day come down to it", twoDigits(quicker), quantity.FormatRain(1000*usualRecharge, r.Units))
	}
	r.Assumptions = append(r.Assumptions,
		fmt.Sprintf("The water table is drawn through %s of its depth. Water was taken to move sideways through the soil %s, down to a tight layer %s below the surface. More wells, read on one day, say more.",
			wording.CountOne(len(seen), "reading"), how, quantity.FormatLength(m.Soil.BarrierDepth, r.Units)))
	for _, note := range state.Notes {
		r.Remarks = append(r.Remarks, "Water table: "+note+".")
	}
	return nil
}

// fitted is the water table of a site through what was seen of it.
func fitted(ground watertable.Site, o watertable.Options, seen []watertable.Observation) (*watertable.Model, *watertable.State, error) {
	m, err := watertable.Prepare(ground, o)
	if err != nil {
		return nil, nil, fault.Input(err)
	}
	state, err := m.Fit(seen)
	return m, state, fault.Input(err)
}

// sideways is how many times as fast as the soil lets water in it lets it
// through sideways. How far flat land drains is known least of all: tables of
// soils are out by ten times and more, and cracks, layers and drains that
// nobody drew all carry water. The depth that was seen says more. It is taken
// to have been steady while the usual recharge came, so the factor is raised
// or lowered until the fit needs about that. Without this a
// season would carry a table that was seen deep up to the ground and keep it
// there. It is tried on a coarse grid.
//
// That a table seen deep keeps flagging more than its depth alone would is
// meant: clay loam has about 4 % of its volume for water to drain from, so 30
// mm that get down to the table raise it by three quarters of a metre, and the
// low ground of a site lies nearer to it than the place where it was seen.
func sideways(ground watertable.Site, seen []watertable.Observation) (float64, error) {
	const tried, step, most = 1 << 16, 2, 1 << 12
	f := ground.Ground.Frame
	o := watertable.Options{Cell: f.CellSize * math.Ceil(math.Sqrt(float64(f.Len())/tried))}
	conductivity := ground.Soil.Conductivity
	recharge := func(times float64) (float64, error) {
		ground.Soil.Conductivity = conductivity * times
		_, state, err := fitted(ground, o, seen)
		if err != nil {
			return 0, err
		}
		return state.Recharge, nil
	}
	times := 1.0
	at, err := recharge(times)
	for err == nil && at < 0.8*usualRecharge && times < most {
		times *= step
		at, err = recharge(times)
	}
	for err == nil && at > 1.6*usualRecharge && times > 1.0/most {
		times /= step
		at, err = recharge(times)
	}
	return times, err
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
