package assess

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/odds"
	"wetfeet/hydro/storm"

	"gonum.org/v1/gonum/stat/distuv"
)

// The parameters, in order: how fast water soaks in; how much the ground took
// before each storm seen; the water table; the species looked at; the datum and
// the staff, where what was seen says something of them.
func (l *learning) params() int {
	n := l.datumAt()
	for _, more := range [2]bool{l.datum, l.staff} {
		if more {
			n++
		}
	}
	return n
}

func (l *learning) beforeAt(storm int) int    { return 1 + storm }
func (l *learning) tableAt() int              { return 1 + len(l.storms) }
func (l *learning) speciesAt(species int) int { return 2 + len(l.storms) + species }
func (l *learning) datumAt() int              { return 2 + len(l.storms) + len(l.species) }
func (l *learning) staffAt() int              { return l.params() - 1 }

// The outcomes after those of the looks: hours wet, hours until dry and depth
// when the rain ends of each watched tree, in the storm of the plan, then the
// ground at every look.
func (l *learning) hoursAt(k int) int  { return len(l.looks) + 3*k }
func (l *learning) dryAt(k int) int    { return len(l.looks) + 3*k + 1 }
func (l *learning) depthAt(k int) int  { return len(l.looks) + 3*k + 2 }
func (l *learning) groundAt(k int) int { return len(l.looks) + 3*len(l.watched) + k }

// model runs the storms of the book and that of the plan on as many sites as
// there are draws.
func (l *learning) model(ctx context.Context, first int, params [][]float64) ([][]float64, error) {
	r, s := l.r, l.r.Storm
	out := make([][]float64, len(params))
	weatherOf := func(draw int, before float64, rain *Rain) odds.Weather {
		w := r.weatherOf(chance{params[draw][0], before}, rain)
		if r.WaterTable == nil {
			return w
		}
		deeper, lossOf := tableError*params[draw][l.tableAt()], w.Loss
		w.Loss = func(on *storm.Site) storm.Loss {
			loss := lossOf(on)
			for i := range loss.Room {
				loss.Room[i] = max(0, loss.Room[i]+1000*deeper*s.soils[0].Drainable.Likely)
			}
			return loss
		}
		return w
	}
	own := func(draw int) *rand.Rand { return rand.New(rand.NewPCG(l.seed^0x1ea2, uint64(first+draw))) }
	var lower func(draw int) float64
	if l.datum {
		lower = func(draw int) float64 { return datumError * params[draw][l.datumAt()] }
	}
	links, err := r.linksOfDraws(r.basis.plan, lower)
	if err != nil {
		return nil, err
	}
	var lock sync.Mutex
	round := first/len(params) + 1
	source := r.sourceOf(l.draws)
	_, err = odds.Run(ctx, odds.Options{
		Frame:       l.draws.Frame,
		Source:      func() odds.Source { return &later{source(), first / 2} },
		SourceBytes: l.draws.RoomBytes(),
		Draws:       len(params),
		Zone:        s.zone, Zones: len(s.soils),
		Links:   links,
		Weather: func(draw int) odds.Weather { return weatherOf(draw, own(draw).NormFloat64(), l.design) },
		Observe: func(draw int, on *storm.Site, h *storm.History) {
			rng := own(draw)
			weather := weatherOf(draw, rng.NormFloat64(), l.design)
			histories := make([]*storm.History, len(l.storms))
			for k := range l.storms {
				w := weatherOf(draw, params[draw][l.beforeAt(k)], l.storms[k].rain)
				histories[k] = runWeather(on, w)
			}
			row := l.outcomes(params[draw], on, h, histories, weather, rng)
			lock.Lock()
			out[draw] = row
			lock.Unlock()
		},
		Progress: func(done, all int) { l.say(fmt.Sprintf("learn: round %d, %d of %d draws", round, done, all)) },
	})
	if tooMany, ok := errors.AsType[*odds.MemoryError](err); ok {
		return nil, fault.Input(tooMany)
	}
	return out, err
}

