package watertable

import (
	"errors"
	"math"

	"wetfeet/terrain"
)

// A Model is a site whose water table can be had for any state of it. The
// head of every cell is a straight sum,
//
//	H = held + Deficit × perDeficit + M × perM + Recharge × perRecharge,
//
// because both parts of the model are: TOPMODEL on slopes, where the head is
// the smoothed ground less (D̄ + m (λ − I)) over the porosity, and flow between
// held heads on flat land. Where flat land borders on sloping land, the slope
// holds its table. A part flat, a part sloping, a cell has the mean of the two
// by its share.
type Model struct {
	Soil    Soil    // as used, with what was left out
	Options Options // likewise
	Cell    float64 // side of the cells computed on, m
	Lambda  float64 // mean of the wetness index, smoothed

	// Flat is the share of the known ground that is held by ditches, ponds or
	// the slopes beside it.
	Flat float64

	// Loose is the share of the known ground that is flat with nothing to
	// hold its table. There the index is all there is to go by, and says
	// little.
	Loose float64

	site    Site
	factor  int
	ground  *terrain.Grid[float32] // smoothed, in cells of the aquifer
	aquifer *Aquifer
	away    []float64 // from held heads, m

	held, perDeficit, perM, perRecharge []float64

	// storage is the mean of perRecharge over flat land: the height of its
	// table for a unit of recharge, days.
	storage float64
}

// Prepare computes what the water table of a site depends on. It takes a few
// seconds for a million cells and does not depend on the number of threads.
// The error names everything that is out of range.
func Prepare(s Site, o Options) (*Model, error) {
	var bad, err error
	if s.Soil, bad = s.Soil.withDefaults(); s.Ground == nil {
		return nil, s.check()
	}
	bad = errors.Join(bad, s.check())
	o, err = o.withDefaults(s.Ground.Frame)
	if err = errors.Join(bad, err); err != nil {
		return nil, err
	}
	m := &Model{Soil: s.Soil, Options: o, site: s, factor: o.factor(s.Ground.Frame)}
	index := m.smooth(s.Index)
	m.ground = m.smooth(s.Ground)
	m.Cell = m.ground.CellSize
	n := m.ground.Len()
	m.aquifer = &Aquifer{
		Frame:          m.ground.Frame,
		Transmissivity: make([]float64, n),
		Held:           make([]float64, n),
		Entry:          make([]float64, n),
	}
	for i := range n {
		m.aquifer.Held[i], m.aquifer.Transmissivity[i] = math.NaN(), math.NaN()
	}
	m.transmit()
	if err := m.hold(s); err != nil {
		return nil, err
	}
	m.away = reach(m.aquifer)
	if err := m.compose(index, m.flatness()); err != nil {
		return nil, err
	}
	return m, nil
}

// smooth brings a grid to the cells of the model.
func (m *Model) smooth(z *terrain.Grid[float32]) *terrain.Grid[float32] {
	mean := blocks(z, m.factor)
	out := terrain.NewGrid[float32](mean.Frame)
	terrain.Smooth(out, mean, m.Options.Smooth)
	return out
}

// thickness is the saturated thickness at which the flow is linearised, m: that
// over the barrier of a table at the usual depth, at least half of the soil.
// It does not depend on the levels held: else raising a ditch would let more
// water through everywhere, and so lower the table somewhere.
func (s Soil) thickness() float64 { return max(s.BarrierDepth-usualDepth, s.BarrierDepth/2) }

// transmit gives all known cells their transmissivity.
func (m *Model) transmit() {
	for i, z := range m.ground.Cells {
		if !terrain.IsVoid(z) {
			m.aquifer.Transmissivity[i] = m.Soil.Conductivity * m.Soil.thickness()
		}
	}
}

// flatness is the share of every cell in which heads are held and not the
// slope, from 0 to 1, NaN where void.
func (m *Model) flatness() []float64 {
	slope := terrain.NewGrid[float32](m.ground.Frame)
	terrain.Slope(slope, m.ground)
	flat := make([]float64, slope.Len())
	o := m.Options
	for i, s := range slope.Cells {
		bySlope := 0.0
		switch v := float64(s); {
		case v <= o.FlatSlope:
			bySlope = 1
		case v < o.SteepSlope:
			bySlope = (o.SteepSlope - v) / (o.SteepSlope - o.FlatSlope)
		}
		byReach := min(max(0, 2*(1-m.away[i]/o.Reach)), 1)
		if flat[i] = max(bySlope, byReach); terrain.IsVoid(s) {
			flat[i] = math.NaN()
		}
	}
	return flat
}

