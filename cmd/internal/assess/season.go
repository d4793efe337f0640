package assess

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

// A Season is what years of weather make of the planting.
type Season struct {
	Record  *weather.Record
	Result  *season.Result
	Trees   []int     // the index in Result.Trees (of the assessment) of each position run
	Months  []float64 // mean days with wet roots by month of the year, over trees that are ever wet
	Name    string    // of the file
	Whole   int       // years that are whole
	Wettest string    // the year in which most trees had their longest wet spell
	Periods []float64 // return periods that are told, years
	Weighed bool      // an hour counts by the warmth and season of its day
}

// record reads the weather of the plan, nil if there is none. That no year of
// it is whole, or that it is too short for what is asked, is told here, before
// anything long is computed.
func (p Plan) record() (*weather.Record, error) {
	if p.Season.File == "" {
		return nil, nil
	}
	name := filepath.Base(p.Season.File)
	record, err := readWeather(p.Season.File, func(r io.Reader, name string) (*weather.Record, error) {
		return weather.ReadRecord(r, name, weather.RecordOptions{AllowGaps: !p.Season.RefuseGaps})
	})
	if err != nil {
		return nil, err
	}
	whole := 0
	for _, y := range record.Calendar() {
		if y.Whole {
			whole++
		}
	}
	switch asked := p.Season.ReturnPeriod; {
	case whole == 0:
		err = fmt.Errorf("%s: no calendar year of the record is whole, so no wet spell of a year can be told; at least one year without gaps is needed", name)
	case asked > 0 && whole < leastYears:
		err = fmt.Errorf("%s: holds %s, too few for a return period; %d are the least", name, wording.CountOne(whole, "whole year"), leastYears)
	case asked > beyond*float64(whole):
		err = fmt.Errorf("%s: holds %d whole years, too few for what happens once in %g years; up to once in %g years can be told", name, whole, asked, beyond*float64(whole))
	}
	return record, fault.Input(err)
}

// Package season tells return periods from five years on and up to 1.5 times
// the years there are.
const (
	leastYears = 5
	beyond     = 1.5
)

// usualPeriods are the return periods that are told where none is asked for,
// years, as far as the record goes.
var usualPeriods = []float64{2, 5, 10}

// runSeason carries the record of the plan through the ponds, if there is one.
func (r *Result) runSeason(ctx context.Context, p Plan, record *weather.Record, progress func(string)) error {
	if record == nil {
		return nil
	}
	name := filepath.Base(p.Season.File)
	for _, remark := range record.Remarks {
		r.Remarks = append(r.Remarks, name+": "+sentence(remark))
	}
	o, assumed, err := r.seasonOptions(p, record)
	if err != nil {
		return err
	}
	o.Progress = func(at season.Progress) {
		progress(fmt.Sprintf("season %s, %.0f s left", at.Year, at.Left.Seconds()))
	}
	s := &Season{Record: record, Name: name, Weighed: o.Weights != nil}
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround {
			continue
		}
		row, col, _ := r.Drain.Ground.Locate(t.Point)
		cell := r.Drain.Ground.Index(row, col)
		soil, zone := r.Storm.soil(cell)
		s.Trees = append(s.Trees, i)
		roots := soil.roots()
		roots.Crown = t.Built
		o.Positions = append(o.Positions, season.Position{Name: t.ID, Cell: cell, Zone: zone, Roots: roots})
	}
	level := len(o.Positions) // from here on, beneath the mounds
	for _, i := range s.Trees {
		if t := &r.Trees[i]; t.Built > 0 {
			soil, zone := r.Storm.soil(t.cell)
			o.Positions = append(o.Positions, season.Position{Name: t.ID + ", on the level", Cell: t.cell, Zone: zone, Roots: soil.roots()})
		}
	}
	if s.Result, err = season.Run(ctx, r.Storm.Site, record, o); err != nil {
		if ctx.Err() != nil {
			return err
		}
		return fault.Input(fmt.Errorf("%s: %w", name, err))
	}
	for _, remark := range s.Result.Remarks {
		r.Remarks = append(r.Remarks, name+": "+sentence(remark))
	}
	s.summarise()
	if s.Whole == 0 {
		return fault.Input(fmt.Errorf("%s: no year of the record is whole, so no wet spell of a year can be told; at least one without gaps is needed", name))
	}
	for _, years := range usualPeriods {
		if s.Whole >= leastYears && years <= beyond*float64(s.Whole) {
			s.Periods = append(s.Periods, years)
		}
	}
	if asked := p.Season.ReturnPeriod; asked > 0 && !slices.Contains(s.Periods, asked) {
		if s.Whole < leastYears || asked > beyond*float64(s.Whole) {
			return fault.Input(fmt.Errorf("%s: holds %s, too few for what happens once in %g years", name, wording.CountOne(s.Whole, "whole year"), asked))
		}
		s.Periods = append(s.Periods, asked)
		slices.Sort(s.Periods)
	}
	for k, i := range s.Trees {
		t := &r.Trees[i]
		t.LongestWetDays = season.Median(s.Longest(k))
		t.level = s.doses(k)
		if s.Weighed {
			t.Doses = &species.Doses{Temperate: t.level[temperate], Tropical: t.level[tropical]}
		}
		if t.Built > 0 {
			t.level = s.doses(level)
			level++
		}
	}
	if err := r.leastOfYears(ctx, record, o); err != nil {
		return err
	}
	r.Season = s
	r.Assumptions = append(r.Assumptions,
		fmt.Sprintf("The wet spells of years are those of %s: %s, with the growing season %s.", name, wording.CountOne(s.Whole, "whole year"), growingWords(s.Result.Growing)),
		fmt.Sprintf("Through the years the moisture of the soil was accounted %s deep, under plants that transpire as much as well-watered grass.", quantity.FormatDepth(seasonRoots, r.Units)))
	r.Assumptions = append(r.Assumptions, assumed...)
	return nil
}

