package assess

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/site"
	"wetfeet/cmd/internal/wording"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/field"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// learnedSoaking puts what was learned of how fast water soaks in in the place
// of what was stated. All zones are off by as many standard deviations as the
// rest of the site: whoever read its soils off a table was wrong about all of
// them in the same way.
func (p Plan) learnedSoaking(soils []Soil) {
	l := p.Learned
	if l.Soaking == 0 {
		return
	}
	first := soils[0].Rate
	off := math.Log10(l.Soaking/first.Median) / first.Spread
	narrower := l.Spread / first.Spread
	for k := range soils {
		s := &soils[k]
		before := s.Rate.Median
		s.Rate.Median *= math.Pow(10, s.Rate.Spread*off)
		s.Rate.Spread *= narrower
		s.Rate.Source = "learned from what was seen on this site, beside " + s.Rate.Source
		if s.GreenAmpt != nil {
			s.GreenAmpt.K *= s.Rate.Median / before
		}
	}
}

// learnedWells are the depths of the water table as far as it was learned that
// they are others, or where nobody stated any, those that were learned.
func (p Plan) learnedWells() []Well {
	wells := append([]Well(nil), p.Wells...)
	if len(wells) == 0 {
		for i, w := range p.Learned.Wells {
			wells = append(wells, Well{Name: fmt.Sprintf("%d of those learned", i+1), At: &w.At, Depth: w.Depth, When: w.When})
		}
	}
	for i := range wells {
		wells[i].Depth = math.Max(0, wells[i].Depth+p.Learned.WaterTable)
	}
	return wells
}

// learnedLinks are the pipes and ditches of a plan with their levels as they
// lie against the ground: where all of that was learned to lie higher, they lie
// as much lower.
func (p Plan) learnedLinks() []site.Link { return lowered(p.Links, p.Learned.Datum) }

// datumError is one standard deviation of how the stated levels of pipes and
// ditches lie against the ground, m; 0 where none is stated.
func (p Plan) datumError() float64 {
	if !slices.ContainsFunc(p.Links, levelled) {
		return 0
	}
	return cmp.Or(p.Learned.DatumError, datumError)
}

// datumOfDraws is how much lower the stated levels of pipes and ditches lie on
// a draw than in the plan, m, all alike; nil where none is stated.
func (p Plan) datumOfDraws() func(draw int) float64 {
	sd := p.datumError()
	if sd == 0 {
		return nil
	}
	return func(draw int) float64 {
		return sd * rand.New(rand.NewPCG(p.Odds.Seed^0xda70, uint64(draw))).NormFloat64()
	}
}

// lowered is links whose levels, where they were stated, lie lower, m.
func lowered(links []site.Link, by float64) []site.Link {
	if by == 0 {
		return links
	}
	less := func(level *float64) *float64 {
		if level == nil {
			return nil
		}
		lower := *level - by
		return &lower
	}
	out := slices.Clone(links)
	for i := range out {
		out[i].Invert, out[i].Outlet = less(out[i].Invert), less(out[i].Outlet)
	}
	return out
}

// levelled says whether a link has a level that does not come from the ground.
func levelled(l site.Link) bool { return l.Invert != nil || l.Outlet != nil }

// learnedTable is the table of species with the days of those of which
// something was learned.
func (p Plan) learnedTable(t *species.Table) (*species.Table, error) {
	if len(p.Learned.Species) == 0 {
		return t, nil
	}
	var text strings.Builder
	out := csv.NewWriter(&text)
	out.Write([]string{"scientific_name", "days_low", "days_likely", "days_high"})
	var bad []error
	for _, l := range p.Learned.Species {
		e, err := t.Find(l.Name)
		if err != nil {
			bad = append(bad, fmt.Errorf("learned species: %w", err))
			continue
		}
		days := func(d float64) string { return strconv.FormatFloat(math.Min(d*l.Factor, 365), 'g', 6, 64) }
		out.Write([]string{e.Scientific, days(e.Days.Low), days(e.Days.Likely), days(e.Days.High)})
	}
	if err := errors.Join(bad...); err != nil {
		return nil, fault.Input(err)
	}
	out.Flush()
	t, err := t.With(strings.NewReader(text.String()), "what was learned on this site")
	return t, fault.Input(err)
}

// learnedShots are the heights that were learned, in the system of a ground.
func (p Plan) learnedShots(f terrain.Frame) ([]field.Shot, error) {
	var points []orb.Point
	for _, g := range p.Learned.Ground {
		points = append(points, g.At)
	}
	if err := move(p.system(), f.CRS, points); err != nil {
		return nil, err
	}
	var out []field.Shot
	for i, g := range p.Learned.Ground {
		out = append(out, field.Shot{Point: points[i], Z: g.Z, SD: g.Error})
	}
	return out, nil
}

// tellLearned says what was taken from observations.
func (r *Result) tellLearned(p Plan) {
	l := p.Learned
	if !l.Given() {
		return
	}
	var what []string
	if l.Soaking > 0 {
		what = append(what, "how fast standing water soaks in")
	}
	if l.WaterTable != 0 {
		way := "deeper"
		if l.WaterTable < 0 {
			way = "less deep"
		}
		what = append(what, fmt.Sprintf("that the water table lies %s %s than stated", quantity.FormatDepth(math.Abs(l.WaterTable), r.Units), way))
	}
	if l.Datum != 0 {
		way := "higher"
		if l.Datum < 0 {
			way = "lower"
		}
		what = append(what, fmt.Sprintf("that all of the ground lies %s %s than stated against the levels of pipes and ditches", quantity.FormatDepth(math.Abs(l.Datum), r.Units), way))
	}
	if n := len(l.Wells); n > 0 && len(p.Wells) == 0 {
		what = append(what, fmt.Sprintf("how deep the water table lies at %s", wording.CountOne(n, "place")))
	}
	for _, s := range l.Species {
		what = append(what, fmt.Sprintf("that %s bears %.2g times the days of the table", s.Name, s.Factor))
	}
	if n := len(l.Ground); n > 0 {
		what = append(what, fmt.Sprintf("how high the ground lies at %s", wording.CountOne(n, "place")))
	}
	r.Assumptions = append(r.Assumptions, "From what was seen on this site it was learned "+strings.Join(what, ", and ")+".")
}