// partTolerance is how far the balance of the cells may be out in the parts of
// the head, as a part of the flow a first guess leaves unbalanced: a hundredth
// of a millimetre is not asked for by any map.
const partTolerance = 1e-9

// compose solves for the four parts of the head.
func (m *Model) compose(index *terrain.Grid[float32], flat []float64) error {
	a := m.aquifer
	lambda, known := 0.0, 0
	for i := range flat {
		if a.isIn(i) {
			lambda, known = lambda+float64(index.Cells[i]), known+1
		}
	}
	m.Lambda = lambda / float64(known)

	// The slopes hold the flats beside them: to the solver they are held too.
	levels := append([]float64(nil), a.Held...)
	isSlope := make([]bool, len(flat))
	mark := func(i int) { isSlope[i], flat[i], a.Held[i] = true, 0, 0 }
	for i, w := range flat {
		if w == 0 {
			mark(i)
		}
	}
	loose := 0
	a.eachPatch(func(cells []int) {
		for _, i := range cells {
			if !math.IsNaN(a.Held[i]) {
				return
			}
		}
		loose += len(cells)
		for _, i := range cells {
			mark(i)
		}
	})
	m.Loose = float64(loose) / float64(known)

	s := newSolver(a, 0)
	porosity := m.Soil.DrainablePorosity
	part := func(dst *[]float64, source float64, level, slope func(i int) float64) error {
		held, head := make([]float64, len(flat)), make([]float64, len(flat))
		for i := range flat {
			held[i] = math.NaN()
			if !a.isIn(i) {
				continue
			}
			head[i] = slope(i) // a guess
			if isSlope[i] {
				held[i] = head[i]
			} else if !math.IsNaN(levels[i]) {
				held[i] = level(i)
			}
		}
		*dst = head
		if _, err := s.correct(head, held, source*a.CellArea(), partTolerance); err != nil {
			return err
		}
		for i, w := range flat {
			if a.isIn(i) {
				head[i] = float64(w*head[i]) + float64((1-w)*slope(i))
			}
		}
		return nil
	}
	none := func(int) float64 { return 0 }
	err := errors.Join(
		part(&m.held, 0,
			func(i int) float64 { return levels[i] },
			func(i int) float64 { return float64(m.ground.Cells[i]) }),
		part(&m.perDeficit, 0, none, func(int) float64 { return -1 / porosity }),
		part(&m.perM, 0, none, func(i int) float64 { return -(m.Lambda - float64(index.Cells[i])) / porosity }),
		part(&m.perRecharge, 1, none, none),
	)
	sum, free := 0.0, 0
	for i, w := range flat {
		if w > 0 {
			m.Flat++
			if !s.fixed[i] {
				sum, free = sum+m.perRecharge[i], free+1
			}
		}
	}
	m.Flat /= float64(known)
	if free > 0 {
		m.storage = sum / float64(free)
	}
	a.Held = levels
	return err
}

// A spot is the cells of the model around a point, with the share of each in
// the straight interpolation between them. Void ones have none.
type spot struct {
	cell  [4]int
	share [4]float64
}

// around is the spot of a cell of the ground.
func (m *Model) around(row, col int) (s spot) {
	k := float64(m.factor)
	y, x := (float64(row)+0.5)/k-0.5, (float64(col)+0.5)/k-0.5
	r, c := math.Floor(y), math.Floor(x)
	y, x = y-r, x-c
	sum := 0.0
	for n := range s.cell {
		dr, dc := n/2, n%2
		share := (1 - y) * (1 - x)
		switch n {
		case 1:
			share = (1 - y) * x
		case 2:
			share = y * (1 - x)
		case 3:
			share = y * x
		}
		i, j := int(r)+dr, int(c)+dc
		if share > 0 && m.ground.Holds(i, j) && m.aquifer.isIn(m.ground.Index(i, j)) {
			s.cell[n], s.share[n] = m.ground.Index(i, j), share
			sum += share
		}
	}
	for n := range s.share {
		s.share[n] /= sum // a known cell lies in a known cell of the model
	}
	return s
}

// of is the value at the spot of a field over the cells of the model.
func (s spot) of(field []float64) float64 {
	v := 0.0
	for n, i := range s.cell {
		if s.share[n] > 0 {
			v += float64(s.share[n] * field[i])
		}
	}
	return v
}
