package terrain

import (
	"fmt"
	"math"
)

// smoothReach is how many standard deviations the kernel of Smooth extends;
// what lies beyond weighs less than 1 part in 10,000.
const smoothReach = 4

// Smooth writes z into dst, smoothed by a Gaussian whose standard deviation
// is length metres. A length of 0 or less copies.
//
// Rows are smoothed first and columns then. Each takes the value, at the cell,
// of the straight line that fits the known cells within reach best, weighed
// by the Gaussian (local linear regression: Cleveland, W.S. (1979), Robust
// locally weighted regression and smoothing scatterplots, Journal of the
// American Statistical Association 74(368), 829–836). Where all of them are
// known, that is the plain weighted mean. At the rim and beside voids a mean
// would lean inwards, raise the foot of a slope and lower its head, and so
// make water run where none does; the line does not, and a plane stays that
// plane to the last cell. The price is that the rim is smoothed less: there
// the noise that remains is about twice that of the interior, and four times
// in a corner.
//
// A void stays void and lends nothing to others. Dst must not be z; it panics
// when the two differ in rows or columns.
func Smooth(dst, z *Grid[float32], length float64) {
	if dst.Rows != z.Rows || dst.Cols != z.Cols {
		panic(fmt.Sprintf("terrain: smooth %d×%d cells into %d×%d", z.Rows, z.Cols, dst.Rows, dst.Cols))
	}
	if !(length > 0) {
		copy(dst.Cells, z.Cells)
		return
	}
	bell := newBell(length / z.CellSize)

	// Between the passes elevations are held above a datum on the ground
	// itself: far above the sea a float32 is too coarse for what smoothing
	// finds, close to its own datum it is not.
	datum := datumOf(z)
	half := NewGrid[float32](z.Frame)
	acrossRows := bell.windows(z.Cols)
	Bands(z.Rows, func(lo, hi int) {
		line := make([]float64, z.Cols)
		for r := lo; r < hi; r++ {
			for c, v := range z.Row(r) {
				line[c] = float64(v) - datum
			}
			bell.smoothRow(half.Row(r), line, acrossRows)
		}
	})
	acrossCols := bell.windows(z.Rows)
	Bands(z.Rows, func(lo, hi int) {
		sum := make([]float64, z.Cols)
		for r := lo; r < hi; r++ {
			bell.smoothAcross(dst.Row(r), sum, half, r, acrossCols[r], datum)
		}
	})
}

// datumOf is the first known elevation, or 0.
func datumOf(z *Grid[float32]) float64 {
	for _, v := range z.Cells {
		if v == v {
			return float64(v)
		}
	}
	return 0
}

// A bell is a sampled Gaussian: weight[k] is that of a cell k steps away.
type bell struct {
	reach  int
	weight []float64
}

func newBell(sd float64) bell {
	// At least one neighbour, however narrow, so that reach and weight agree.
	reach := max(1, int(math.Ceil(smoothReach*sd)))
	b := bell{reach: reach, weight: make([]float64, reach+1)}
	for k := range b.weight {
		x := float64(k) / sd
		b.weight[k] = math.Exp(-x * x / 2)
	}
	return b
}

// A window is the weights of the cells from index first on that make the
// smoothed value of one place in a line of known cells.
type window struct {
	first  int
	weight []float64
}

// windows is the window of every place in a line of n cells. Those that do
// not touch an end share one slice of weights.
func (b bell) windows(n int) []window {
	all := make([]window, n)
	var inner []float64
	for i := range all {
		lo, hi := max(0, i-b.reach), min(n-1, i+b.reach)
		all[i].first = lo
		if i-b.reach >= 0 && i+b.reach < n && inner != nil {
			all[i].weight = inner
			continue
		}
		w := make([]float64, hi-lo+1)
		var s0, s1, s2 float64
		for k := range w {
			t := float64(lo + k - i)
			g := b.weight[abs(lo+k-i)]
			s0 += g
			s1 += float64(g * t)
			s2 += float64(g * t * t)
		}
		det := float64(s0*s2) - float64(s1*s1)
		for k := range w {
			t := float64(lo + k - i)
			g := b.weight[abs(lo+k-i)]
			switch {
			case s2 > 0:
				w[k] = g * (s2 - float64(s1*t)) / det
			case t == 0: // too narrow to reach a neighbour
				w[k] = 1
			}
		}
		all[i].weight = w
		if i-b.reach >= 0 && i+b.reach < n {
			inner = w
		}
	}
	return all
}

// smoothRow smooths one line of cells.
func (b bell) smoothRow(dst []float32, line []float64, windows []window) {
	for c := range dst {
		w := windows[c].weight
		cells := line[windows[c].first:][:len(w)]
		var sum float64
		for k, g := range w {
			sum += float64(g * cells[k])
		}
		if sum != sum && line[c] == line[c] {
			sum = b.beside(c, len(line), func(i int) float64 { return line[i] })
		}
		dst[c] = float32(sum)
	}
}

// smoothAcross smooths row r of z along its columns. Whole rows are added up,
// because walking down one column at a time would miss the cache at every
// step.
func (b bell) smoothAcross(dst []float32, sum []float64, z *Grid[float32], r int, w window, datum float64) {
	clear(sum)
	for k, g := range w.weight {
		row := z.Row(w.first + k)[:len(sum)]
		for c := range sum {
			sum[c] += float64(g * float64(row[c]))
		}
	}
	mid := z.Row(r)
	for c, v := range sum {
		if v != v && mid[c] == mid[c] {
			v = b.beside(r, z.Rows, func(i int) float64 { return float64(z.At(i, c)) })
		}
		dst[c] = float32(v + datum)
	}
}

// beside is the smoothed value at place i of a line of n cells some of which,
// within reach, are void.
func (b bell) beside(i, n int, at func(int) float64) float64 {
	var s0, s1, s2, z0, z1 float64
	for k := max(0, i-b.reach); k <= min(n-1, i+b.reach); k++ {
		v := at(k)
		if v != v {
			continue
		}
		t, g := float64(k-i), b.weight[abs(k-i)]
		s0 += g
		s1 += float64(g * t)
		s2 += float64(g * t * t)
		z0 += float64(g * v)
		z1 += float64(g * t * v)
	}
	if s2 == 0 { // alone
		return z0 / s0
	}
	return (float64(s2*z0) - float64(s1*z1)) / (float64(s0*s2) - float64(s1*s1))
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// SmoothingKernel is the weights, which add up to 1, that [Smooth] gives the
// cells along a row, or a column, far from the rim and from voids, for a
// standard deviation in cells. It is a lone 1 where nothing is smoothed.
func SmoothingKernel(sd float64) []float64 {
	if !(sd > 0) {
		return []float64{1}
	}
	b := newBell(sd)
	return b.windows(2*b.reach + 1)[b.reach].weight
}
