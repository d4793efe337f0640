package season

import (
	"context"
	"fmt"
	"math"
	"time"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
)

// Progress is how far a run has come.
type Progress struct {
	Step, Steps   int // done, and all there are
	Year          string
	Elapsed, Left time.Duration // Left is an estimate
}

// A Result is the seasons of a site.
type Result struct {
	Years   []Year
	Wetness [][]Wetness // by position and year
	Longest []Spell     // by position: of all the record, across years
	Growing Growing
	Balance Balance

	// By step of the record: runoff, mm over the site; water standing at the
	// end, m³; and the mean depth of the water table then, m, nil without one.
	Runoff, Ponded, WaterTable []float64

	Missing int      // steps whose rain is not known
	Remarks []string // what a reader of the report should know

	criterion int // days on end of Options.Criterion, 0 without one
}

// A Balance says where all rain went, m³. Rain is Ponded + Left + Evaporated +
// Transpired + Drained + Soil + Table, the first and the last two being the
// change from the start.
type Balance struct {
	Rain       float64
	Ponded     float64
	Left       float64 // over ground and by outlets
	Soaked     float64 // out of ponds, and through the root zone, into what lies below
	Evaporated float64 // from standing water
	Transpired float64 // from soil and by plants
	Soil       float64
	Drained    float64 // by ditches and drains out of the ground, or to the deep; all of Soaked without a water table
	Table      float64 // kept by the ground below the roots
}

// Error is what a balance lacks, m³.
func (b Balance) Error() float64 {
	return b.Rain - (b.Ponded + b.Left + b.Soaked + b.Evaporated + b.Transpired + b.Soil)
}

// Below is what the balance of the water table lacks, m³.
func (b Balance) Below() float64 { return b.Soaked - b.Drained - b.Table }

// A runner is a run under way.
type runner struct {
	site   *storm.Site
	record *weather.Record
	o      *Options
	et     []float64
	step   float64 // hours

	zones   []*bucket
	area    []float64 // m², by zone
	total   float64
	table   *table
	bed     *bed
	ponds   *storm.Simulation
	resting bool
	ahead   float64 // hours that the ponds lag behind, all of them dry

	soaked float64 // out of ponds, m³, until now
	sum    Balance
	runoff []float64
}

// Run carries a record through the soil, the ponds and the water table of a
// site. It stops with the error of the context when that is done. An input that
// makes no sense is an error that names all that is wrong with it.
func Run(ctx context.Context, site *storm.Site, record *weather.Record, o Options) (*Result, error) {
	r, res, err := begin(site, record, &o)
	if err != nil {
		return nil, err
	}
	watchers, err := r.watchers()
	if err != nil {
		return nil, err
	}
	res.Wetness = make([][]Wetness, len(watchers))
	for p := range res.Wetness {
		res.Wetness[p] = make([]Wetness, len(res.Years))
	}
	err = r.through(ctx, res, func(n int, c *chapter) {
		terrain.Bands(len(watchers), func(lo, hi int) {
			for p := lo; p < hi; p++ {
				res.Wetness[p][n] = watchers[p].read(c)
			}
		})
	})
	if err != nil {
		return nil, err
	}
	for p := range watchers {
		s := watchers[p].best
		spell := Spell{Days: (s.To - s.From) / dayLength}
		if spell.Days > 0 {
			spell.From = record.Start.Add(time.Duration(math.Round(s.From * float64(time.Hour))))
		}
		res.Longest = append(res.Longest, spell)
	}
	return res, nil
}

// begin makes ready for a record, with a result that holds its years and no
// wetness.
func begin(site *storm.Site, record *weather.Record, o *Options) (*runner, *Result, error) {
	if err := o.check(site, record); err != nil {
		return nil, nil, err
	}
	res := &Result{Growing: o.Growing.whole(), Remarks: append([]string(nil), record.Remarks...)}
	et, how, err := record.ReferenceET(o.Latitude, o.Elevation)
	if err != nil {
		return nil, nil, err
	}
	res.Remarks = append(res.Remarks, "reference evapotranspiration "+how)
	et, filled, err := fillGaps(record, et)
	if err != nil {
		return nil, nil, err
	}
	if filled > 0 {
		res.Remarks = append(res.Remarks, fmt.Sprintf("evapotranspiration of %d steps was missing and taken as the mean of its month", filled))
	}
	if o.Criterion != nil {
		res.criterion = o.Criterion.Days
	}
	res.Years = years(record, res.Growing)
	for _, y := range res.Years {
		res.Missing += y.Missing
	}
	for _, g := range record.Gaps {
		res.Remarks = append(res.Remarks, "no rain known: "+g.String())
	}
	r, err := newRunner(site, record, o, et)
	return r, res, err
}

// through carries the record through the stores, and shows every year to read
// once it is over.
func (r *runner) through(ctx context.Context, res *Result, read func(n int, c *chapter)) error {
	o, record := r.o, r.record
	began := time.Now()
	scales := make([]scale, len(o.Weights))
	for k, weights := range o.Weights {
		scales[k] = newScale(weights, r.step)
	}
	all := record.Len() + o.WarmUp
	tell := func(done int, year string) {
		if o.Progress != nil && (done%16 == 0 || done == all) {
			p := Progress{Step: done, Steps: all, Year: year, Elapsed: time.Since(began)}
			if done > 0 {
				p.Left = time.Duration(float64(p.Elapsed) * float64(all-done) / float64(done))
			}
			o.Progress(p)
		}
	}
	for i := range o.WarmUp {
		if err := ctx.Err(); err != nil {
			return err
		}
		r.pass(i)
		tell(i+1, "warm-up")
	}
	r.catchUp()
	shift := r.ponds.Now()
	r.ponds.Forget()
	start := r.stand()
	r.sum = Balance{}

	res.Runoff, res.Ponded = make([]float64, record.Len()), make([]float64, record.Len())
	if r.table != nil {
		res.WaterTable = make([]float64, record.Len())
	}
	for n := range res.Years {
		y := &res.Years[n]
		c := &chapter{year: y, step: r.step, start: record.Start, shift: shift, limit: o.Criterion, scales: scales}
		c.midnight = float64(record.Start.Hour()) + float64(record.Start.Minute())/60
		c.filled = make([][]bool, len(r.zones))
		for i := y.From; i < y.To; i++ {
			if err := ctx.Err(); err != nil {
				return err
			}
			res.Runoff[i] = r.pass(i)
			res.Ponded[i] = r.standing()
			for k, z := range r.zones {
				c.filled[k] = append(c.filled[k], z.filled)
			}
			if r.table != nil {
				c.table = append(c.table, r.table.now)
				res.WaterTable[i] = r.table.mean.Depth(&r.table.now)
			}
			tell(o.WarmUp+i+1, y.Name)
		}
		r.catchUp()
		if len(o.Positions) > 0 {
			c.history = r.ponds.History()
			read(n, c)
		}
		r.ponds.Forget()
	}
	res.Balance = r.balance(start)
	return nil
}