// seasonOptions is the site as the years take it, without any tree, and what was
// assumed for it.
func (r *Result) seasonOptions(p Plan, record *weather.Record) (season.Options, []string, error) {
	middle, err := r.ToLonLat(r.Drain.Ground.Bound().Center())
	if err != nil {
		return season.Options{}, nil, err
	}
	o := season.Options{
		Latitude: middle[1], Elevation: meanLevel(r.Drain.Ground.Cells),
		Infiltration: r.Storm.infiltration(r.Storm.Site, r.Storm.rates()),
		WaterTable:   r.WaterTable.season(),
		WarmUp:       min(int(365*24*time.Hour/record.Step), record.Len()),
	}
	var assumed []string
	hourly := record.Step < 24*time.Hour
	for k := range r.Storm.soils {
		s := &r.Storm.soils[k]
		zone, said := s.season(hourly)
		o.Zones = append(o.Zones, zone)
		for _, words := range said {
			own, common := s.sentence(words), sentence(words) // of a zone only what is its own
			if said := slices.Concat(r.Assumptions, assumed); !slices.Contains(said, own) && !slices.Contains(said, common) {
				assumed = append(assumed, own)
			}
		}
	}
	if r.Storm.soils[0].GreenAmpt != nil && !hourly {
		assumed = append(assumed, "Green and Ampt ask how hard it rains, which a day's rain does not say: through the years the curve number tells what runs off.")
	}
	var known bool
	var said string
	o.Growing, known = p.growing(record, r.Units)
	o.Weights, said = p.weights(record, o.Growing, known)
	return o, append(assumed, said), nil
}

// growingWords writes a growing season as people say it.
func growingWords(g season.Growing) string {
	day := func(d season.Date) string { return fmt.Sprintf("%d %s", d.Day, d.Month) }
	if g.First == (season.Date{}) || g.First == (season.Date{Month: 1, Day: 1}) && g.Last == (season.Date{Month: 12, Day: 31}) {
		return "all of the year"
	}
	return fmt.Sprintf("from %s to %s (%s)", day(g.First), day(g.Last), g.How)
}

// temperature writes one given in °C.
func temperature(c float64, u quantity.Units) string {
	if u == quantity.Feet {
		return fmt.Sprintf("%.0f °F", 32+1.8*c)
	}
	return strings.Replace(fmt.Sprintf("%.1f °C", c), "-", "−", 1)
}

func meanLevel(cells []float32) float64 {
	sum, n := 0.0, 0
	for _, z := range cells {
		if z == z {
			sum += float64(z)
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// summarise works out what the page shows of all trees together.
func (s *Season) summarise() {
	s.Months = make([]float64, 12)
	ever, worst := 0, make(map[string]int)
	for k := range s.Trees {
		wet, longest, when := false, 0.0, ""
		var months [12]float64
		for y, w := range s.Result.Wetness[k] {
			if !s.Result.Years[y].Whole {
				continue
			}
			for m, h := range w.Hours {
				months[m] += h / 24
				wet = wet || h > 0
			}
			if w.Longest > longest {
				longest, when = w.Longest, s.Result.Years[y].Name
			}
		}
		if !wet {
			continue
		}
		ever++
		worst[when]++
		for m := range months {
			s.Months[m] += months[m]
		}
	}
	for _, y := range s.Result.Years {
		if y.Whole {
			s.Whole++
			if worst[y.Name] > worst[s.Wettest] {
				s.Wettest = y.Name
			}
		}
	}
	if ever > 0 && s.Whole > 0 {
		for m := range s.Months {
			s.Months[m] /= float64(ever * s.Whole)
		}
	}
}

// Longest are the longest wet spells of a tree, days, by whole year, shortest
// first. The tree is counted among those run.
func (s *Season) Longest(k int) []float64 {
	var days []float64
	for y, w := range s.Result.Wetness[k] {
		if s.Result.Years[y].Whole {
			days = append(days, w.Longest)
		}
	}
	slices.Sort(days)
	return days
}

// Once is the longest wet spell, days, that a tree sees once in so many years,
// and whether the record is long enough to say. The tree is counted among
// those run.
func (s *Season) Once(k int, years float64) (days float64, ok bool) {
	returns, err := season.ReturnsOf(s.Longest(k))
	if err != nil {
		return 0, false
	}
	days, err = returns.Once(years)
	return max(0, days), err == nil
}
