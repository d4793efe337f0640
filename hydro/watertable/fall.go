package watertable

import (
	"errors"
	"fmt"
	"math"
)

// fallTolerance is how far the balance of a step may be out, as a part of the
// flow in it.
const fallTolerance = 1e-13

// A Falling is how a water table changes with time, in an aquifer that gives
// up part of its volume, the drainable porosity, as its water table falls.
type Falling struct {
	Porosity float64 // drainable, share of the volume
	Recharge float64 // m/day
	Days     float64
	Steps    int

	// Ground bounds the heads, m: what would stand above it seeps out at the
	// end of every step and is gone. Nil is no bound.
	Ground []float64
}

// A Fallen is a water table after a time, and where its water went, m³:
// Recharge + Released = Drained + Seeped.
type Fallen struct {
	Head []float64 // m

	Recharge float64
	Released float64 // from the soil of the cells that are not held
	Drained  float64 // by the held heads
	Seeped   float64
}

// Fall lets a water table fall, or rise, from the heads given, m, one for each
// cell, which are left as they are. What makes no sense of the aquifer, the
// heads or the fall is an error. The steps are those of Crank and Nicolson (1947), the first two
// taken as four half ones of Euler's implicit method, which smooths the jump
// at a ditch (Rannacher, R. (1984), Finite element solution of diffusion
// problems with irregular data, Numerische Mathematik 43, 309–327). Both are
// second order in time together and lose no water. It needs no held head.
func (a *Aquifer) Fall(head []float64, f Falling) (*Fallen, error) {
	if err := errors.Join(a.check(), f.check(a)); err != nil {
		return nil, err
	}
	if len(head) != a.Len() {
		return nil, fmt.Errorf("%d heads for %d cells", len(head), a.Len())
	}
	for i, h := range head {
		if a.isIn(i) && (math.IsNaN(h) || math.IsInf(h, 0)) {
			r, c := a.Cell(i)
			return nil, fmt.Errorf("the head of row %d, column %d is %g", r, c, h)
		}
	}
	half := f.Days / float64(f.Steps) / 2
	capacity := f.Porosity * a.CellArea() // m³ of water a metre of head
	s := newSolver(a, capacity/half)
	source := f.Recharge * a.CellArea()
	out := &Fallen{Head: append([]float64(nil), head...)}
	before := make([]float64, a.Len())
	for i := range out.Head {
		if s.fixed[i] {
			out.Head[i] = a.Held[i]
		}
	}

	// A half step of Euler's; run on for as long again it is one of Crank and
	// Nicolson.
	step := func(runOn bool) error {
		copy(before, out.Head)
		if _, err := s.correct(out.Head, a.Held, source, fallTolerance); err != nil {
			return err
		}
		days := half
		if runOn {
			days *= 2
		}
		out.Drained += days * s.drained(out.Head, a.Held, source)
		for i := range out.Head {
			if !a.isIn(i) {
				continue
			}
			out.Recharge += days * source
			if s.fixed[i] {
				continue
			}
			change := out.Head[i] - before[i]
			if runOn {
				change *= 2
				out.Head[i] = before[i] + change
			}
			out.Released -= capacity * change
			if f.Ground != nil && out.Head[i] > f.Ground[i] {
				excess := capacity * (out.Head[i] - f.Ground[i])
				out.Seeped += excess
				out.Released += excess
				out.Head[i] = f.Ground[i]
			}
		}
		return nil
	}
	for n := range f.Steps {
		if n >= 2 {
			if err := step(true); err != nil {
				return nil, err
			}
			continue
		}
		for range 2 {
			if err := step(false); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func (f Falling) check(a *Aquifer) error {
	bad := []error{checkPorosity(f.Porosity)}
	if math.IsNaN(f.Recharge) || math.IsInf(f.Recharge, 0) {
		bad = append(bad, fmt.Errorf("recharge %g is not a number of metres a day", f.Recharge))
	}
	if !(f.Days > 0) || math.IsInf(f.Days, 0) {
		bad = append(bad, fmt.Errorf("%g days to fall is not more than 0", f.Days))
	}
	if f.Steps < 1 {
		bad = append(bad, fmt.Errorf("%d steps; one or more are needed", f.Steps))
	}
	if f.Ground != nil && len(f.Ground) != a.Len() {
		bad = append(bad, fmt.Errorf("%d values of the ground for %d cells", len(f.Ground), a.Len()))
	}
	return errors.Join(bad...)
}
