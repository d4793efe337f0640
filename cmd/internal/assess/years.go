package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/season"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// Years are the wet spells of years of weather at every watched cell on every
// draw.
type Years struct {
	Once float64 // return period of the rare spells, years; 0 where none was asked for

	asked, watched int
	usual, rare    []float32 // by height of the root crown, watched cell and draw, h

	// doses are likewise what the spells of the usual year count, by kind of
	// species; nil where hours count alike.
	doses [][]float32
}

// checkOdds says what is asked of the odds that the rest of the plan does not
// allow.
func (p Plan) checkOdds() error {
	if p.Odds.Season && !p.Odds.Off && p.Season.File == "" {
		return fault.Input(errors.New("odds, season: the years of weather were asked for on every draw, and there is no record of them; give one in the site file, as rain in [season], or leave the odds to the storm"))
	}
	return nil
}

// yearsOfDraws has the record of the plan carried through the site of every draw
// of some options, with the soil of that draw.
//
// What the years do on a draw follows from its soaking rate too: it is how fast
// ponds sink, how fast the root zones drain, and with Green and Ampt how much
// runs off. How wet the ground is before a rain is not drawn, as through the
// years it is accounted for. What all draws have in common (the evaporation, the
// growing season, what is under which cell of the water table) is worked out
// once. A draw is left in the midst of its years only where all of the work is
// given up.
func (r *Result) yearsOfDraws(ctx context.Context, p Plan, record *weather.Record, o *Odds, to *odds.Options) (*Years, error) {
	common, _, err := r.seasonOptions(p, record)
	if err != nil {
		return nil, err
	}
	shared := *record
	if shared.ET, _, err = record.ReferenceET(common.Latitude, common.Elevation); err != nil {
		return nil, fault.Input(fmt.Errorf("%s: %w", filepath.Base(p.Season.File), err))
	}
	f := r.Drain.Ground.Frame
	common.WaterTable = remembered(common.WaterTable, f)
	y := &Years{Once: p.Season.ReturnPeriod, asked: o.Asked, watched: len(to.Watch)}
	n := len(to.Heights) * y.watched * y.asked
	lists := int64(1)
	if y.Once > 0 {
		lists = 2
	}
	lists += int64(len(common.Weights))
	to.FurtherBytes = 4 * lists * int64(len(to.Heights)*y.watched)
	to.FurtherRoom = r.roomOfYears(record, len(to.Heights)*y.watched)
	room := sync.OnceFunc(func() { // once it is known that it fits
		y.usual = make([]float32, n)
		if y.Once > 0 {
			y.rare = make([]float32, n)
		}
		for range common.Weights {
			y.doses = append(y.doses, make([]float32, n))
		}
	})
	to.Further = func(draw int, site *storm.Site) error {
		mine := r.seasonOfDraw(common, o.chance(draw), site, to.Watch)
		spells, err := season.RunSpells(ctx, site, &shared, mine, to.Heights)
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		if err != nil {
			return fault.Input(fmt.Errorf("%s: %w", filepath.Base(p.Season.File), err))
		}
		room()
		y.keep(draw, spells)
		return nil
	}
	return y, nil
}

// seasonOfDraw is the site of a draw as the years take it.
func (r *Result) seasonOfDraw(common season.Options, c chance, site *storm.Site, watch []int) season.Options {
	s, o := r.Storm, common
	rates := make([]float64, len(s.soils))
	o.Zones = slices.Clone(o.Zones)
	for k := range s.soils {
		rates[k] = s.soils[k].rate(c)
		z := &o.Zones[k]
		z.Drainage = rates[k]
		if z.GreenAmpt != nil {
			g := *z.GreenAmpt
			g.K *= rates[k] / s.soils[k].Rate.Median
			z.GreenAmpt = &g
		}
	}
	o.Infiltration = s.infiltration(site, rates)
	o.Positions = make([]season.Position, len(watch))
	for i, cell := range watch {
		soil, zone := s.soil(cell)
		o.Positions[i] = season.Position{Cell: cell, Zone: zone, Roots: soil.rootsOf(rates[zone])}
	}
	return o
}

// keep takes what is told of the years of a draw.
func (y *Years) keep(draw int, s *season.Spells) {
	var days []float64
	for h := range s.Heights {
		for i := range y.watched {
			days = s.Longest(days[:0], h, i)
			at := (h*y.watched+i)*y.asked + draw
			y.usual[at] = float32(24 * season.Median(days))
			for kind := range y.doses {
				y.doses[kind][at] = float32(24 * season.Median(s.Dose(nil, kind, h, i)))
			}
			if y.Once > 0 {
				y.rare[at] = float32(24 * once(days, y.Once))
			}
		}
	}
}

// once is the longest wet spell of years that comes once in so many, days; NaN
// where there are too few to say.
func once(days []float64, years float64) float64 {
	returns, err := season.ReturnsOf(days)
	if err != nil {
		return math.NaN()
	}
	v, err := returns.Once(years)
	if err != nil {
		return math.NaN()
	}
	return max(0, v)
}

// of is, by draw, a figure of a watched cell at a height, h.
func (y *Years) of(list []float32, height, i, draws int) []float32 {
	return list[(height*y.watched+i)*y.asked:][:draws:draws]
}

// surely puts the years on the draws in the place of a tree, whose crown stands
// at a height.
func (y *Years) surely(t *Tree, o *Odds, height, i int) {
	if y == nil {
		return
	}
	lists := [kinds][]float32{y.usual, y.usual}
	copy(lists[:], y.doses)
	var usual [kinds]species.Usual
	for h := range o.Heights {
		for k := range usual {
			usual[k].Spell = append(usual[k].Spell, y.of(lists[k], h, i, o.Draws))
		}
	}
	t.Draws.Usual = usual[temperate]
	if y.doses != nil {
		t.Draws.Tropical = &usual[tropical]
	}
	days := func(list []float32) Interval {
		v := interval(y.of(list, height, i, o.Draws))
		return Interval{v.Low / 24, v.Likely / 24, v.High / 24}
	}
	t.Usual = days(y.usual)
	if y.Once > 0 {
		t.Rare = days(y.rare)
	}
}

// words says what the years were asked.
func (y *Years) words(o *Odds) string {
	return fmt.Sprintf("The years of weather were run on each of those %d sites, with the soaking of each. What a tree has to bear on one of them is the longer of two: how long the storm leaves its roots wet there, and the longest wet spell there of a year that half the years exceed.", o.Draws)
}

// roomOfYears is about how much memory the years of one draw take while they are
// run, bytes: the record step by step, the spells of each year, and as much for
// the ponds as the storm takes.
func (r *Result) roomOfYears(record *weather.Record, spells int) int64 {
	const perStep, perYear, perHollow = 48, 8, 400
	years := 2 + int64(time.Duration(record.Len())*record.Step/(365*24*time.Hour))
	return perStep*int64(record.Len()) + perYear*years*int64(spells) + perHollow*int64(len(r.Drain.Hollows.All))
}

// remembered is a water table that is asked only once what lies below a cell.
func remembered(w *season.WaterTable, f terrain.Frame) *season.WaterTable {
	if w == nil {
		return nil
	}
	type under struct {
		watertable.Position
		known bool
	}
	cells := make([]under, f.Len())
	terrain.Bands(f.Rows, func(lo, hi int) {
		for row := lo; row < hi; row++ {
			for col := range f.Cols {
				c := &cells[f.Index(row, col)]
				c.Position, c.known = w.At(f.Centre(row, col))
			}
		}
	})
	again := *w
	again.At = func(p orb.Point) (watertable.Position, bool) {
		row, col, inside := f.Locate(p)
		if !inside {
			return watertable.Position{}, false
		}
		c := &cells[f.Index(row, col)]
		return c.Position, c.known
	}
	return &again
}
