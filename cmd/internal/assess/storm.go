package assess

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
)

const (
	// openWater is what evaporates from shallow water on a summer day after
	// rain, mm a day; common practice, no source.
	openWater = 4

	// dryDown is how long the drying is followed after the rain, days.
	dryDown = 30
)

// sooner is how many times the water at the end of the rain must have stood
// before, for the highest water to be shown in place of that.
const sooner = 1.005

// shownDays are how long after the rain the water is shown, days.
var shownDays = []float64{1, 2, 4, 8}

// A Storm is what the storm of a plan does to the site.
type Storm struct {
	Rain     float64       // mm
	Duration time.Duration // of the rain
	Years    float64       // how seldom such a rain is; 0 where that is not known
	Runoff   float64       // of Rain, what does not soak in where it falls, mean over the site, mm
	Soaking  float64       // rate at which standing water soaks in, of the site outside its zones, mm/h
	Doubt    [2]float64    // that rate at one chance in ten less and more, mm/h
	Site     *storm.Site
	History  *storm.History
	Roots    storm.Roots        // of a tree on the level, outside the zones
	Course   weather.Hyetograph // of the rain
	Shown    []Moment           // whose water lines the sections draw

	Depth  *terrain.Grid[float32] // of the water when the rain ends, m
	Hours  *terrain.Grid[float32] // under water, in and after the storm, h
	Height *terrain.Grid[float32] // above the water of that time, ditches, flow lines and the rim, m

	RainVolume float64 // m³, on the known ground

	soils []Soil
	zone  *terrain.Grid[uint8] // nil for one soil
	rise  *rise
}

// A Moment is a time of the storm that is shown, and where its water is then.
type Moment struct {
	Name  string // "when the rain ends", "2 days after"
	Hours float64
	Peak  bool // of the highest water of each hollow, whenever that was; Hours is when most of it stood
	storm.Balance
}

// soil is that of a cell, and its zone.
func (s *Storm) soil(cell int) (*Soil, int) {
	if s.zone == nil {
		return &s.soils[0], 0
	}
	k := int(s.zone.Cells[cell])
	return &s.soils[k], k
}

// rates are how fast standing water soaks in, mm/h, by zone.
func (s *Storm) rates() []float64 {
	out := make([]float64, len(s.soils))
	for k := range s.soils {
		out[k] = s.soils[k].Rate.Median
	}
	return out
}

// infiltration is how fast standing water soaks in, mm/h, by hollow of a site
// or one for all, from what it is in each zone: nothing soaks in through a roof
// or a pavement.
func (s *Storm) infiltration(on *storm.Site, rates []float64) []float64 {
	open := func(k int) float64 { return rates[k] * (1 - s.soils[k].Known.Impervious) }
	if s.zone == nil {
		return []float64{open(0)}
	}
	return on.Mean(func(cell int) float64 { return open(int(s.zone.Cells[cell])) })
}

// lossOf is how fast standing water leaves into the ground of a site: until the
// ground below is full where it is known how deep the water table stands.
func (s *Storm) lossOf(on *storm.Site, rates []float64, w *WaterTable) storm.Loss {
	l := storm.Loss{Infiltration: s.infiltration(on, rates)}
	if w == nil {
		return l
	}
	l.Room = on.Mean(func(cell int) float64 {
		soil, _ := s.soil(cell)
		return 1000 * max(0, w.depth(cell)) * soil.Drainable.Likely
	})
	rest := max(0, w.State.Recharge) * 1000 / 24
	l.Rest = make([]float64, len(l.Room))
	for i := range l.Rest {
		l.Rest[i] = min(rest, l.Infiltration[min(i, len(l.Infiltration)-1)])
	}
	return l
}

// runStorm sends the storm over the site and lets it dry.
func (r *Result) runStorm(ctx context.Context, rain *Rain, soils []Soil, zone *terrain.Grid[uint8], links []storm.Link, ditches []watertable.Ditch) error {
	site, err := storm.Prepare(r.Drain.Hollows, storm.Options{Zone: zone, Zones: len(soils), Links: links})
	if err != nil {
		if len(links) > 0 {
			err = fault.Input(err)
		}
		return err
	}
	s := &Storm{Site: site, soils: soils, zone: zone}
	whole, err := s.pour(ctx, r, rain)
	if err != nil {
		return err
	}
	if err := s.spread(r, rain, whole, ditches); err != nil {
		return err
	}
	r.Storm = s
	r.tell(rain, whole, links)
	return nil
}

