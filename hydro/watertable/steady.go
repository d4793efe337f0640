package watertable

import (
	"errors"
	"fmt"
	"math"
)

// steadyTolerance is how far the balance of the cells may be out, as a part of
// the flow a first guess leaves unbalanced. A head is then out by far less than
// a millimetre.
const steadyTolerance = 1e-11

// Heads is a water table at rest.
type Heads struct {
	Head []float64 // of every cell, m, NaN where it takes no part

	Recharge float64 // what comes, m³/day
	Drained  float64 // what the held heads take, m³/day
	Cycles   int     // of the multigrid
}

// Steady is the water table at which as much water leaves as comes in: so
// many metres a day of recharge everywhere. It is the linearised equation of
// Boussinesq (1904) without change in time, T ∇²h + R = 0, whose transmissivity
// does not depend on the head; see [Aquifer.Dupuit] for one that does.
//
// Every patch of cells must reach a held head: water that has no way out
// would rise for ever. The error names a cell of each that has none.
func (a *Aquifer) Steady(recharge float64) (*Heads, error) {
	if err := a.checkSteady(recharge); err != nil {
		return nil, err
	}
	h := &Heads{Head: a.firstGuess()}
	return h, a.settle(h, recharge)
}

// settle brings the heads to rest from where they are.
func (a *Aquifer) settle(h *Heads, recharge float64) error {
	s := newSolver(a, 0)
	source := recharge * a.CellArea()
	n, err := s.correct(h.Head, a.Held, source, steadyTolerance)
	h.Cycles += n
	h.Recharge = 0
	for i := range h.Head {
		if a.isIn(i) {
			h.Recharge += source
		}
	}
	h.Drained = s.drained(h.Head, a.Held, source)
	return err
}

func (a *Aquifer) checkSteady(recharge float64) error {
	if err := a.check(); err != nil {
		return err
	}
	var bad []error
	if math.IsNaN(recharge) || math.IsInf(recharge, 0) {
		bad = append(bad, fmt.Errorf("recharge %g is not a number of metres a day", recharge))
	}
	for _, i := range a.unheld() {
		r, c := a.Cell(i)
		bad = append(bad, fmt.Errorf("nothing holds the water table of the land around row %d, column %d: a ditch, drain or pond must", r, c))
	}
	return errors.Join(bad...)
}

// firstGuess is the mean of the held heads everywhere.
func (a *Aquifer) firstGuess() []float64 {
	sum, n := 0.0, 0
	for i, h := range a.Held {
		if a.isIn(i) && !math.IsNaN(h) {
			sum, n = sum+h, n+1
		}
	}
	head := make([]float64, a.Len())
	for i := range head {
		head[i] = sum / float64(max(n, 1))
	}
	return head
}

const (
	mostRounds    = 100
	leastChange   = 1e-10 // m, of the head between two rounds of Dupuit
	leastSaturate = 1e-3  // m, of saturated thickness, so that no cell falls dry
)

// Dupuit is the steady water table of an unconfined layer over a barrier: the
// transmissivity is the conductivity, m/day, times the height of the water
// table over the base, m, and follows it. It is solved in rounds, each with the
// transmissivity of the one before, which the mean of two neighbours makes
// exact over a level barrier: K (hᵢ + hⱼ)/2 (hᵢ − hⱼ) = K (hᵢ² − hⱼ²)/2.
// The transmissivity of a is not used but for which cells take part, and not
// changed.
//
//	Dupuit, J. (1863). Études théoriques et pratiques sur le mouvement des
//	eaux dans les canaux découverts et à travers les terrains perméables. Dunod.
func (a *Aquifer) Dupuit(conductivity float64, base []float64, recharge float64) (*Heads, error) {
	if err := errors.Join(a.checkSteady(recharge), checkConductivity(conductivity)); err != nil {
		return nil, err
	}
	if len(base) != a.Len() {
		return nil, fmt.Errorf("%d values of the base for %d cells", len(base), a.Len())
	}
	round := *a
	round.Transmissivity = make([]float64, a.Len())
	h := &Heads{Head: a.firstGuess()}
	old := make([]float64, a.Len())
	for range mostRounds {
		for i := range round.Transmissivity {
			round.Transmissivity[i] = math.NaN()
			if a.isIn(i) {
				round.Transmissivity[i] = conductivity * max(h.Head[i]-base[i], leastSaturate)
				if a.isFixed(i) {
					round.Transmissivity[i] = conductivity * max(a.Held[i]-base[i], leastSaturate)
				}
			}
		}
		copy(old, h.Head)
		if err := round.settle(h, recharge); err != nil {
			return nil, err
		}
		change := 0.0
		for i, v := range h.Head {
			if a.isIn(i) && !a.isFixed(i) {
				change = max(change, math.Abs(v-old[i]))
			}
		}
		if change <= leastChange {
			return h, nil
		}
	}
	return nil, fmt.Errorf("the water table over the barrier did not settle in %d rounds", mostRounds)
}
