package season

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// A WaterTable is a water table that rises with what drains below the roots and
// soaks out of ponds, and falls towards the depth to which ditches and drains
// would let it.
type WaterTable struct {
	// Yield is the drainable porosity, a share of the volume: a depth of
	// recharge raises the water table by the depth over Yield.
	Yield float64

	// Recession is the reaction factor, 1/day: the share of its height over
	// Base that the mound loses in a short time, over that time. See
	// [Reaction].
	Recession float64

	// Depth is the mean depth below ground at the start, m.
	Depth float64

	// Base is the depth below ground, m, to which the water table falls
	// everywhere when nothing comes. BaseGrid, if it is not nil, says it cell
	// by cell: the ground over the level of ditches, say.
	Base     float64
	BaseGrid *terrain.Grid[float32]

	// Shape is how high the mound is in each cell, as a multiple of its mean:
	// next to nothing at a ditch and 1.5 midway between two. Nil is level. It
	// need not have a mean of 1 and is scaled to it.
	Shape *terrain.Grid[float32]
}

// Reaction is the reaction factor, 1/day, of ground between parallel ditches or
// drains: π² KD/(μ L²), with the transmissivity KD, m²/day, the drainable
// porosity μ and the spacing L, m. Dumm (1954); De Zeeuw and Hellinga (1958).
func Reaction(transmissivity, yield, spacing float64) float64 {
	return math.Pi * math.Pi * transmissivity / (yield * spacing * spacing)
}

// Check says everything that is wrong with a water table that a person typed.
func (w *WaterTable) Check(f terrain.Frame) error {
	var bad []error
	if !(w.Yield > 0 && w.Yield < 1) {
		bad = append(bad, fmt.Errorf("drainable porosity %g is not above 0 and less than 1", w.Yield))
	}
	if !(w.Recession >= 0) || math.IsInf(w.Recession, 1) {
		bad = append(bad, fmt.Errorf("reaction factor %g a day is not 0 or more", w.Recession))
	}
	if w.BaseGrid == nil && !(w.Base > 0 && w.Base <= 1000) {
		bad = append(bad, fmt.Errorf("depth of %g m to which the water table falls is not above 0 and at most 1000", w.Base))
	}
	for _, g := range []*terrain.Grid[float32]{w.BaseGrid, w.Shape} {
		if g != nil && g.Frame != f {
			bad = append(bad, errors.New("the grid of a water table is not that of the ground"))
		}
	}
	if !(w.Depth >= 0) || math.IsInf(w.Depth, 1) {
		bad = append(bad, fmt.Errorf("water table %g m below ground at the start; above ground it would be a pond", w.Depth))
	}
	return errors.Join(bad...)
}

// A mound is a water table under way.
type mound struct {
	*WaterTable
	base, shape float64 // means over the known ground; the shape as given
	height      float64 // mean over base, m
}

func newMound(w *WaterTable, ground *terrain.Grid[float32]) (*mound, error) {
	m := &mound{WaterTable: w}
	mean := func(of func(cell int) float64) float64 {
		sum, n := 0.0, 0
		for c, z := range ground.Cells {
			if !terrain.IsVoid(z) {
				sum += of(c)
				n++
			}
		}
		return sum / float64(n)
	}
	m.shape = 1
	if w.Shape != nil {
		m.shape = mean(func(c int) float64 { return float64(w.Shape.Cells[c]) })
	}
	m.base = mean(m.baseAt)
	if !(m.base > 0) || !(m.shape > 0) || math.IsInf(m.base/m.shape, 1) {
		return nil, fmt.Errorf("water table: its base lies %g m deep on average and its shape is %g; both must be known for all ground and above 0", m.base, m.shape)
	}
	if w.Depth > m.base {
		return nil, fmt.Errorf("water table %g m below ground at the start, deeper than the %g m to which it falls", w.Depth, m.base)
	}
	m.height = m.base - w.Depth
	return m, nil
}

func (m *mound) baseAt(cell int) float64 {
	if m.BaseGrid != nil {
		return float64(m.BaseGrid.Cells[cell])
	}
	return m.Base
}

func (m *mound) shapeAt(cell int) float64 {
	if m.Shape != nil {
		return float64(m.Shape.Cells[cell]) / m.shape
	}
	return 1
}

// room is how much water, mm over the site, the ground takes until the water
// table is at the surface on average.
func (m *mound) room() float64 { return 1000 * m.Yield * max(m.base-m.height, 0) }

// stored is the water of the mound, mm over the site.
func (m *mound) stored() float64 { return 1000 * m.Yield * m.height }

// step lets so much recharge, mm, come evenly in so many hours, and returns
// what drained away, mm: the linear reservoir in closed form.
func (m *mound) step(recharge, hours float64) float64 {
	before := m.stored()
	if decay := m.Recession * hours / 24; decay > 0 {
		kept := math.Exp(-decay)
		m.height = m.height*kept + recharge/(1000*m.Yield)*(-math.Expm1(-decay)/decay)
	} else {
		m.height += recharge / (1000 * m.Yield)
	}
	m.height = min(m.height, m.base) // what is more seeps out and leaves
	return before + recharge - m.stored()
}

// below is the depth of the water table at a place, m, of the mean height.
func below(base, shape, height float64) float64 { return max(base-float64(shape*height), 0) }

// A bed is what a pond needs of the water table beneath it, by hollow.
type bed struct {
	base, shape []float64
	free        []float64 // infiltration without a water table, mm/h
	now         []float64
}

func newBed(site *storm.Site, m *mound, infiltration []float64) *bed {
	n := len(site.Hollows().All)
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
	if m != nil {
		b.base, b.shape = site.Mean(m.baseAt), site.Mean(m.shapeAt)
	}
	return b
}

// rates are how fast ponds soak in during so many hours, mm/h: no faster than
// there is room above the water table.
func (b *bed) rates(m *mound, hours float64) []float64 {
	most := 1000 * m.Yield / hours
	for i, f := range b.free {
		b.now[i] = min(f, most*below(b.base[i], b.shape[i], m.height))
	}
	return b.now
}