// pour sends the rain over the site and lets it dry, and returns what runs off
// each zone, mm.
func (s *Storm) pour(ctx context.Context, r *Result, rain *Rain) ([]float64, error) {
	site, soils := s.Site, s.soils
	zones := len(soils)
	first := &soils[0]
	s.Rain, s.Duration, s.Years = rain.Depth(), time.Duration(rain.Duration()*float64(time.Hour)), rain.Years
	s.Soaking, s.Doubt = first.soaking(), [2]float64{first.quantile(0.1), first.quantile(0.9)}
	s.Roots, s.Course = first.roots(), rain.Hyetograph
	excess := make([][]float64, zones)
	whole := make([]float64, zones)
	for k := range soils {
		excess[k] = soils[k].loss().Excess(nil, rain.Rain, rain.Hours)
		for _, mm := range excess[k] {
			whole[k] += mm
		}
	}
	m := site.Simulate(nil, s.lossOf(site, s.rates(), r.WaterTable))
	mm := make([]float64, zones)
	peak, ended := Moment{}, Moment{}
	for i, hours := range rain.Hours {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		for k := range mm {
			mm[k] = excess[k][i]
		}
		m.Step(storm.Step{Hours: hours, Inflow: site.Runoff(mm...)})
		ended = Moment{Name: "when the rain ends", Hours: m.Now(), Balance: m.Balance()}
		if ended.Ponded > peak.Ponded {
			peak = ended
		}
	}
	end := rain.Duration()
	if peak.Ponded > sooner*ended.Ponded {
		peak.Name, peak.Peak = "at its highest, before the rain ends", true
		s.Shown = []Moment{peak}
	} else {
		s.Shown = []Moment{ended}
	}
	dry := storm.Step{Inflow: site.Runoff(0), Evaporation: openWater / 24.0}
	before := 0.0
	for _, days := range append(shownDays, dryDown) {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		dry.Hours = 24 * (days - before)
		m.Step(dry)
		before = days
		if days == dryDown {
			break
		}
		name := fmt.Sprintf("%g days after", days)
		if days == 1 {
			name = "1 day after"
		}
		s.Shown = append(s.Shown, Moment{Name: name, Hours: end + 24*days, Balance: m.Balance()})
	}
	s.History = m.History()

	ground := float64(terrain.Known(r.Drain.Ground)) * r.Drain.Ground.CellArea()
	s.RainVolume = s.Rain / 1000 * ground
	s.Runoff = s.History.In / ground * 1000
	return whole, nil
}

// spread works out what the storm does to every cell.
func (s *Storm) spread(r *Result, rain *Rain, runoff []float64, ditches []watertable.Ditch) error {
	s.rise = newRise(s.Site, rain, s.soils, runoff)
	s.Depth = terrain.NewGrid[float32](r.Drain.Ground.Frame)
	s.History.Depth(s.Depth, rain.Duration())
	s.Hours = terrain.NewGrid[float32](r.Drain.Ground.Frame)
	s.History.HoursGrid(s.Hours, 0)
	water := hydro.Water{Depth: s.Depth}
	for _, d := range ditches {
		water.Ditches = append(water.Ditches, d.Ditch)
	}
	heights, err := r.Drain.HeightAbove(water)
	if err != nil {
		return err
	}
	s.Height = heights.Height
	return nil
}

// tell puts what was taken for the storm among the assumptions.
func (r *Result) tell(rain *Rain, whole []float64, links []storm.Link) {
	s, soils := r.Storm, r.Storm.soils
	first := &soils[0]
	r.Assumptions = slices.Concat(r.Assumptions, rain.assumed, r.drawn(links, r.Units))
	common := first.told(s.Rain, whole[0], r.Units)
	for k := range soils {
		for _, words := range soils[k].told(s.Rain, whole[k], r.Units) {
			if k == 0 || !slices.Contains(common, words) { // of a zone only what is its own
				r.Assumptions = append(r.Assumptions, soils[k].sentence(words))
			}
		}
	}
	if r.WaterTable != nil {
		r.Assumptions = append(r.Assumptions, fmt.Sprintf("Standing water soaks in until the ground between it and the water table is full; from then on %s a day leave, which the ground carries away sideways.",
			quantity.FormatRain(max(0, r.WaterTable.State.Recharge)*1000, r.Units)))
	}
	r.Assumptions = append(r.Assumptions,
		fmt.Sprintf("After the rain %s a day evaporate from standing water. The drying was followed for %d days.", quantity.FormatRain(openWater, r.Units), dryDown))
}

// standing is the deepest water that stands at a cell in the storm, m, and
// how long the roots of a tree there are wet, h, on a mound of some height.
func (s *Storm) standing(cell int, mound float64) (depth, hours float64) {
	return s.wet(s.Site, s.History, cell, mound)
}

// Words says the storm in a sentence.
func (s *Storm) Words(u quantity.Units) string {
	seldom := ""
	if s.Years > 0 {
		seldom = fmt.Sprintf(", as falls about once in %s years,", twoDigits(s.Years))
	}
	return fmt.Sprintf("The storm: %s of rain in %s%s of which %s; standing water soaks in at %s.",
		quantity.FormatRain(s.Rain, u), hours(s.Duration.Hours()), cmp.Or(seldom, ","), runsOff(s.Runoff, u), quantity.FormatRate(s.Soaking, u))
}

// runsOff says so much rain, mm, to run off, or none where the figure would
// round to that.
func runsOff(mm float64, u quantity.Units) string {
	s := quantity.FormatRain(mm, u)
	if s == quantity.FormatRain(0, u) {
		return "none runs off"
	}
	return s + " run off"
}

// Spell writes a time of so many hours as people say it.
func Spell(hours float64) string {
	switch days := hours / 24; {
	case hours <= 0:
		return "never"
	case hours < 1:
		return "under 1 h"
	case hours < 36:
		return fmt.Sprintf("%.0f h", hours)
	case days < 10:
		return fmt.Sprintf("%.1f days", days)
	default:
		return fmt.Sprintf("%.0f days", days)
	}
}
