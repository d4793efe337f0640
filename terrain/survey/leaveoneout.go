package survey

import (
	"math"
	"slices"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// A Residual is one shot held against the surface through all others.
type Residual struct {
	Shot         Shot
	Predicted    float64 // from all other shots, m
	Off          float64 // shot less predicted, m
	SD           float64 // standard deviation to be expected of Off, m: of the ground and of the shot
	Standardised float64 // Off over SD
}

// A Validation is how well left-out shots are predicted.
type Validation struct {
	Residuals []Residual // in the order of the shots
	RMSE      float64    // root mean square of Off, m
	MAE       float64    // mean of |Off|, m
	Mean      float64    // mean of Off, m: near 0 unless the surface leans to one side
	MSDR      float64    // mean of Standardised²: near 1 if the deviations are honest
	Coverage  float64    // part of the shots inside their 90 % interval: near 0.9 if they are
}

// ninety is the half width of a 90 % interval, in standard deviations: the
// 95th percentile of the normal distribution.
const ninety = 1.6448536269514722

// LeaveOneOut predicts every shot from the others, with the covariance as it
// is. There are no refits: with P = K⁻¹ - K⁻¹F (FᵀK⁻¹F)⁻¹ FᵀK⁻¹ the residual
// of shot i is (P z)ᵢ / Pᵢᵢ and its variance 1 / Pᵢᵢ (Dubrule 1983). A shot on
// a breakline goes together with all the heights on the line that come from
// it: then P is that of all of these. Above 3,000 shots it is done patch by
// patch.
//
// A shot without which the trend is lost has NaN, and so have the means
// then. Shots are often clustered, so that a left-out one has others close
// by: read the figures as those of the surface near the shots, and see
// [Model.Blocks] for those farther off.
func (m *Model) LeaveOneOut() Validation {
	off := make([]float64, m.samples.len())
	variance := make([]float64, len(off))
	if m.whole != nil {
		groups := make([]group, len(m.shots))
		for i := range m.shots {
			groups[i] = m.group(i)
		}
		leaveOut(m.inverted(), m.weights, groups, off, variance)
	} else {
		// Each shot is in the box of one patch, so no two patches write the same.
		terrain.Bands(len(m.patches), func(lo, hi int) {
			for k := lo; k < hi; k++ {
				m.leaveOutOf(&m.patches[k], off, variance)
			}
		})
	}
	return m.validation(off, variance)
}

// A group is samples left out together. What comes of it is written for the
// first few, so that groups may share the rest.
type group struct {
	samples []int
	own     int
}

// group is the samples of some shots and those that their heights are in
// besides.
func (m *Model) group(shots ...int) group {
	g := group{slices.Clone(shots), len(shots)}
	if m.extras == nil {
		return g
	}
	var more []int
	for _, i := range shots {
		more = append(more, m.extras[i]...)
	}
	slices.Sort(more)
	g.samples = append(g.samples, slices.Compact(more)...)
	return g
}

// validation sums up the residuals of the shots and their variances relative
// to the sill.
func (m *Model) validation(off, variance []float64) Validation {
	var v Validation
	n := float64(len(m.shots))
	for i, s := range m.shots {
		r := Residual{Shot: s, Predicted: s.Z - off[i], Off: off[i], SD: m.deviation(variance[i])}
		r.Standardised = r.Off / r.SD
		v.Residuals = append(v.Residuals, r)
		v.RMSE += r.Off * r.Off / n
		v.MAE += math.Abs(r.Off) / n
		v.Mean += r.Off / n
		v.MSDR += r.Standardised * r.Standardised / n
		if math.Abs(r.Standardised) <= ninety {
			v.Coverage += 1 / n
		}
	}
	v.RMSE = math.Sqrt(v.RMSE)
	return v
}

// leaveOutOf does so for the shots in the box of a patch.
func (m *Model) leaveOutOf(p *patch, off, variance []float64) {
	s := m.solvePatch(p)
	patchOff, patchVariance := make([]float64, s.len()), make([]float64, s.len())
	var groups []group
	for _, i := range p.own {
		if i >= len(m.shots) {
			continue
		}
		local := group{own: 1}
		for _, k := range m.group(i).samples {
			if j := slices.Index(p.shots, k); j >= 0 {
				local.samples = append(local.samples, j)
			}
		}
		groups = append(groups, local)
	}
	leaveOut(precisionOf(s.system, nil), s.weights, groups, patchOff, patchVariance)
	for _, g := range groups {
		j := g.samples[0]
		off[p.shots[j]], variance[p.shots[j]] = patchOff[j], patchVariance[j]
	}
}

// A precision is P of some samples: the inverse of their covariance, relative
// to the sill, less what of it the trend takes.
type precision struct {
	n, terms int
	inverse  blas64.Triangular // U⁻¹
	told     []float64         // K⁻¹F root⁻¹, by sample and term: what each tells of the trend
}

// precisionOf inverts a system. A drift is found anew whatever is left out;
// without a drift the trend stays as it is.
func precisionOf(sys *system, d *drift) *precision {
	n, p := sys.len(), sys.terms
	pr := &precision{n: n, terms: p, told: make([]float64, n*p)}
	pr.inverse = inverted(sys.u)
	if d != nil {
		told := blas64.General{Rows: n, Cols: p, Stride: p, Data: pr.told}
		for i := range n {
			copy(told.Data[i*p:(i+1)*p], sys.white.Data[i*sys.white.Stride:])
		}
		blas64.Trsm(blas.Left, blas.NoTrans, 1, sys.u, told)
		blas64.Trsm(blas.Right, blas.NoTrans, 1, d.root, told)
	}
	return pr
}

// inverted is the inverse of an upper triangular matrix, block of columns by
// block of columns: each is a system of its own, no taller than the block lies
// deep, so that they can be had at once.
func inverted(u blas64.Triangular) blas64.Triangular {
	const wide = 64
	n := u.N
	t := blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: make([]float64, n*n)}
	blocks := (n + wide - 1) / wide
	// Taken in pairs from both ends, so that every run of them is as much work.
	solve := func(b int) {
		lo, hi := b*wide, min((b+1)*wide, n)
		for i := lo; i < hi; i++ {
			t.Data[i*n+i] = 1
		}
		top := u
		top.N = hi
		blas64.Trsm(blas.Left, blas.NoTrans, 1, top, blas64.General{Rows: hi, Cols: hi - lo, Stride: n, Data: t.Data[lo:]})
	}
	terrain.Bands((blocks+1)/2, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			solve(k)
			if other := blocks - 1 - k; other != k {
				solve(other)
			}
		}
	})
	return t
}

