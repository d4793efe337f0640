package field

import (
	"math"
	"math/rand/v2"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// A Shot is a height taken on the ground: where, how high and one standard
// deviation of its error, m. With an error of 0 every draw passes through it.
type Shot struct {
	Point orb.Point
	Z, SD float64
}

// MostShots is how many shots a ground is conditioned on at most: their
// covariance is held and solved whole.
const MostShots = 3000

// A reading is how a shot sees the cells of the window: between the middles
// of four of them the ground is bilinear. A cell may be named twice, with
// weight 0.
type reading struct {
	row, col [4]int
	weight   [4]float64
}

// read is the reading at a place in the window, in cells from its north-west
// corner. On the rim the outermost middles stand for what lies beyond.
func (w window) read(x, y float64) reading {
	split := func(v float64, n int) (int, int, float64) {
		v = min(max(v-0.5, 0), float64(n-1))
		lo := min(int(v), max(n-2, 0))
		return lo, min(lo+1, n-1), v - float64(lo)
	}
	c0, c1, u := split(x, w.cols)
	r0, r1, v := split(y, w.rows)
	return reading{
		row:    [4]int{r0, r0, r1, r1},
		col:    [4]int{c0, c1, c0, c1},
		weight: [4]float64{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v},
	}
}

// shots is the linear algebra of conditioning a field of covariance C on what
// n shots read of it, y = Hf + error, about a trend F of terms columns. With
// K = HCHᵀ + the variances of the errors, the field is foretold from readings
// as CHᵀw + Fβ, with β = (FᵀK⁻¹F)⁻¹FᵀK⁻¹y and w = K⁻¹(y - Fβ): universal
// kriging, or simple kriging where there is no trend.
type shots struct {
	readings []reading
	sd       []float64 // of each reading's error, m
	terms    int       // of the trend
	trend    []float64 // n × terms, at the shots
	k        []float64 // n × n: below the diagonal K, from it up the factor of K
	diagonal []float64 // of K
	g        []float64 // K⁻¹F, n × terms
	inner    []float64 // (FᵀK⁻¹F)⁻¹, terms × terms
}

func (s *shots) count() int {
	if s == nil {
		return 0
	}
	return len(s.readings)
}

func (s *shots) bytes() int64 {
	return int64(len(s.k)+len(s.diagonal)+len(s.g)+len(s.trend)+len(s.sd))*8 + int64(len(s.readings))*96
}

// trendAt is the columns of the trend at a place in the window, in cells.
func (w window) trendAt(dst []float64, terms int, x, y float64) []float64 {
	if terms == 0 {
		return dst
	}
	dst = append(dst, 1)
	if terms == 3 {
		size := float64(max(w.rows, w.cols))
		dst = append(dst, (x-float64(w.cols)/2)/size, (y-float64(w.rows)/2)/size)
	}
	return dst
}

// between is the covariance of two readings, given that of cells by lag.
func (t torus) between(table []float64, a, b *reading) float64 {
	var sum float64
	for i, u := range a.weight {
		if u == 0 {
			continue
		}
		for j, v := range b.weight {
			if v != 0 {
				sum += u * v * table[t.at(a.row[i]-b.row[j], a.col[i]-b.col[j])]
			}
		}
	}
	return sum
}

// solveWith works out the covariance of the shots and its factor. It reports
// what had to be added to the variance of every reading to tell shots at one
// place from each other, relative to that of the field.
func (s *shots) solveWith(t torus, table []float64) (added float64, ok bool) {
	n := s.count()
	s.k = make([]float64, n*n)
	s.diagonal = make([]float64, n)
	whole := make([]float64, n)
	terrain.Bands(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			for j := range i {
				s.k[i*n+j] = t.between(table, &s.readings[i], &s.readings[j])
			}
			whole[i] = t.between(table, &s.readings[i], &s.readings[i]) + s.sd[i]*s.sd[i]
		}
	})
	var factor blas64.Triangular
	for added = 1e-12; ; added *= 10 {
		if added > 1e-4 {
			return added, false
		}
		for i := range n {
			s.diagonal[i] = whole[i] + added*table[0]
			s.k[i*n+i] = s.diagonal[i]
			for j := range i {
				s.k[j*n+i] = s.k[i*n+j]
			}
		}
		if factor, ok = lapack64.Potrf(s.symmetric()); ok {
			break
		}
	}
	if s.terms > 0 {
		p := s.terms
		s.g = append([]float64(nil), s.trend...)
		lapack64.Potrs(factor, blas64.General{Rows: n, Cols: p, Stride: p, Data: s.g})
		f, g := mat.NewDense(n, p, s.trend), mat.NewDense(n, p, s.g)
		var inner, inverse mat.Dense
		inner.Mul(f.T(), g)
		if err := inverse.Inverse(&inner); err != nil {
			return added, false
		}
		s.inner = inverse.RawMatrix().Data
	}
	return added, true
}

