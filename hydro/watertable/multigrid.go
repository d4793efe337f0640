package watertable

import (
	"fmt"
	"math"

	"wetfeet/terrain"
)

// A level is one grid of the multigrid: the conductances between cells that
// share a side, and on the diagonal what each loses besides. Coarser levels
// join two by two cells.
//
// Vectors carry a margin of cols+1 cells at both ends, so that the neighbours
// of every cell can be read; the conductances to those in the margin are 0.
type level struct {
	rows, cols, pad int

	east, south []float64 // conductance to the neighbour, m²/day
	loss        []float64 // conductance to held heads and to storage, m²/day
	inverse     []float64 // one over the diagonal, 0 where there is no unknown

	x, b, res []float64 // correction, right side, residual while cycling
}

func newLevel(rows, cols int) *level {
	l := &level{rows: rows, cols: cols, pad: cols + 1}
	l.east, l.south, l.loss, l.inverse = l.vector(), l.vector(), l.vector(), l.vector()
	return l
}

func (l *level) vector() []float64 { return make([]float64, l.rows*l.cols+2*l.pad) }

// at is the place of a cell in a vector.
func (l *level) at(row, col int) int { return l.pad + row*l.cols + col }

// finish computes the diagonal once the conductances are there.
func (l *level) finish() {
	l.bands(func(lo, hi int) {
		for i := l.at(lo, 0); i < l.at(hi, 0); i++ {
			d := l.loss[i] + l.east[i] + l.east[i-1] + l.south[i] + l.south[i-l.cols]
			if l.inverse[i] = 0; d > 0 {
				l.inverse[i] = 1 / d
			}
		}
	})
}

// coarser joins two by two cells. A conductance over a length twice as long
// is half as large, and two side by side carry twice as much, so only the
// direction that is made coarser counts.
func (l *level) coarser() *level {
	rows, cols := (l.rows+1)/2, (l.cols+1)/2
	c := newLevel(rows, cols)
	alongRow, alongCol := 0.5, 0.5
	if l.cols == 1 {
		alongRow = 1
	}
	if l.rows == 1 {
		alongCol = 1
	}
	c.bands(func(lo, hi int) {
		for r := 2 * lo; r < min(2*hi, l.rows); r++ {
			for k := range l.cols {
				i, j := l.at(r, k), c.at(r/2, k/2)
				c.loss[j] += l.loss[i]
				if k%2 == 1 {
					c.east[j] += alongRow * l.east[i]
				}
				if r%2 == 1 {
					c.south[j] += alongCol * l.south[i]
				}
			}
		}
	})
	c.finish()
	return c
}

// bands is terrain.Bands for grids large enough to be worth threads.
func (l *level) bands(f func(lo, hi int)) {
	if l.rows*l.cols < 1<<14 {
		f(0, l.rows)
		return
	}
	terrain.Bands(l.rows, f)
}

// relax sets every second cell, like one colour of a chess board, to what its
// neighbours and b ask for (Gauss-Seidel). The cells of a colour do not look
// at each other, so their order and the threads do not show.
func (l *level) relax(x, b []float64, colour int) {
	l.bands(func(lo, hi int) {
		for r := lo; r < hi; r++ {
			i := l.at(r, 0)
			mid, up, down := x[i-1:i+l.cols+1], x[i-l.cols:i], x[i+l.cols:i+2*l.cols]
			east, north, south := l.east[i-1:i+l.cols], l.south[i-l.cols:i], l.south[i:i+l.cols]
			rhs, inverse := b[i:i+l.cols], l.inverse[i:i+l.cols]
			for c := (r + colour) & 1; c < len(rhs); c += 2 {
				sum := float64(east[c]*mid[c]) + float64(east[c+1]*mid[c+2]) +
					float64(north[c]*up[c]) + float64(south[c]*down[c])
				mid[c+1] = (rhs[c] + sum) * inverse[c]
			}
		}
	})
}

// apply writes A x into dst, and the inner product of each row of x and A x
// into rows unless it is nil.
func (l *level) apply(dst, x, rows []float64) {
	l.bands(func(lo, hi int) {
		for r := lo; r < hi; r++ {
			i := l.at(r, 0)
			mid, up, down := x[i-1:i+l.cols+1], x[i-l.cols:i], x[i+l.cols:i+2*l.cols]
			east, north, south := l.east[i-1:i+l.cols], l.south[i-l.cols:i], l.south[i:i+l.cols]
			loss, out := l.loss[i:i+l.cols], dst[i:i+l.cols]
			dot := 0.0
			for c := range out {
				v := mid[c+1]
				out[c] = float64(loss[c]*v) + float64(east[c]*(v-mid[c])) + float64(east[c+1]*(v-mid[c+2])) +
					float64(north[c]*(v-up[c])) + float64(south[c]*(v-down[c]))
				dot += float64(v * out[c])
			}
			if rows != nil {
				rows[r] = dot
			}
		}
	})
}

