package season

import (
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/watertable"
	"wetfeet/terrain"
)

// A WaterTable is a water table that a season carries along. It rises with what
// drains below the roots and soaks out of ponds, spread over the site, and falls
// as its stores empty.
type WaterTable struct {
	Start watertable.Daily // the stores at the start of the record

	// Flat is the share of the ground that is flat and drains as
	// [watertable.Flat]. The rest drains as [watertable.Slope].
	Flat float64

	// At is how the depth of the table below a point follows the stores, and
	// whether that is known.
	At func(p orb.Point) (watertable.Position, bool)
}

// TableOf is the water table of a model, from a state of it on, with the usual
// recharge, m/day, of the season in which the state was observed.
func TableOf(m *watertable.Model, s *watertable.State, recharge float64) *WaterTable {
	return &WaterTable{
		Start: *m.Daily(s, recharge),
		Flat:  m.Flat,
		At:    func(p orb.Point) (watertable.Position, bool) { return m.Position(s, p) },
	}
}

// EvenTable is a water table at one depth below all ground, m, at the start. It
// falls towards a deepest depth, m, losing in a day a share of its height over
// that, the reaction factor, and rises by the recharge over the drainable
// porosity.
func EvenTable(depth, deepest, porosity, reaction float64) *WaterTable {
	return &WaterTable{
		Start: watertable.Daily{Flat: watertable.Flat{Reaction: reaction}, Stored: (deepest - depth) * porosity},
		Flat:  1,
		At: func(orb.Point) (watertable.Position, bool) {
			return watertable.Position{Base: deepest, PerStored: 1 / porosity}, true
		},
	}
}

func (w *WaterTable) check() error {
	var bad []error
	if !(w.Flat >= 0 && w.Flat <= 1) {
		bad = append(bad, fmt.Errorf("water table: a share of flat ground of %g is not from 0 to 1", w.Flat))
	}
	if w.At == nil {
		bad = append(bad, errors.New("water table: nothing says how its depth follows from its stores"))
	}
	start := w.Start
	if w.Flat == 1 { // the store that takes no part need not make sense
		start.Slope = watertable.Slope{M: 1, Full: 1}
	}
	if w.Flat == 0 {
		start.Flat.Reaction = 1
	}
	if err := start.Check(); err != nil {
		bad = append(bad, fmt.Errorf("water table: %w", err))
	}
	return errors.Join(bad...)
}

// A table is a water table under way.
type table struct {
	*WaterTable
	now  watertable.Daily
	mean watertable.Position // over the ground
}

// sampled is of about how many cells the mean depth of a water table is taken.
const sampled = 1 << 16

func newTable(w *WaterTable, ground *terrain.Grid[float32]) (*table, error) {
	t := &table{WaterTable: w, now: w.Start}
	n := 0.0
	for c := 0; c < ground.Len(); c += max(ground.Len()/sampled, 1) {
		if terrain.IsVoid(ground.Cells[c]) {
			continue
		}
		if p, ok := w.below(ground.Frame, c); ok {
			t.mean.Base += p.Base
			t.mean.PerDeficit += p.PerDeficit
			t.mean.PerStored += p.PerStored
			n++
		}
	}
	t.mean = watertable.Position{Base: t.mean.Base / n, PerDeficit: t.mean.PerDeficit / n, PerStored: t.mean.PerStored / n}
	if !(t.mean.PerDeficit+t.mean.PerStored > 0) || math.IsNaN(t.mean.Base) || math.IsInf(t.mean.PerDeficit+t.mean.PerStored, 1) {
		return nil, fmt.Errorf("water table: over the ground its depth is %g + %g of the deficit - %g of the store; it must be known somewhere and rise with the water",
			t.mean.Base, t.mean.PerDeficit, t.mean.PerStored)
	}
	return t, nil
}

// below is the position under a cell.
func (w *WaterTable) below(f terrain.Frame, cell int) (watertable.Position, bool) {
	row, col := f.Cell(cell)
	return w.At(f.Centre(row, col))
}

// roomAt is how much recharge, mm, brings the table up to the ground: +Inf where
// something holds it below.
func (t *table) roomAt(p watertable.Position) float64 {
	depth := p.Depth(&t.now)
	if depth == 0 {
		return 0
	}
	return 1000 * depth / max(p.PerDeficit+p.PerStored, 0)
}

// stored is the water above some fixed level, mm over the site.
func (t *table) stored() float64 {
	return 1000 * (float64(t.Flat*t.now.Stored) - float64((1-t.Flat)*t.now.Deficit))
}

// step lets so much recharge, mm, come evenly in so many hours, and returns
// what drained away, mm over the site.
func (t *table) step(recharge, hours float64) float64 {
	days := hours / dayLength
	rate := recharge / 1000 / days
	drained := 0.0
	if t.Flat < 1 {
		after, out := t.now.Slope.Step(t.now.Deficit, rate, days)
		t.now.Deficit = after
		drained += 1000 * (1 - t.Flat) * out
	}
	if t.Flat > 0 {
		after, out := t.now.Flat.Step(t.now.Stored, rate, days)
		t.now.Stored = after
		drained += 1000 * t.Flat * out
	}
	return drained
}

// A bed is the ground under the ponds, by hollow.
type bed struct {
	free  []float64 // infiltration without a water table, mm/h
	now   []float64 // with it
	under []watertable.Position
}

func newBed(site *storm.Site, t *table, infiltration []float64) *bed {
	h := site.Hollows()
	n := len(h.All)
	b := &bed{free: make([]float64, n), now: make([]float64, n)}
	for i := range n {
		switch len(infiltration) {
		case 0:
		case 1:
			b.free[i] = infiltration[0]
		default:
			b.free[i] = infiltration[i]
		}
	}
	if t == nil {
		return b
	}
	mean := func(of func(p watertable.Position) float64) []float64 {
		return site.Mean(func(cell int) float64 {
			p, ok := t.below(h.Frame, cell)
			if !ok {
				p = t.mean // not known there
			}
			return of(p)
		})
	}
	base := mean(func(p watertable.Position) float64 { return p.Base })
	deficit := mean(func(p watertable.Position) float64 { return p.PerDeficit })
	stored := mean(func(p watertable.Position) float64 { return p.PerStored })
	b.under = make([]watertable.Position, n)
	for i := range n {
		b.under[i] = watertable.Position{Base: base[i], PerDeficit: deficit[i], PerStored: stored[i]}
	}
	return b
}

// rates are how fast ponds soak in during so many hours, mm/h: no faster than
// there is room above the water table.
func (b *bed) rates(t *table, hours float64) []float64 {
	for i, f := range b.free {
		b.now[i] = min(f, t.roomAt(b.under[i])/hours)
	}
	return b.now
}
