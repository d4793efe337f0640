package watertable

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wetfeet/terrain"
)

// An Aquifer is a layer of soil that carries water sideways, on a grid.
//
// Water goes between cells that share a side, by the mean of their
// transmissivities times the difference of their heads. Nothing crosses the
// rim.
type Aquifer struct {
	terrain.Frame

	// Transmissivity of every cell, m²/day: the saturated conductivity times
	// the saturated thickness. NaN or 0 is a cell that takes no part.
	Transmissivity []float64

	// Held is the head of the cells where something holds it, m: a ditch, a
	// drain, a pond. NaN is a free cell.
	Held []float64

	// Entry is the conductance between a held head and its cell, m²/day, where
	// water loses head on its way in, as into a pipe: see [DrainEntry]. 0 holds
	// the cell itself. Nil holds all of them.
	Entry []float64
}

// isIn reports whether a cell takes part.
func (a *Aquifer) isIn(i int) bool { return a.Transmissivity[i] > 0 }

// isFixed reports whether the head of a cell itself is held.
func (a *Aquifer) isFixed(i int) bool {
	return a.isIn(i) && !math.IsNaN(a.Held[i]) && (a.Entry == nil || a.Entry[i] == 0)
}

func (a *Aquifer) check() error {
	var bad []error
	for _, v := range []struct {
		name   string
		values []float64
		isGood func(v float64) bool
		accept string
	}{
		{"transmissivity", a.Transmissivity, func(v float64) bool { return !(v < 0) && !math.IsInf(v, 0) }, "0 m²/day or more, or NaN"},
		{"held head", a.Held, func(v float64) bool { return !math.IsInf(v, 0) }, "a head in metres, or NaN"},
		{"entry", a.Entry, func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }, "0 m²/day or more"},
	} {
		if v.values == nil && v.name == "entry" {
			continue
		}
		if len(v.values) != a.Len() {
			bad = append(bad, fmt.Errorf("%d values of %s for %d cells", len(v.values), v.name, a.Len()))
			continue
		}
		for i, x := range v.values {
			if !v.isGood(x) {
				r, c := a.Cell(i)
				bad = append(bad, fmt.Errorf("%s of row %d, column %d is %g and not %s", v.name, r, c, x, v.accept))
				break
			}
		}
	}
	return errors.Join(bad...)
}

// A solver is an aquifer ready to be solved for one pattern of held cells.
type solver struct {
	a     *Aquifer
	grid  *multigrid
	fixed []bool
	x, b  []float64
}

// newSolver prepares an aquifer. Storage is what a cell loses besides to the
// water it gives up when its head falls, m²/day: 0 for steady flow.
func newSolver(a *Aquifer, storage float64) *solver {
	s := &solver{a: a, fixed: make([]bool, a.Len())}
	for i := range s.fixed {
		s.fixed[i] = a.isFixed(i)
	}
	l := newLevel(a.Rows, a.Cols)
	s.eachFace(func(i, j int, conductance float64) {
		switch {
		case s.fixed[i] && s.fixed[j]:
		case s.fixed[i]:
			l.loss[l.pad+j] += conductance
		case s.fixed[j]:
			l.loss[l.pad+i] += conductance
		case j == i+1:
			l.east[l.pad+i] = conductance
		default:
			l.south[l.pad+i] = conductance
		}
	})
	for i := range s.fixed {
		if a.isIn(i) && !s.fixed[i] {
			l.loss[l.pad+i] += storage
			if !math.IsNaN(a.Held[i]) {
				l.loss[l.pad+i] += a.Entry[i]
			}
		}
	}
	l.finish()
	s.grid = newMultigrid(l)
	s.x, s.b = l.vector(), l.vector()
	return s
}

// eachFace visits every two cells that share a side and both take part, the
// one with the lower index first.
func (s *solver) eachFace(visit func(i, j int, conductance float64)) {
	a := s.a
	for i := range a.Len() {
		if !a.isIn(i) {
			continue
		}
		if j := i + 1; j%a.Cols != 0 && a.isIn(j) {
			visit(i, j, (a.Transmissivity[i]+a.Transmissivity[j])/2)
		}
		if j := i + a.Cols; j < a.Len() && a.isIn(j) {
			visit(i, j, (a.Transmissivity[i]+a.Transmissivity[j])/2)
		}
	}
}

// correct changes the heads so that every free cell loses what source brings
// it, m³/day, to its neighbours, to the heads held, and to storage from what
// it holds now. Working on differences of head, it does not mind how high
// above the sea the site lies. It returns the number of cycles taken.
func (s *solver) correct(head, held []float64, source, tolerance float64) (int, error) {
	l, a := s.grid.levels[0], s.a
	for i := range head {
		s.x[l.pad+i], s.b[l.pad+i] = 0, 0
		switch {
		case !a.isIn(i):
			head[i] = math.NaN()
		case s.fixed[i]:
			head[i] = held[i]
		default:
			s.b[l.pad+i] = source
			if !math.IsNaN(held[i]) {
				s.b[l.pad+i] = source - float64(a.Entry[i]*(head[i]-held[i]))
			}
		}
	}
	s.eachFace(func(i, j int, conductance float64) {
		flow := float64(conductance * (head[i] - head[j]))
		if !s.fixed[i] {
			s.b[l.pad+i] -= flow
		}
		if !s.fixed[j] {
			s.b[l.pad+j] += flow
		}
	})
	n, err := s.grid.solve(s.x, s.b, tolerance)
	for i := range head {
		if a.isIn(i) && !s.fixed[i] {
			head[i] += s.x[l.pad+i]
		}
	}
	return n, err
}

// drained is what the held heads take, m³/day, at the heads given. The source
// of a fixed cell, m³/day, goes there too.
func (s *solver) drained(head, held []float64, source float64) float64 {
	a, sum := s.a, 0.0
	s.eachFace(func(i, j int, conductance float64) {
		switch {
		case s.fixed[i] && !s.fixed[j]:
			sum += float64(conductance * (head[j] - head[i]))
		case s.fixed[j] && !s.fixed[i]:
			sum += float64(conductance * (head[i] - head[j]))
		}
	})
	for i := range head {
		switch {
		case s.fixed[i]:
			sum += source
		case a.isIn(i) && !math.IsNaN(held[i]):
			sum += float64(a.Entry[i] * (head[i] - held[i]))
		}
	}
	return sum
}

// unheld lists one free cell of every patch that no held head reaches, where
// steady flow has no answer.
func (a *Aquifer) unheld() []int {
	var starts []int
	a.eachPatch(func(cells []int) {
		if !slices.ContainsFunc(cells, func(i int) bool { return !math.IsNaN(a.Held[i]) }) {
			starts = append(starts, cells[0])
		}
	})
	return starts
}

// eachPatch visits every patch of cells that take part and hang together over
// their sides. The cell with the lowest index comes first.
func (a *Aquifer) eachPatch(visit func(cells []int)) {
	seen := make([]bool, a.Len())
	var cells []int
	for start := range seen {
		if seen[start] || !a.isIn(start) {
			continue
		}
		seen[start] = true
		cells = append(cells[:0], start)
		for n := 0; n < len(cells); n++ {
			r, c := a.Cell(cells[n])
			for _, to := range [4][2]int{{r - 1, c}, {r, c - 1}, {r, c + 1}, {r + 1, c}} {
				if j := a.Index(to[0], to[1]); a.Holds(to[0], to[1]) && !seen[j] && a.isIn(j) {
					seen[j] = true
					cells = append(cells, j)
				}
			}
		}
		visit(cells)
	}
}
