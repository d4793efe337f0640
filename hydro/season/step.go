package season

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
)

func newRunner(site *storm.Site, record *weather.Record, o *Options, et []float64) (*runner, error) {
	r := &runner{site: site, record: record, o: o, et: et, step: record.Step.Hours(), resting: true}
	unit := make([]float64, site.Zones())
	for k := range unit {
		clear(unit)
		unit[k] = 1000
		a := site.Runoff(unit...).Total()
		r.total += a
		if k < len(o.Zones) {
			r.zones = append(r.zones, newBucket(&o.Zones[k]))
			r.area = append(r.area, a)
		} else {
			r.area[0] += a // one soil for all zones
		}
	}
	if o.WaterTable != nil {
		var err error
		if r.table, err = newTable(o.WaterTable, site.Hollows().Ground()); err != nil {
			return nil, err
		}
	}
	r.bed = newBed(site, r.table, o.Infiltration)
	r.ponds = site.Simulate(nil, storm.Loss{Infiltration: r.bed.free})
	cells := make([]int, len(o.Positions))
	for i := range cells {
		cells[i] = o.Positions[i].Cell
	}
	r.ponds.Watch(cells...)
	r.runoff = make([]float64, len(r.zones))
	return r, nil
}

func (r *runner) watchers() ([]watcher, error) {
	list := make([]watcher, len(r.o.Positions))
	var bad []error
	for i := range list {
		p := &r.o.Positions[i]
		list[i] = watcher{Position: p}
		if r.table != nil {
			var ok bool
			if list[i].under, ok = r.table.below(r.site.Hollows().Frame, p.Cell); !ok {
				bad = append(bad, fmt.Errorf("position %d %s: the water table is not known there", i, p.Name))
			}
		}
	}
	return list, errors.Join(bad...)
}

// pass lets step i of the record pass and returns the runoff, mm over the site.
func (r *runner) pass(i int) float64 {
	rain, et := r.record.Rain[i], r.et[i]
	if math.IsNaN(rain) {
		rain = 0 // the year is marked, and the result says so
	}
	room := math.Inf(1)
	if r.table != nil {
		room = r.table.roomAt(r.table.mean)
	}
	isNewDay := r.step == dayLength || i == 0 || r.record.Time(i).Hour() == 0
	percolated, ran := 0.0, 0.0
	for k, z := range r.zones {
		if isNewDay {
			z.newDay()
		}
		f := z.step(rain, et, r.step, room)
		r.runoff[k] = f.runoff
		cubic := r.area[k] / 1000
		ran += float64(f.runoff * cubic)
		percolated += float64(f.percolated * cubic)
		r.sum.Transpired += float64(f.transpired * cubic)
		r.sum.Rain += float64(rain * cubic)
	}
	soaked := r.carry(ran > 0, weather.OpenWater(et)/r.step)
	recharge := percolated + soaked
	r.sum.Soaked += recharge
	if r.table == nil {
		r.sum.Drained += recharge
	} else {
		r.sum.Drained += r.table.step(1000*recharge/r.total, r.step) * r.total / 1000
	}
	return 1000 * ran / r.total
}

// carry lets the step pass over the ponds and returns what soaked out of them,
// m³. Evaporation is mm/h. While nothing stands and nothing comes, they are left
// alone: dry days cost nothing.
func (r *runner) carry(isWet bool, evaporation float64) float64 {
	if r.resting && !isWet {
		r.ahead += r.step
		return 0
	}
	r.catchUp()
	hours := r.step
	if r.table != nil {
		r.ponds.Infiltrate(r.bed.rates(r.table, hours))
	}
	if isWet {
		w := storm.Step{Hours: hours, Evaporation: evaporation, Inflow: r.site.Runoff(r.runoff...)}
		if h := r.o.RainHours; h > 0 {
			w.Hours = h
		}
		r.ponds.Step(w)
		hours -= w.Hours
	}
	r.ponds.Step(storm.Step{Hours: hours, Evaporation: evaporation})
	r.resting = r.ponds.Resting()
	before := r.soaked
	r.soaked = r.ponds.Gone().Soaked
	return r.soaked - before
}

// catchUp lets the dry time pass that the ponds lag behind.
func (r *runner) catchUp() {
	r.ponds.Step(storm.Step{Hours: r.ahead})
	r.ahead = 0
}

// standing is the water that stands now, m³.
func (r *runner) standing() float64 {
	if r.resting {
		return 0
	}
	g := r.ponds.Gone()
	return max(g.In-g.Left-g.Soaked-g.Evaporated, 0)
}

// A stand is where the water is at a time, m³.
type stand struct {
	ponds       storm.Balance
	soil, table float64
}

func (r *runner) stand() stand {
	s := stand{ponds: r.ponds.Balance()}
	for k, z := range r.zones {
		s.soil += float64(z.held() * r.area[k] / 1000)
	}
	if r.table != nil {
		s.table = r.table.stored() * r.total / 1000
	}
	return s
}

func (r *runner) balance(start stand) Balance {
	end := r.stand()
	b := r.sum
	b.Ponded = end.ponds.Ponded - start.ponds.Ponded
	b.Left = end.ponds.Left - start.ponds.Left
	b.Evaporated = end.ponds.Evaporated - start.ponds.Evaporated
	b.Soil, b.Table = end.soil-start.soil, end.table-start.table
	return b
}