// A multigrid solves A x = b for the flow of water between cells, by conjugate
// gradients with one multigrid cycle a step:
//
//	Hestenes, M.R., Stiefel, E. (1952). Methods of conjugate gradients for
//	solving linear systems. Journal of Research of the National Bureau of
//	Standards 49(6), 409–436.
//	Tatebe, O. (1993). The multigrid preconditioned conjugate gradient method.
//	Sixth Copper Mountain Conference on Multigrid Methods, NASA CP-3224.
//
// The cycle relaxes red, black, then on the coarser level, then black, red,
// and hands residuals down and corrections up unweighted, so that it is
// symmetric and void cells need no care. Alone it would be slow, but what it
// leaves over the gradients take.
type multigrid struct {
	levels []*level // finest first, down to a single cell

	p, q, z, r []float64 // of the finest
	rows       []float64
}

// newMultigrid builds the coarser levels under a finished one.
func newMultigrid(l *level) *multigrid {
	m := &multigrid{levels: []*level{l}}
	for l.rows*l.cols > 1 {
		l = l.coarser()
		m.levels = append(m.levels, l)
	}
	for _, l := range m.levels {
		l.x, l.b, l.res = l.vector(), l.vector(), l.vector()
	}
	l = m.levels[0]
	m.p, m.q, m.z, m.r = l.vector(), l.vector(), l.vector(), l.vector()
	m.rows = make([]float64, l.rows)
	return m
}

// cycle writes an approximation of A⁻¹ b into x on level k.
func (m *multigrid) cycle(k int, x, b []float64) {
	l := m.levels[k]
	clear(x)
	if k == len(m.levels)-1 {
		x[l.pad] = b[l.pad] * l.inverse[l.pad]
		return
	}
	l.relax(x, b, 0)
	l.relax(x, b, 1)
	below := m.levels[k+1]
	l.apply(l.res, x, nil)
	below.bands(func(lo, hi int) {
		clear(below.b[below.at(lo, 0):below.at(hi, 0)])
		for r := 2 * lo; r < min(2*hi, l.rows); r++ {
			i, j := l.at(r, 0), below.at(r/2, 0)
			rhs, res, sum := b[i:i+l.cols], l.res[i:i+l.cols], below.b[j:j+below.cols]
			for c := range rhs {
				sum[c/2] += rhs[c] - res[c]
			}
		}
	})
	m.cycle(k+1, below.x, below.b)
	l.bands(func(lo, hi int) {
		for r := lo; r < hi; r++ {
			i, j := l.at(r, 0), below.at(r/2, 0)
			out, inverse, up := x[i:i+l.cols], l.inverse[i:i+l.cols], below.x[j:j+below.cols]
			for c := range out {
				if inverse[c] > 0 {
					out[c] += up[c/2]
				}
			}
		}
	})
	l.relax(x, b, 1)
	l.relax(x, b, 0)
}

// dot is the inner product of two vectors, summed by row and then over rows,
// whatever the number of threads.
func (m *multigrid) dot(a, b []float64) float64 {
	l := m.levels[0]
	l.bands(func(lo, hi int) {
		for r := lo; r < hi; r++ {
			i := l.at(r, 0)
			u, v, sum := a[i:i+l.cols], b[i:i+l.cols], 0.0
			for c := range u {
				sum += float64(u[c] * v[c])
			}
			m.rows[r] = sum
		}
	})
	return m.total()
}

func (m *multigrid) total() float64 {
	sum := 0.0
	for _, v := range m.rows {
		sum += v
	}
	return sum
}

const mostCycles = 300

// solve improves x until the residual is no more than the tolerance times
// that of x = 0. It returns how many cycles it took.
func (m *multigrid) solve(x, b []float64, tolerance float64) (int, error) {
	l := m.levels[0]
	goal := tolerance * math.Sqrt(m.dot(b, b))
	l.apply(m.q, x, nil)
	each := func(f func(i int)) {
		l.bands(func(lo, hi int) {
			for i := l.at(lo, 0); i < l.at(hi, 0); i++ {
				f(i)
			}
		})
	}
	each(func(i int) { m.r[i] = b[i] - m.q[i] })
	clear(m.p)
	for n, old := 0, 1.0; ; n++ {
		size := math.Sqrt(m.dot(m.r, m.r))
		if size <= goal {
			return n, nil
		}
		if n == mostCycles || math.IsNaN(size) {
			return n, fmt.Errorf("the water table did not settle: the balance is still out by %.2g of the flow after %d rounds", size/goal*tolerance, n)
		}
		m.cycle(0, m.z, m.r)
		now := m.dot(m.r, m.z)
		beta := now / old
		if n == 0 {
			beta = 0
		}
		each(func(i int) { m.p[i] = m.z[i] + float64(beta*m.p[i]) })
		l.apply(m.q, m.p, m.rows)
		alpha := now / m.total()
		each(func(i int) {
			x[i] += float64(alpha * m.p[i])
			m.r[i] -= float64(alpha * m.q[i])
		})
		old = now
	}
}
