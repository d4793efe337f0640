package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"
)

// seasonRoots is the depth of the root zone whose soil moisture is accounted,
// m: that of a young orchard under grass; common practice, no source.
const seasonRoots = 0.6

// A Season is what years of weather make of the planting.
type Season struct {
	Record  *weather.Record
	Result  *season.Result
	Trees   []int     // the index in Result.Trees (of the assessment) of each position run
	Months  []float64 // mean days with wet roots by month of the year, over trees that are ever wet
	Name    string    // of the file
	Whole   int       // years that are whole
	Wettest string    // the year in which most trees had their longest wet spell
}

// runSeason carries the record of the plan through the ponds, if there is one.
func (r *Result) runSeason(ctx context.Context, p Plan, progress func(string)) error {
	if p.Season == "" {
		return nil
	}
	f, err := os.Open(p.Season)
	if err != nil {
		return fault.Input(err)
	}
	defer f.Close()
	name := filepath.Base(p.Season)
	record, err := weather.ReadRecord(f, name, weather.RecordOptions{AllowGaps: true})
	if err != nil {
		return fault.Input(err)
	}
	for _, remark := range record.Remarks {
		r.Remarks = append(r.Remarks, name+": "+sentence(remark))
	}
	_, known, _, err := p.weather()
	if err != nil {
		return err
	}
	zone, said := season.ZoneOf(known, seasonRoots)
	for _, words := range said {
		r.Assumptions = append(r.Assumptions, sentence(words))
	}
	middle, err := r.ToLonLat(r.Drain.Ground.Bound().Center())
	if err != nil {
		return err
	}
	o := season.Options{
		Zones: []season.Zone{zone}, Latitude: middle[1],
		Infiltration: []float64{r.Storm.Soaking},
		WarmUp:       min(365, record.Len()),
		Progress: func(at season.Progress) {
			progress(fmt.Sprintf("season %s, %.0f s left", at.Year, at.Left.Seconds()))
		},
	}
	if known := slices.ContainsFunc(r.Drain.Ground.Cells, func(z float32) bool { return z == z }); known {
		o.Elevation = meanLevel(r.Drain.Ground.Cells)
	}
	if record.TMin != nil {
		if growing, err := season.GrowingByTemperature(record, season.KillingFrost); err == nil {
			o.Growing = growing
		}
	}
	s := &Season{Record: record, Name: name}
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround {
			continue
		}
		row, col, _ := r.Drain.Ground.Locate(t.Point)
		s.Trees = append(s.Trees, i)
		o.Positions = append(o.Positions, season.Position{Name: t.ID, Cell: r.Drain.Ground.Index(row, col), Roots: r.Storm.Roots})
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
		return fault.Input(errors.Join(fmt.Errorf("%s: no year of the record is whole, so no wet spell of a year can be told; at least one calendar year without gaps is needed", name)))
	}
	for k, i := range s.Trees {
		r.Trees[i].LongestWetDays = s.median(k)
	}
	r.Season = s
	r.Assumptions = append(r.Assumptions, fmt.Sprintf("The wet spells of years are those of %s, %d whole years, with the growing season %s; soil moisture was accounted %s deep.",
		name, s.Whole, growingWords(s.Result.Growing), quantity.FormatDepth(seasonRoots, r.Units)))
	return nil
}

func growingWords(g season.Growing) string {
	if g == (season.Growing{}) {
		return "all year"
	}
	return fmt.Sprintf("from %s to %s (%s)", g.First, g.Last, g.How)
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

// median is the longest wet spell of the median year of a tree, days.
func (s *Season) median(k int) float64 {
	days := s.Longest(k)
	if len(days) == 0 {
		return math.NaN()
	}
	n := len(days)
	return (days[(n-1)/2] + days[n/2]) / 2
}