// at is an entry of K⁻¹, whole, and of P.
func (pr *precision) at(i, j int) (whole, left float64) {
	from, n, p := max(i, j), pr.n, pr.terms
	whole = floats.Dot(pr.inverse.Data[i*n+from:(i+1)*n], pr.inverse.Data[j*n+from:(j+1)*n])
	return whole, whole - floats.Dot(pr.told[i*p:(i+1)*p], pr.told[j*p:(j+1)*p])
}

// leaveOut writes the residuals of a system's samples, m, and their variances
// relative to the sill, each group of samples left out together.
func leaveOut(pr *precision, weights []float64, groups []group, off, variance []float64) {
	terrain.Bands(len(groups), func(lo, hi int) {
		for _, g := range groups[lo:hi] {
			leaveOutGroup(g, weights, pr.at, off, variance)
		}
	})
}

// leaveOutGroup solves P of one group for its residuals.
func leaveOutGroup(g group, weights []float64, at func(i, j int) (whole, left float64), off, variance []float64) {
	k := len(g.samples)
	lost := false
	a := blas64.Symmetric{Uplo: blas.Upper, N: k, Stride: k, Data: make([]float64, k*k)}
	e := make([]float64, k)
	for r, i := range g.samples {
		e[r] = weights[i]
		for c := r; c < k; c++ {
			whole, left := at(i, g.samples[c])
			a.Data[r*k+c] = left
			lost = lost || r == c && left <= 1e-9*whole // without this sample there is no trend
		}
	}
	u, ok := lapack64.Potrf(a)
	if !ok || lost {
		for _, i := range g.samples[:g.own] {
			off[i], variance[i] = math.NaN(), math.NaN()
		}
		return
	}
	x := blas64.Vector{N: k, Inc: 1, Data: e}
	blas64.Trsv(blas.Trans, u, x)
	blas64.Trsv(blas.NoTrans, u, x)
	lapack64.Trtri(u)
	for r, i := range g.samples[:g.own] {
		row := u.Data[r*k+r : (r+1)*k]
		off[i], variance[i] = e[r], floats.Dot(row, row)
	}
}
