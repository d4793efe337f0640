package watertable

import (
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/mat"

	"wetfeet/terrain"
)

// An Observation is the water table as someone found it.
type Observation struct {
	Name  string    // of the well or auger hole, for messages
	At    orb.Point // in the frame's system
	Depth float64   // below the ground beside it, m, 0 or more

	// When it was read. Readings of one map should be of one state of the
	// ground. Zero is not known.
	When time.Time
}

// A State is a water table: the three numbers a [Model] turns into heads, and
// what is left of the observations.
type State struct {
	Deficit  float64 // mean deficit of the slopes, D̄, m of water
	M        float64 // m of water
	Recharge float64 // of the flats, m/day; negative where plants draw the table below the ditches

	Fitted []Fitted
	Notes  []string // what the reader of the map should know, in sentences

	correction []float64 // to the heads, m, by cell of the model; nil is none
}

// Fitted is an observation and what the model alone makes of it.
type Fitted struct {
	Observation
	Modelled float64 // depth by the three numbers, before the remainder was mapped, m; negative above the ground
	Used     bool    // false where a held head decides
}

// What is thought before any observation, and how firmly: one standard
// deviation. It decides only what the observations leave open, such as the
// recharge of flats when the one well stands on a slope.
const (
	usualDepth, usualDepthSD       = 1.0, 0.5     // m, of the table below slopes, common practice, no source
	usualRecharge, usualRechargeSD = 0.001, 0.001 // m/day, a winter's surplus of 1 mm a day, common practice, no source
	mSD                            = 0.5          // of m, as a share of it
	readingSD                      = 0.05         // m, of a depth read in an auger hole, common practice, no source
	leastM                         = 0.1          // of the m of the soil, below which a fitted one is not believed
	leastInfluence                 = 1e-6         // m, of what is left open on the head at a well
	sameState                      = 14 * 24 * time.Hour
)

// Usual is the state that is assumed where nothing was observed: a table 1 m
// deep on the slopes and a recharge of 1 mm a day on the flats (common
// practice, no source).
func (m *Model) Usual() *State {
	return &State{
		Deficit:  usualDepth * m.Soil.DrainablePorosity,
		M:        m.Soil.M,
		Recharge: usualRecharge,
	}
}

// Fit finds the state that meets the observations. One observation moves the
// mean deficit and the recharge, each as far as it bears on the head at the
// well, and is met exactly. Of several, m is fitted too, by least squares with
// the usual values as weak evidence beside them (Tarantola, A. (2005), Inverse
// problem theory, SIAM, §3.2); what they still miss is kriged, with a
// covariance that falls e times over half the mean distance between the wells
// and to nought at held heads, so that the map meets every one.
//
// The errors name each well with what is wrong with it.
func (m *Model) Fit(observations []Observation) (*State, error) {
	wells, err := m.wells(observations)
	if err != nil {
		return nil, err
	}
	s := m.Usual()
	used := wells[:0:0]
	for i := range wells {
		w := &wells[i]
		open := math.Hypot(usualDepthSD*m.Soil.DrainablePorosity*w.of(m.perDeficit), usualRechargeSD*w.of(m.perRecharge))
		if w.isUsed = open > leastInfluence && m.tied(w.spot) > 0; w.isUsed {
			used = append(used, *w)
		} else {
			s.Notes = append(s.Notes, fmt.Sprintf("%s stands where a ditch or pond decides how high the water stands, and was not used", w.name()))
		}
	}
	if len(used) == 0 {
		return nil, errors.New("no observed depth can be used: every one stands in a ditch or pond")
	}
	m.adjust(s, used, len(used) > 1)
	if s.M < leastM*m.Soil.M {
		s.Notes = append(s.Notes, "the wells say that the table lies no nearer to the ground where the wetness index is higher; m was left as it is")
		*s = State{Deficit: m.Usual().Deficit, M: m.Soil.M, Recharge: usualRecharge, Notes: s.Notes}
		m.adjust(s, used, false)
	}
	for _, w := range wells {
		s.Fitted = append(s.Fitted, Fitted{Observation: w.Observation, Modelled: w.ground - m.head(w.spot, s), Used: w.isUsed})
	}
	if len(used) > 1 {
		if err := m.correct(s, used); err != nil {
			return nil, err
		}
	}
	s.Notes = append(s.Notes, m.notes(s, used)...)
	return s, nil
}

// A well is an observation on the ground.
type well struct {
	Observation
	spot
	cell   int // of the ground
	ground float64
	isUsed bool
}

func (o Observation) name() string {
	if o.Name == "" {
		return fmt.Sprintf("the well at %.1f, %.1f", o.At[0], o.At[1])
	}
	return fmt.Sprintf("well %q", o.Name)
}

// wells puts observations on the ground. Those in one cell become one, of
// their mean depth.
func (m *Model) wells(observations []Observation) ([]well, error) {
	if len(observations) == 0 {
		return nil, errors.New("no depth to the water table was observed; one auger hole or well is enough")
	}
	var bad []error
	var wells []well
	count := map[int]int{} // by cell
	at := map[int]int{}
	for _, o := range observations {
		row, col, ok := m.site.Ground.Locate(o.At)
		z := terrain.Void()
		if ok {
			z = m.site.Ground.At(row, col)
		}
		switch {
		case terrain.IsVoid(z):
			b := m.site.Ground.Bound()
			bad = append(bad, fmt.Errorf("%s at %.1f, %.1f does not stand on known ground, which lies within %.1f to %.1f and %.1f to %.1f",
				o.name(), o.At[0], o.At[1], b.Min[0], b.Max[0], b.Min[1], b.Max[1]))
			continue
		case o.Depth < 0:
			bad = append(bad, fmt.Errorf("%s has its water table %g m above the ground; give the depth below the ground, 0 or more, and draw standing water as a pond",
				o.name(), -o.Depth))
			continue
		case !(o.Depth <= 1000):
			bad = append(bad, fmt.Errorf("%s has its water table at a depth of %g m, which is not between 0 and 1000", o.name(), o.Depth))
			continue
		}
		cell := m.site.Ground.Index(row, col)
		if n := count[cell]; n > 0 {
			w := &wells[at[cell]]
			w.Depth += (o.Depth - w.Depth) / float64(n+1)
		} else {
			at[cell] = len(wells)
			wells = append(wells, well{Observation: o, spot: m.around(row, col), cell: cell, ground: float64(z)})
		}
		count[cell]++
	}
	return wells, errors.Join(bad...)
}

