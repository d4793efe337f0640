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
// the site, scaled to its size and drawn out where the covariance is that of
// some direction, the coordinates that breaklines add, heights less their
// mean, and the columns of the trend. Column j of shot i is trend[i*terms+j].
//
// Places to predict at are samples without height and noise.
type samples struct {
	x, y  []float64
	lift  [][]float64 // by breakline, then by sample
	z     []float64   // m
	noise []float64   // variance of the shot's error, m²; NaN where the nugget is to stand for it
	trend []float64
	terms int
}

func (s *samples) len() int { return len(s.x) }

// pick is some of the samples, in the order asked for.
func (s *samples) pick(which []int) *samples {
	p := &samples{terms: s.terms, x: picked(s.x, which), y: picked(s.y, which)}
	if s.z != nil {
		p.z, p.noise = picked(s.z, which), picked(s.noise, which)
	}
	for _, l := range s.lift {
		p.lift = append(p.lift, picked(l, which))
	}
	p.trend = make([]float64, 0, len(which)*s.terms)
	for _, i := range which {
		p.trend = append(p.trend, s.trend[i*s.terms:(i+1)*s.terms]...)
	}
	return p
}

func picked(all []float64, which []int) []float64 {
	some := make([]float64, len(which))
	for k, i := range which {
		some[k] = all[i]
	}
	return some
}

// drawn are the same samples with their coordinates drawn out.
func (s *samples) drawn(w warp) *samples {
	d := *s
	d.x, d.y = make([]float64, s.len()), make([]float64, s.len())
	for i := range d.x {
		d.x[i], d.y[i] = w.apply(s.x[i], s.y[i])
	}
	return &d
}

// between writes the squared distances from sample i to those of another set
// from lo on, as many as fit.
func (s *samples) between(i int, to *samples, lo int, d []float64) {
	x, y := s.x[i], s.y[i]
	xs, ys := to.x[lo:lo+len(d)], to.y[lo:lo+len(d)]
	for j := range d {
		dx, dy := xs[j]-x, ys[j]-y
		d[j] = dx*dx + dy*dy
	}
	for k, l := range s.lift {
		h := l[i]
		for j, v := range to.lift[k][lo : lo+len(d)] {
			d[j] += (v - h) * (v - h)
		}
	}
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
		s.between(i, s, i+1, row)
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
const batch = 128

// predict writes the mean of the ground (m, from the mean of the heights) at
// some places, and unless nil its variance relative to the sill.
func (sys *system) predict(d *drift, weights []float64, at *samples, mean, variance []float64, work *[]float64) {
	n, p, trend := sys.len(), sys.terms, at.trend
	for lo := 0; lo < at.len(); lo += batch {
		hi := min(lo+batch, at.len())
		m := hi - lo
		if cap(*work) < n*batch {
			*work = make([]float64, n*batch)
		}
		c := blas64.General{Rows: n, Cols: m, Stride: m, Data: (*work)[:n*m]}
		for i := range n {
			sys.between(i, at, lo, c.Data[i*m:(i+1)*m])
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
		if at.len() == 1 { // many times faster for one point than a product of matrices
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