func (s *shots) symmetric() blas64.Symmetric {
	n := s.count()
	return blas64.Symmetric{N: n, Stride: n, Data: s.k, Uplo: blas.Upper}
}

func (s *shots) factor() blas64.Triangular {
	n := s.count()
	return blas64.Triangular{N: n, Stride: n, Data: s.k, Uplo: blas.Upper, Diag: blas.NonUnit}
}

// weigh turns m columns of readings, row by row, into weights in place and
// returns the coefficients of the trend, terms × m.
func (s *shots) weigh(y []float64, m int) []float64 {
	n, p := s.count(), s.terms
	beta := make([]float64, p*m)
	gy := make([]float64, p*m)
	for i := range n {
		for a := range p {
			for j := range m {
				gy[a*m+j] += s.g[i*p+a] * y[i*m+j]
			}
		}
	}
	for a := range p {
		for b := range p {
			for j := range m {
				beta[a*m+j] += s.inner[a*p+b] * gy[b*m+j]
			}
		}
	}
	lapack64.Potrs(s.factor(), blas64.General{Rows: n, Cols: m, Stride: m, Data: y})
	for i := range n {
		for a := range p {
			for j := range m {
				y[i*m+j] -= s.g[i*p+a] * beta[a*m+j]
			}
		}
	}
	return beta
}

// condition takes from the two fields a and b what the shots would have
// foretold of them: what is left is how far the ground may be from the mean
// (Matheron's way: Journel, A.G. (1974). Geostatistics for conditional
// simulation of ore bodies. Economic Geology 69, 673–687).
func (r *Room) condition(random *rand.Rand, a, b []float32) {
	d, s := r.d, r.shots
	for i, sd := range s.sd {
		r.readings[2*i] += sd * random.NormFloat64()
		r.readings[2*i+1] += sd * random.NormFloat64()
	}
	beta := s.weigh(r.readings, 2)
	r.foretell(a, b, r.readings)
	if s.terms == 0 {
		return
	}
	f := d.Frame
	var columns [3]float64
	for row := range f.Rows {
		for c := range f.Cols {
			u := d.window.trendAt(columns[:0], s.terms, float64(c+d.window.col)+0.5, float64(row+d.window.row)+0.5)
			var p, q float64
			for j, v := range u {
				p += v * beta[2*j]
				q += v * beta[2*j+1]
			}
			i := row*f.Cols + c
			a[i] -= float32(p)
			b[i] -= float32(q)
		}
	}
}

// load empties the field and puts pairs of weights on the cells the shots
// read.
func (r *Room) load(weights []float64) {
	cols := r.torus.cols
	for row, loaded := range r.loaded {
		if loaded {
			clear(r.field[row*cols : (row+1)*cols])
		}
	}
	for i := range r.d.shots.readings {
		s := &r.d.shots.readings[i]
		for j, w := range s.weight {
			if w == 0 {
				continue
			}
			v := &r.field[s.row[j]*cols+s.col[j]]
			*v += complex64(complex(w*weights[2*i], w*weights[2*i+1]))
		}
	}
}

// mark notes the rows that have a shot.
func (s *shots) mark(loaded []bool) {
	for i := range s.readings {
		for j, w := range s.readings[i].weight {
			if w != 0 {
				loaded[s.readings[i].row[j]] = true
			}
		}
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
