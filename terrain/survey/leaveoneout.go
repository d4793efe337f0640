package survey

import (
	"math"

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
}

// LeaveOneOut predicts every shot from the others, with the covariance as it
// is. There are no refits: with P = K⁻¹ - K⁻¹F (FᵀK⁻¹F)⁻¹ FᵀK⁻¹ the residual
// of shot i is (P z)ᵢ / Pᵢᵢ and its variance 1 / Pᵢᵢ (Dubrule 1983). Above
// 3,000 shots it is done patch by patch with the trend of all.
//
// A shot without which the trend is lost has NaN, and so have the means
// then. Shots are often clustered, so that a left-out one has others close
// by: read the figures as those of the surface near the shots.
func (m *Model) LeaveOneOut() Validation {
	off := make([]float64, m.samples.len())
	variance := make([]float64, len(off))
	if m.whole != nil {
		all := make([]int, len(off))
		for i := range all {
			all[i] = i
		}
		m.leaveOut(m.whole, m.weights, all, true, off, variance)
	} else {
		for k := range m.patches {
			p := &m.patches[k]
			s := m.solvePatch(p)
			patchOff, patchVariance := make([]float64, s.len()), make([]float64, s.len())
			m.leaveOut(s.system, s.weights, p.shots, false, patchOff, patchVariance)
			own := map[int]bool{}
			for _, i := range p.own {
				own[i] = true
			}
			for j, i := range p.shots {
				if own[i] {
					off[i], variance[i] = patchOff[j], patchVariance[j]
				}
			}
		}
	}
	var v Validation
	n := float64(len(off))
	for i, s := range m.shots {
		r := Residual{Shot: s, Predicted: s.Z - off[i], Off: off[i], SD: m.deviation(variance[i])}
		r.Standardised = r.Off / r.SD
		v.Residuals = append(v.Residuals, r)
		v.RMSE += r.Off * r.Off / n
		v.MAE += math.Abs(r.Off) / n
		v.Mean += r.Off / n
		v.MSDR += r.Standardised * r.Standardised / n
	}
	v.RMSE = math.Sqrt(v.RMSE)
	return v
}

// leaveOut writes the residuals of a system's samples, m, and their variances
// relative to the sill. With free, the trend is fitted anew without each.
func (m *Model) leaveOut(sys *system, weights []float64, which []int, free bool, off, variance []float64) {
	n, p := sys.len(), sys.terms
	inverse := blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: append([]float64(nil), sys.u.Data...)}
	lapack64.Trtri(inverse)
	// seen is K⁻¹F root⁻¹: what each sample tells of the trend.
	seen := blas64.General{Rows: n, Cols: p, Stride: p, Data: make([]float64, n*p)}
	for i := range n {
		copy(seen.Data[i*p:(i+1)*p], sys.white.Data[i*sys.white.Stride:])
	}
	blas64.Trsm(blas.Left, blas.NoTrans, 1, sys.u, seen)
	blas64.Trsm(blas.Right, blas.NoTrans, 1, m.drift.root, seen)
	for i := range n {
		row := inverse.Data[i*n+i : (i+1)*n]
		precision := floats.Dot(row, row)
		if free {
			f := seen.Data[i*p : (i+1)*p]
			left := precision - floats.Dot(f, f)
			if left < 1e-9*precision {
				left = math.NaN() // without this one there is no trend
			}
			precision = left
		}
		off[i], variance[i] = weights[i]/precision, 1/precision
	}
}