// head is the head at a spot, m.
func (m *Model) head(p spot, s *State) float64 {
	h := p.of(m.held) + float64(s.Deficit*p.of(m.perDeficit)) + float64(s.M*p.of(m.perM)) + float64(s.Recharge*p.of(m.perRecharge))
	if s.correction != nil {
		h += p.of(s.correction)
	}
	return h
}

// adjust moves a state from the usual one to the likeliest one given the
// wells: x + P Aᵀ (A P Aᵀ + E)⁻¹ (h − A x), P and E being the variances of the
// state and of the readings. A single reading counts as without error.
func (m *Model) adjust(s *State, wells []well, withM bool) {
	n := len(wells)
	variance := [3]float64{
		square(usualDepthSD * m.Soil.DrainablePorosity),
		square(usualRechargeSD),
	}
	if withM {
		variance[2] = square(mSD * m.Soil.M)
	}
	rows := make([][3]float64, n)
	for i, w := range wells {
		rows[i] = [3]float64{w.of(m.perDeficit), w.of(m.perRecharge), w.of(m.perM)}
	}
	a, misfit := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i, w := range wells {
		misfit.SetVec(i, w.ground-w.Depth-m.head(w.spot, s))
		for j := range wells {
			v := 0.0
			for k, p := range variance {
				v += rows[i][k] * p * rows[j][k]
			}
			if i == j && n > 1 {
				v += readingSD * readingSD
			}
			a.Set(i, j, v)
		}
	}
	var gain mat.VecDense
	if err := gain.SolveVec(a, misfit); err != nil {
		return // cannot be: the diagonal is larger than leastInfluence squared
	}
	var move [3]float64
	for i := range wells {
		for k, p := range variance {
			move[k] += p * rows[i][k] * gain.AtVec(i)
		}
	}
	s.Deficit, s.Recharge, s.M = s.Deficit+move[0], s.Recharge+move[1], s.M+move[2]
}

func square(v float64) float64 { return v * v }

// notes says what a reader of the map should know.
func (m *Model) notes(s *State, used []well) (notes []string) {
	if s.Recharge < 0 {
		notes = append(notes, "the flat ground loses water to the air: its table stands below the ditches and ponds, which feed it")
	}
	if m.Loose > 0 {
		notes = append(notes, fmt.Sprintf("%.0f %% of the ground is flat with no ditch, drain or pond drawn that holds its water table; there it is little more than the observed depth", 100*m.Loose))
	}
	var first, last time.Time
	for _, w := range used {
		if w.When.IsZero() {
			continue
		}
		if first.IsZero() || w.When.Before(first) {
			first = w.When
		}
		if w.When.After(last) {
			last = w.When
		}
	}
	if span := last.Sub(first); span > sameState {
		notes = append(notes, fmt.Sprintf("the depths were read up to %.0f days apart and count as one state of the ground", span.Hours()/24))
	}
	return notes
}

// tied is what part of a correction may reach a spot: none where a head is
// held, all of it out of its reach.
func (m *Model) tied(p spot) float64 {
	v := 0.0
	for n, i := range p.cell {
		if p.share[n] > 0 {
			v += p.share[n] * m.tie(i)
		}
	}
	return v
}

func (m *Model) tie(i int) float64 { return min(1, m.away[i]/m.Options.Reach) }

// correct krigs what the state leaves of the wells: a correction to the heads
// that makes up for all of it.
func (m *Model) correct(s *State, wells []well) error {
	apart, pairs := 0.0, 0
	for i := range wells {
		for j := range i {
			apart, pairs = apart+between(wells[i].At, wells[j].At), pairs+1
		}
	}
	length := max(apart/float64(pairs)/2, m.Cell)
	a := m.aquifer
	covariance := func(i int, w well) float64 {
		return m.tie(i) * m.tied(w.spot) * math.Exp(-between(a.Centre(a.Cell(i)), w.At)/length)
	}
	n := len(wells)
	k, rest := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i, w := range wells {
		rest.SetVec(i, w.ground-w.Depth-m.head(w.spot, s))
		for j, other := range wells {
			v := 0.0
			for c, cell := range w.spot.cell {
				if share := w.spot.share[c]; share > 0 {
					v += share * covariance(cell, other)
				}
			}
			k.Set(i, j, v)
		}
	}
	var weight mat.VecDense
	if err := weight.SolveVec(k, rest); err != nil {
		return fmt.Errorf("the wells stand too close together for cells of %g m: %w", m.Cell, err)
	}
	s.correction = make([]float64, a.Len())
	terrain.Bands(a.Rows, func(lo, hi int) {
		for i := lo * a.Cols; i < hi*a.Cols; i++ {
			if !a.isIn(i) {
				continue
			}
			for j, w := range wells {
				s.correction[i] += float64(weight.AtVec(j) * covariance(i, w))
			}
		}
	})
	return nil
}

func between(a, b orb.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }
