package season

import (
	"context"
	"errors"
	"math"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/hydro/weather"
)

// Spells are the longest wet spells of every year at each position, by how
// high its root crown is raised.
type Spells struct {
	Years   []Year
	Heights []float64 // m, above the crowns of the positions

	days      []float64   // by height, position and year
	doses     [][]float64 // likewise, by weights
	positions int
}

// RunSpells carries a record through a site as [Run] does and keeps of it the
// longest wet spell of every year only. That is what [Wetness.Longest] is with
// Roots.Crown higher by each of some heights, m, in ascending order; the years
// are gone through once for all of them. It asks no more of the processor than
// one thread, so that several sites can be done at once.
func RunSpells(ctx context.Context, site *storm.Site, record *weather.Record, o Options, heights []float64) (*Spells, error) {
	for k, h := range heights {
		if !(h >= 0) || math.IsInf(h, 1) || k > 0 && !(h > heights[k-1]) {
			return nil, errors.New("heights of root crowns must rise, and none be less than 0")
		}
	}
	r, res, err := begin(site, record, &o)
	if err != nil {
		return nil, err
	}
	watchers, err := r.watchers()
	if err != nil {
		return nil, err
	}
	s := &Spells{Years: res.Years, Heights: heights, positions: len(watchers)}
	s.days = make([]float64, len(heights)*len(watchers)*len(res.Years))
	for range o.Weights {
		s.doses = append(s.doses, make([]float64, len(s.days)))
	}
	raised := make([]raisedWatcher, len(watchers))
	for p := range raised {
		raised[p] = raisedWatcher{watcher: &watchers[p], until: make([]float64, len(heights))}
	}
	var room scratch
	err = r.through(ctx, res, func(n int, c *chapter) {
		for p := range raised {
			raised[p].read(c, heights, &room, func(k int, days float64, doses []float64) {
				at := s.at(k, p) + n
				s.days[at] = days
				for w, dose := range doses {
					s.doses[w][at] = dose
				}
			})
		}
	})
	return s, err
}

// at is where the years of a height and a position begin.
func (s *Spells) at(height, position int) int {
	return (height*s.positions + position) * len(s.Years)
}

// Longest is the longest wet spell of every whole year, days, of a position
// whose root crown is raised by Heights[height]: in the order of the years, and
// added to a list.
func (s *Spells) Longest(list []float64, height, position int) []float64 {
	return s.whole(list, s.days, height, position)
}

// Dose is likewise the most that any one wet spell of every whole year counts by
// one of Options.Weights, days.
func (s *Spells) Dose(list []float64, weights, height, position int) []float64 {
	return s.whole(list, s.doses[weights], height, position)
}

func (s *Spells) whole(list, of []float64, height, position int) []float64 {
	for n, days := range of[s.at(height, position):][:len(s.Years)] {
		if s.Years[n].Whole {
			list = append(list, days)
		}
	}
	return list
}

// A raisedWatcher follows one position through the years at several heights.
type raisedWatcher struct {
	*watcher
	until []float64 // as that of watcher, by height
}

// scratch is memory that one year of a position after another is worked out in.
type scratch struct {
	depths []float64 // of the water table, m
	spans  []storm.Span
	doses  []float64
}

// read tells the longest spell of a year at every height. The higher the
// crown, the less there is that wets it, so what no longer changes with height
// is worked out once.
func (w *raisedWatcher) read(c *chapter, heights []float64, room *scratch, tell func(k int, days float64, doses []float64)) {
	from, to := c.hour(c.year.From), c.hour(c.year.To)
	nearest := math.Inf(1)
	room.depths = room.depths[:0]
	for i := range c.table {
		depth := w.under.Depth(&c.table[i])
		room.depths = append(room.depths, depth)
		if depth < nearest { // and not of a depth nobody knows
			nearest = depth
		}
	}
	for k, height := range heights {
		crown := w.Roots.Crown + height
		limit := w.clearance() - crown
		ponded := c.ponded(w.Cell, crown)
		settled := len(ponded) == 0 && w.until[k] <= from && !watertable.TooNear(nearest, limit)

		spans := room.spans[:0]
		if w.until[k] > from {
			spans = append(spans, storm.Span{From: from, To: w.until[k]})
		}
		for _, s := range ponded {
			w.until[k] = max(w.until[k], s.To+w.Roots.Lag())
			spans = append(spans, storm.Span{From: s.From, To: s.To + w.Roots.Lag()})
		}
		filled := c.filled[w.Zone]
		spans = c.steps(spans, len(filled), func(i int) bool {
			return filled[i] || len(room.depths) > 0 && watertable.TooNear(room.depths[i], limit)
		})
		room.spans = spans
		spans = clip(storm.Union(spans), from, to)
		days := storm.Longest(spans) / dayLength
		room.doses = room.doses[:0]
		for i := range c.scales {
			room.doses = append(room.doses, c.scales[i].most(spans))
		}
		tell(k, days, room.doses)
		if settled {
			for k++; k < len(heights); k++ {
				tell(k, days, room.doses)
			}
			return
		}
	}
}
