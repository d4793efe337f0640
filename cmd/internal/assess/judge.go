package assess

import (
	"errors"
	"math"

	"wetfeet/cmd/internal/fault"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
)

// place reads off the ground and the storm what each tree stands in.
func (r *Result) place(errorAt *terrain.Grid[float32]) error {
	var wet []float32
	var on []int
	for i := range r.Trees {
		t := &r.Trees[i]
		if cell, known := r.spot(t, errorAt); known {
			wet = append(wet, r.Drain.Wetness.Cells[cell])
			on = append(on, i)
		}
	}
	if len(on) == 0 {
		return fault.Input(errors.New("every planned tree lies on a gap of the ground, where no elevation is known"))
	}
	for k, p := range percentiles(r.Drain.Wetness, wet) {
		r.Trees[on[k]].WetnessPercentile = p
	}
	return nil
}

// spot reads off the ground and the storm what a tree stands in: all but the
// rank of its wetness and the years. It returns its cell, and whether it lies
// on known ground.
func (r *Result) spot(t *Tree, errorAt *terrain.Grid[float32]) (cell int, known bool) {
	d := r.Drain
	t.Ponding, t.Depths, t.Hours, t.Usual, t.Rare = math.NaN(), unknown, unknown, unknown, unknown
	row, col, inside := d.Ground.Locate(t.Point)
	if !inside || terrain.IsVoid(d.Ground.At(row, col)) {
		t.Why = "This position is off the known ground, so nothing can be said of it."
		return 0, false
	}
	k := d.Ground.Index(row, col)
	t.OnGround, t.cell = true, k
	t.Ground = float64(d.Ground.Cells[k])
	t.Spot = species.Spot{
		BrimDepth:    max(0, float64(d.Filled.Cells[k])-t.Ground-t.Built),
		Error:        d.Error,
		WetnessIndex: float64(d.Wetness.Cells[k]),
	}
	if errorAt != nil {
		t.Error = float64(errorAt.Cells[k])
	}
	if outer := d.Hollows.Outer[k]; outer > 0 {
		t.Pond, t.InHollow = d.Hollows.All[outer-1].ID, true
	}
	t.StormDepth, t.WetHours = r.Storm.standing(k, t.Built)
	t.HeightAboveWater = float64(r.Storm.Height.Cells[k]) + t.Built
	t.LongestWetDays, t.WaterTable = math.NaN(), r.WaterTable.depth(k)+t.Built
	return k, true
}

// judge says what each spot means for the species planned there.
func (r *Result) judge() {
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			r.lengthen(t)
			t.Verdict = r.Weigh(i, t.Entry)
		}
	}
}

// Weigh says what the spot of a tree means for a species, whatever is planned
// there. The tree lies on known ground.
func (r *Result) Weigh(tree int, e *species.Entry) species.Verdict {
	t := &r.Trees[tree]
	o := species.JudgeOptions{
		Planned: r.Species,
		Length:  func(m float64) string { return quantity.FormatDepth(m, r.Units) },
		WetHoursAt: func(mound float64) (depth, hours float64) {
			// A mound is as high as it is above ground that is known to
			// its error, so only what stands out of that counts.
			return r.Storm.standing(t.cell, t.Built+max(0, mound-2*t.Error))
		},
		Trial:      t.Tried,
		Conditions: r.conditions(t, e, false),
		Other:      func(other *species.Entry) species.Conditions { return r.conditions(t, other, true) },
		Degrees:    func(c float64) string { return quantity.FormatTemperature(c, r.Units) },
	}
	if r.Odds != nil {
		o.Odds, o.Target = t.Draws, r.Odds.Target
	}
	v := r.basis.table.JudgeWith(t.Spot, e, o)
	if v.Mound > 0 {
		v.Mound += t.Built // above the ground as it lies
	}
	return v
}