// later is a source of draws that begins at a later pair.
type later struct {
	odds.Source
	first int
}

func (s *later) Pair(k int, a, b []float32) { s.Source.Pair(s.first+k, a, b) }

// runWeather carries a site through its weather.
func runWeather(on *storm.Site, w odds.Weather) *storm.History {
	m := on.Simulate(nil, w.Loss(on))
	for _, s := range w.Steps {
		m.Step(storm.Step{Hours: s.Hours, Inflow: on.Runoff(s.Runoff...), Evaporation: s.Evaporation})
	}
	return m.History()
}

// outcomes is what one draw foresees.
func (l *learning) outcomes(params []float64, on *storm.Site, design *storm.History, seen []*storm.History, w odds.Weather, rng *rand.Rand) []float64 {
	row := make([]float64, l.groundAt(len(l.looks)))
	ground := func(cell int) float64 { return float64(on.Hollows().Ground().Cells[cell]) }
	level := func(h *storm.History, cell int, hours float64) float64 {
		leaf := int(on.Hollows().Inner[cell]) - 1
		if leaf < 0 {
			return math.Inf(-1)
		}
		return h.Level(leaf, hours)
	}
	zone := func(cell int) int {
		_, z := l.r.Storm.soil(cell)
		return z
	}
	for i := range l.looks {
		k := &l.looks[i]
		row[l.groundAt(i)] = ground(k.cell)
		off := rng.NormFloat64() // in the time of the look; drawn whether it is used or not
		switch k.kind {
		case depthSeen:
			ended := l.storms[k.storm].rain.Duration()
			at := min(max(ended+k.hours+off*k.doubt, 0), ended+24*dryDown)
			row[i] = max(level(seen[k.storm], k.cell, at)-ground(k.cell), -1)
			if l.staff && k.staffed() {
				row[i] += staffError * params[l.staffAt()]
			}
		case driedSeen:
			row[i] = dryAfter(seen[k.storm], k.cell, l.storms[k.storm].rain.Duration())
		case tableSeen:
			row[i] = l.r.WaterTable.depth(k.cell) + tableError*params[l.tableAt()]
		case healthSeen:
			roots := w.Roots(zone(k.cell))
			roots.Crown = k.tree.Built
			hours := storm.Total(seen[k.storm].RootsWet(k.cell, roots))
			depth := highest(seen[k.storm], on, k.cell) - ground(k.cell) - k.tree.Built
			loss := k.bears.Loss(hours, depth)
			dose := distuv.UnitNormal.Quantile(min(max(loss, 1e-9), 1-1e-9))
			row[i] = dose - math.Sqrt(shared)*params[l.speciesAt(k.tests)]
		}
	}
	ended := l.design.Duration()
	for k, tree := range l.watched {
		t := &l.r.Trees[tree]
		roots := w.Roots(zone(t.cell))
		roots.Crown = t.Built
		row[l.hoursAt(k)] = storm.Total(design.RootsWet(t.cell, roots))
		row[l.dryAt(k)] = min(dryAfter(design, t.cell, ended), 24*dryDown)
		row[l.depthAt(k)] = max(level(design, t.cell, ended)-ground(t.cell), 0)
	}
	return row
}

// highest is the highest level of the water that a cell stands in, m.
func highest(h *storm.History, on *storm.Site, cell int) float64 {
	leaf := int(on.Hollows().Inner[cell]) - 1
	if leaf < 0 {
		return math.Inf(-1)
	}
	return h.Peak(leaf).Level
}

// dryAfter is when the water on a cell is gone, h after the rain ended: 0 where
// none stood then, +Inf where it does to the end of the drying.
func dryAfter(h *storm.History, cell int, ended float64) float64 {
	last := 0.0
	for _, s := range h.UnderWater(cell, 0) {
		last = max(last, s.To-ended)
	}
	if last >= 24*dryDown-1e-6 {
		return math.Inf(1)
	}
	return last
}
