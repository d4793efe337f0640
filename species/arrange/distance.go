package arrange

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// shortest finds the shortest d of so many dimensions with g·d ≥ h for each row g
// of some half-spaces, and how much each of them pushes, 0 for those that do
// not matter. It reports false where there is none, and then the pushes come
// with a sum of their rows that is next to nothing.
//
// It is problem LDP of Lawson, C.L., Hanson, R.J. (1974), Solving Least Squares
// Problems, chapter 23, which turns it into one of least squares with
// coefficients that are not negative (from memory).
func shortest(g [][]float64, h []float64, dimensions int) (d, push []float64, ok bool) {
	scale := 0.0 // of lengths, so that the two parts of a column are alike
	size := make([]float64, len(g))
	for k, row := range g {
		for _, x := range row {
			size[k] += x * x
		}
		size[k] = math.Sqrt(size[k])
		if size[k] > 0 {
			scale = max(scale, math.Abs(h[k])/size[k])
		}
	}
	if scale == 0 {
		scale = 1
	}
	columns := make([][]float64, len(g))
	for k, row := range g {
		columns[k] = make([]float64, dimensions+1)
		if size[k] == 0 { // nothing can be done about it
			columns[k][dimensions] = h[k] / scale
			continue
		}
		for j, x := range row {
			columns[k][j] = x / size[k]
		}
		columns[k][dimensions] = h[k] / (size[k] * scale)
	}
	want := make([]float64, dimensions+1)
	want[dimensions] = 1
	y, rest := positive(columns, want)
	push = y
	for k := range push {
		if size[k] > 0 {
			push[k] /= size[k]
		}
	}
	const hair = 1e-9
	if rest[dimensions] < hair { // r·r = 1 − h·y of the least squares
		return nil, push, false
	}
	d = make([]float64, dimensions)
	for j := range d {
		d[j] = -rest[j] / rest[dimensions] * scale
	}
	return d, push, true
}

// positive finds the combination of columns, none with a coefficient below 0,
// that comes nearest to what is wanted, and what is left of that: the active
// set method of chapter 23 of the same book.
func positive(columns [][]float64, want []float64) (y, rest []float64) {
	y, rest = make([]float64, len(columns)), make([]float64, len(want))
	copy(rest, want)
	in, out := make([]bool, len(columns)), make([]bool, len(columns)) // among the active; of no use as things stand
	var active []int
	const hair = 1e-10
	for range 3 * (len(columns) + len(want)) {
		best, top := None, hair
		for k, c := range columns {
			if !in[k] && !out[k] {
				if w := dot(c, rest); w > top {
					best, top = k, w
				}
			}
		}
		if best == None {
			break
		}
		in[best] = true
		active = append(active, best)
		for {
			z, ok := fitted(columns, active, want)
			if !ok { // the last column is a combination of the others
				in[best], out[best] = false, true
				active = active[:len(active)-1]
				break
			}
			step := 1.0
			for at, k := range active {
				if z[at] <= 0 {
					step = min(step, y[k]/(y[k]-z[at]))
				}
			}
			kept := active[:0]
			for at, k := range active {
				y[k] += step * (z[at] - y[k])
				if step < 1 && y[k] <= 1e-14 {
					y[k], in[k] = 0, false
					continue
				}
				kept = append(kept, k)
			}
			whole := len(kept) == len(active)
			active = kept
			if whole {
				clear(out)
				break
			}
		}
		copy(rest, want)
		for _, k := range active {
			for j, x := range columns[k] {
				rest[j] -= y[k] * x
			}
		}
	}
	return y, rest
}

// fitted is the least squares solution over some columns; ok is false where
// they hang together.
func fitted(columns [][]float64, active []int, want []float64) (z []float64, ok bool) {
	if len(active) > len(want) {
		return nil, false
	}
	a := mat.NewDense(len(want), len(active), nil)
	for at, k := range active {
		a.SetCol(at, columns[k])
	}
	var qr mat.QR
	qr.Factorize(a)
	if c := qr.Cond(); math.IsInf(c, 1) || math.IsNaN(c) || c > 1e13 {
		return nil, false
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(len(want), want)); err != nil {
		return nil, false
	}
	return x.RawVector().Data, true
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for j, x := range a {
		sum += x * b[j]
	}
	return sum
}
