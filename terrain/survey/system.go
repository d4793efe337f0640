package survey

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// jitter is added to the diagonal of every correlation matrix so that shots
// at one place do not make it singular. It stands for an error of a hundred
// thousandth of the surface's own deviation.
const jitter = 1e-10

// samples are shots as the solver sees them: places brought to the middle of
// the site and scaled to its size, heights less their mean, the columns of
// the trend. Column j of shot i is trend[i*terms+j].
type samples struct {
	x, y  []float64
	z     []float64 // m
	noise []float64 // variance of the shot's error, m²; NaN where the nugget is to stand for it
	trend []float64
	terms int
}

func (s *samples) len() int { return len(s.z) }

// pick is some of the samples, in the order asked for.
func (s *samples) pick(which []int) *samples {
	p := &samples{terms: s.terms}
	for _, i := range which {
		p.x = append(p.x, s.x[i])
		p.y = append(p.y, s.y[i])
		p.z = append(p.z, s.z[i])
		p.noise = append(p.noise, s.noise[i])
		p.trend = append(p.trend, s.trend[i*s.terms:(i+1)*s.terms]...)
	}
	return p
}

// diagonal is what the error of each shot adds to the diagonal of the
// correlation matrix, for a sill and a nugget in m², and a blur for all.
func (s *samples) diagonal(sill, nugget, blur float64) []float64 {
	d := make([]float64, s.len())
	for i, v := range s.noise {
		if math.IsNaN(v) {
			v = nugget
		}
		d[i] = v/sill + blur
	}
	return d
}

// A system is the correlation matrix of some samples, with their errors on
// the diagonal, in the form UᵀU, and the trend and heights it was solved
// for. Everything is relative to the sill.
type system struct {
	*samples
	kernel Kernel
	scale  float64           // one over the range, in scaled coordinates
	u      blas64.Triangular // upper
	logDet float64
	white  blas64.General // U⁻ᵀ times the trend's columns and, last, the heights
}

// newSystem factors the correlation matrix. The buffer is used for it if it
// is large enough. It reports whether the matrix was positive definite, which
// rounding may spoil where shots lie nearly at one place.
func newSystem(s *samples, kernel Kernel, scale float64, diagonal, buffer []float64) (*system, bool) {
	n := s.len()
	if cap(buffer) < n*n {
		buffer = make([]float64, n*n)
	}
	a := blas64.Symmetric{Uplo: blas.Upper, N: n, Stride: n, Data: buffer[:n*n]}
	for i := range n {
		row := a.Data[i*n+i+1 : (i+1)*n]
		xs, ys := s.x[i+1:n], s.y[i+1:n]
		for j := range row {
			dx, dy := xs[j]-s.x[i], ys[j]-s.y[i]
			row[j] = dx*dx + dy*dy
		}
		kernel.correlate(row, scale)
		a.Data[i*n+i] = 1 + diagonal[i]
	}
	u, ok := lapack64.Potrf(a)
	if !ok {
		return nil, false
	}
	sys := &system{samples: s, kernel: kernel, scale: scale, u: u}
	for i := range n {
		sys.logDet += 2 * math.Log(u.Data[i*n+i])
	}
	cols := s.terms + 1
	sys.white = blas64.General{Rows: n, Cols: cols, Stride: cols, Data: make([]float64, n*cols)}
	for i := range n {
		copy(sys.white.Data[i*cols:], s.trend[i*s.terms:(i+1)*s.terms])
		sys.white.Data[i*cols+s.terms] = s.z[i]
	}
	blas64.Trsm(blas.Left, blas.Trans, 1, u, sys.white)
	return sys, true
}

// weights is K⁻¹ (z - trend): what each sample contributes to the mean at a
// point, per unit of its correlation with it.
func (sys *system) weights(beta []float64) []float64 {
	w := make([]float64, sys.len())
	for i := range w {
		row := sys.white.Data[i*sys.white.Stride:]
		w[i] = row[sys.terms] - floats.Dot(row[:sys.terms], beta)
	}
	blas64.Trsv(blas.NoTrans, sys.u, blas64.Vector{N: len(w), Inc: 1, Data: w})
	return w
}

// A drift is the trend as generalised least squares finds it, relative to a
// sill of one.
type drift struct {
	beta    []float64
	root    blas64.Triangular // upper, rootᵀ root = FᵀK⁻¹F
	logDet  float64           // of FᵀK⁻¹F
	quad    float64           // what the trend leaves of zᵀK⁻¹z
	samples int
}

// newDrift pools systems that are taken as independent but for their common
// trend. One system alone is solved exactly. It reports whether there was
// enough to tell all terms of the trend.
func newDrift(systems []*system) (*drift, bool) {
	p := systems[0].terms
	d := &drift{beta: make([]float64, p)}
	normal := make([]float64, p*p) // FᵀK⁻¹F; beta holds FᵀK⁻¹z until it is solved for
	for _, sys := range systems {
		d.samples += sys.len()
		for i := range sys.len() {
			row := sys.white.Data[i*sys.white.Stride:][:p+1]
			z := row[p]
			d.quad += z * z
			for j, f := range row[:p] {
				d.beta[j] += f * z
				for k := j; k < p; k++ {
					normal[j*p+k] += f * row[k]
				}
			}
		}
	}
	var ok bool
	d.root, ok = lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: p, Stride: p, Data: normal})
	if !ok {
		return nil, false
	}
	half := blas64.Vector{N: p, Inc: 1, Data: d.beta}
	blas64.Trsv(blas.Trans, d.root, half)
	d.quad = max(d.quad-floats.Dot(d.beta, d.beta), 0)
	blas64.Trsv(blas.NoTrans, d.root, half)
	for i := range p {
		d.logDet += 2 * math.Log(d.root.Data[i*p+i])
	}
	return d, true
}

// plain is samples before anything is known of their covariance: newDrift
// makes ordinary least squares of them.
func plain(s *samples) *system {
	cols := s.terms + 1
	sys := &system{samples: s, white: blas64.General{Rows: s.len(), Cols: cols, Stride: cols}}
	for i, z := range s.z {
		sys.white.Data = append(sys.white.Data, s.trend[i*s.terms:(i+1)*s.terms]...)
		sys.white.Data = append(sys.white.Data, z)
	}
	return sys
}

// batch is how many points are predicted together: enough to make the
// triangular solve run along rows, few enough for the cache.
const batch = 32

// predict writes the mean of the ground (m, from the mean of the heights) at
// some points, and unless nil its variance relative to the sill. The trend
// columns of point j are trend[j*terms:].
func (sys *system) predict(d *drift, weights, xs, ys, trend, mean, variance []float64, work *[]float64) {
	n, p := sys.len(), sys.terms
	for lo := 0; lo < len(xs); lo += batch {
		hi := min(lo+batch, len(xs))
		m := hi - lo
		if cap(*work) < n*batch {
			*work = make([]float64, n*batch)
		}
		c := blas64.General{Rows: n, Cols: m, Stride: m, Data: (*work)[:n*m]}
		x, y := xs[lo:hi], ys[lo:hi]
		for i := range n {
			row := c.Data[i*m : (i+1)*m]
			for j := range row {
				dx, dy := sys.x[i]-x[j], sys.y[i]-y[j]
				row[j] = dx*dx + dy*dy
			}
		}
		sys.kernel.correlate(c.Data, sys.scale)
		out := mean[lo:hi]
		for j := range out {
			out[j] = floats.Dot(trend[(lo+j)*p:(lo+j+1)*p], d.beta)
		}
		for i, w := range weights {
			floats.AddScaled(out, w, c.Data[i*m:(i+1)*m])
		}
		if variance == nil {
			continue
		}
		if len(xs) == 1 { // many times faster for one point than a product of matrices
			blas64.Trsv(blas.Trans, sys.u, blas64.Vector{N: n, Inc: 1, Data: c.Data})
		} else {
			blas64.Trsm(blas.Left, blas.Trans, 1, sys.u, c)
		}
		// u is what of the trend at the point the samples do not already tell.
		u := make([]float64, m*p)
		copy(u, trend[lo*p:hi*p])
		v := variance[lo:hi]
		for j := range v {
			v[j] = 1
		}
		for i := range n {
			f := sys.white.Data[i*sys.white.Stride:][:p]
			for j, w := range c.Data[i*m : (i+1)*m] {
				v[j] -= w * w
				for k, fk := range f {
					u[j*p+k] -= fk * w
				}
			}
		}
		for j := range v {
			at := blas64.Vector{N: p, Inc: 1, Data: u[j*p : (j+1)*p]}
			blas64.Trsv(blas.Trans, d.root, at)
			v[j] = max(v[j]+floats.Dot(at.Data, at.Data), 0)
		}
	}
}
