package season

import (
	"errors"
	"fmt"
	"math"
	"time"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/hydro/weather"
)

// Options are a site beside its ground, and what is asked of its seasons.
type Options struct {
	Zones []Zone // one for all of the site, or as many as the site has

	Latitude, Elevation float64 // degrees and m, for evaporation by temperatures

	// Infiltration is how fast standing water soaks in, mm/h, as in
	// storm.Loss: by hollow, or one for all, or none for nothing.
	Infiltration []float64

	// WaterTable is nil where there is none within reach.
	WaterTable *WaterTable

	Growing   Growing
	Positions []Position

	// RainHours is for how long the rain of a wet step falls, from its start,
	// as it reaches the ponds. 0 is all of the step.
	RainHours float64

	// WarmUp is how many steps at the start of the record are run once before
	// it, so that it does not begin at field capacity without ponds. 0 is none.
	WarmUp int

	// Weights, each with one for every step of the record, say what an hour in
	// it counts: they have Wetness.Doses told.
	Weights [][]float64

	// Criterion, if it is not nil, has Wetness.Run counted.
	Criterion *watertable.Criterion

	// Progress, if it is not nil, is called every few steps, one call at a
	// time.
	Progress func(Progress)
}

func (o *Options) check(site *storm.Site, record *weather.Record) error {
	var bad []error
	if n := site.Zones(); len(o.Zones) != 1 && len(o.Zones) != n {
		bad = append(bad, fmt.Errorf("soils for %d zones, the site has %d", len(o.Zones), n))
	}
	for k := range o.Zones {
		if err := o.Zones[k].Check(); err != nil {
			bad = append(bad, fmt.Errorf("zone %d: %w", k, err))
		}
	}
	if n := len(site.Hollows().All); len(o.Infiltration) > 1 && len(o.Infiltration) != n {
		bad = append(bad, fmt.Errorf("infiltration of %d hollows, the site has %d", len(o.Infiltration), n))
	}
	for i, f := range o.Infiltration {
		if !(f >= 0) || math.IsInf(f, 1) {
			bad = append(bad, fmt.Errorf("infiltration %g mm/h of hollow %d is not 0 or more", f, i))
			break
		}
	}
	if o.WaterTable != nil {
		bad = append(bad, o.WaterTable.check())
	}
	bad = append(bad, o.Growing.Check())
	for p := range o.Positions {
		if err := o.Positions[p].check(site.Hollows().Ground(), len(o.Zones)); err != nil {
			bad = append(bad, fmt.Errorf("position %d %s: %w", p, o.Positions[p].Name, err))
		}
	}
	hours := record.Step.Hours()
	if !(hours > 0) || hours > dayLength {
		bad = append(bad, fmt.Errorf("the record has steps of %g hours, not of a day or an hour", hours))
	}
	if !(o.RainHours >= 0 && o.RainHours <= hours) {
		bad = append(bad, fmt.Errorf("the rain of a step of %g hours cannot fall in %g", hours, o.RainHours))
	}
	if record.Len() == 0 {
		bad = append(bad, errors.New("the record is empty"))
	}
	for k, weights := range o.Weights {
		if len(weights) != record.Len() {
			bad = append(bad, fmt.Errorf("weights %d of %d steps, the record has %d", k, len(weights), record.Len()))
		}
		for i, w := range weights {
			if !(w >= 0) || math.IsInf(w, 1) {
				bad = append(bad, fmt.Errorf("weight %d of step %d is %g, not 0 or more", k, i, w))
				break
			}
		}
	}
	if o.WarmUp < 0 || o.WarmUp > record.Len() {
		bad = append(bad, fmt.Errorf("a warm-up of %d steps is not from 0 to the %d of the record", o.WarmUp, record.Len()))
	}
	for i, v := range record.Rain {
		if v < 0 || math.IsInf(v, 0) {
			bad = append(bad, fmt.Errorf("rain of %g mm on %s", v, record.Time(i).Format(time.DateOnly)))
			break
		}
	}
	return errors.Join(bad...)
}

// fillGaps replaces missing evapotranspiration by the mean of its month of the
// calendar, or of the record where the month was never measured.
func fillGaps(r *weather.Record, et []float64) ([]float64, int, error) {
	missing := 0
	var sum, n [13]float64 // by month; 0 is all
	for i, v := range et {
		if math.IsNaN(v) {
			missing++
			continue
		}
		if v < 0 || math.IsInf(v, 0) {
			return nil, 0, fmt.Errorf("evapotranspiration of %g mm on %s", v, r.Time(i).Format(time.DateOnly))
		}
		for _, m := range [2]int{0, int(r.Time(i).Month())} {
			sum[m] += v
			n[m]++
		}
	}
	if missing == 0 {
		return et, 0, nil
	}
	if n[0] == 0 {
		return nil, 0, errors.New("the record has no evapotranspiration, and no temperatures to find it by, on any day")
	}
	out := append([]float64(nil), et...)
	for i, v := range out {
		if math.IsNaN(v) {
			m := int(r.Time(i).Month())
			if n[m] == 0 {
				m = 0
			}
			out[i] = sum[m] / n[m]
		}
	}
	return out, missing, nil
}
