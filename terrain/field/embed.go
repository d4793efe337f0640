package field

import (
	"math"

	"wetfeet/terrain"
)

const (
	padding  = 2    // reaches of the covariance between one edge of the ground and the other, round the torus
	negative = 1e-3 // share of the variance in negative eigenvalues that is let be
	widest   = 4    // times the ground, the largest torus tried
)

// embed lays a covariance round a torus that has room for rows × cols cells:
// circulant embedding. It is widened until the eigenvalues are no less than
// nothing, but for a thousandth of their sum, or it is four times as wide and
// high as the ground. What is left below is cut and the rest scaled to keep
// the variance; the share cut is returned.
//
// Dietrich, C.R., Newsam, G.N. (1997). Fast and exact simulation of stationary
// Gaussian processes through circulant embedding of the covariance matrix.
// SIAM Journal on Scientific Computing 18(4), 1088–1107. Wood, A.T.A., Chan,
// G. (1994). Simulation of stationary Gaussian processes in [0, 1]^d. Journal
// of Computational and Graphical Statistics 3(4), 409–432.
func embed(rows, cols int, cell, reach float64, covariance func(dx, dy float64) float64) (torus, []float64, float64) {
	pad := max(padding*reach/cell, 2)
	for {
		// Twice as wide, all lags on the ground are there as they are.
		t := padded(rows, cols, pad)
		eigen, clipped := t.eigenvalues(cell, covariance)
		if clipped <= negative || pad >= float64((widest-1)*max(rows, cols)) {
			return t, eigen, clipped
		}
		pad *= 1.5
	}
}

// padded is a torus with room for the ground and as many cells more.
func padded(rows, cols int, pad float64) torus {
	more := func(n int) int { return smooth(n + int(math.Ceil(min(pad, float64((widest-1)*n))))) }
	return torus{more(rows), more(cols)}
}

// eigenvalues of the covariance laid round the torus, none negative, and the
// share of their sum that was.
func (t torus) eigenvalues(cell float64, covariance func(dx, dy float64) float64) ([]float64, float64) {
	lags := make([]float64, t.len())
	// A lag of just half the way round lies on both sides.
	both := func(i, n int) (float64, float64) {
		switch {
		case 2*i < n:
			return float64(i), float64(i)
		case 2*i > n:
			return float64(i - n), float64(i - n)
		}
		return float64(i), float64(i - n)
	}
	terrain.Bands(t.rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			y0, y1 := both(r, t.rows)
			for c := range t.cols {
				x0, x1 := both(c, t.cols)
				v := covariance(x0*cell, -y0*cell)
				if x0 != x1 || y0 != y1 {
					v = (v + covariance(x1*cell, -y0*cell) + covariance(x0*cell, -y1*cell) + covariance(x1*cell, -y1*cell)) / 4
				}
				lags[r*t.cols+c] = v
			}
		}
	})
	spectrum := make([]complex128, t.half()*t.rows)
	t.forward(spectrum, lags)
	eigen := make([]float64, len(spectrum))
	var sum, below float64
	for k := range t.half() {
		m := t.mirrored(k)
		for r := range t.rows {
			i := k*t.rows + r
			v := real(spectrum[i])
			sum += m * v
			if v < 0 {
				below -= m * v
				v = 0
			}
			eigen[i] = v
		}
	}
	if below > 0 {
		scale := sum / (sum + below)
		for i := range eigen {
			eigen[i] *= scale
		}
	}
	return eigen, below / (sum + below)
}

// exponential falls to a twentieth at the practical range.
func exponential(variance, reach float64) func(dx, dy float64) float64 {
	scale := math.Log(20) / reach
	return func(dx, dy float64) float64 { return variance * math.Exp(-scale*math.Hypot(dx, dy)) }
}

// matern is Matérn 3/2, falling to a twentieth at the practical range.
func matern(variance, reach float64) func(dx, dy float64) float64 {
	const twentieth = 4.743864518390587 // (1 + u) exp(-u) is a twentieth there
	scale := twentieth / reach
	return func(dx, dy float64) float64 {
		u := scale * math.Hypot(dx, dy)
		return variance * (1 + u) * math.Exp(-u)
	}
}
