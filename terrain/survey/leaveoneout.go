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
}

// LeaveOneOut predicts every shot from the others, with the covariance as it
// is. There are no refits: with P = K⁻¹ - K⁻¹F (FᵀK⁻¹F)⁻¹ FᵀK⁻¹ the residual
// of shot i is (P z)ᵢ / Pᵢᵢ and its variance 1 / Pᵢᵢ (Dubrule 1983). Above
// 3,000 shots it is done patch by patch.
//
// A shot without which the trend is lost has NaN, and so have the means
// then. Shots are often clustered, so that a left-out one has others close
// by: read the figures as those of the surface near the shots.
func (m *Model) LeaveOneOut() Validation {
	off := make([]float64, m.samples.len())
	variance := make([]float64, len(off))
	if m.whole != nil {
		leaveOut(m.whole, m.drift, m.weights, off, variance)
	} else {
		// Each shot is in the box of one patch, so no two patches write the same.
		terrain.Bands(len(m.patches), func(lo, hi int) {
			for k := lo; k < hi; k++ {
				m.leaveOutOf(&m.patches[k], off, variance)
			}
		})
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

// leaveOutOf does so for the shots in the box of a patch.
func (m *Model) leaveOutOf(p *patch, off, variance []float64) {
	s := m.solvePatch(p)
	patchOff, patchVariance := make([]float64, s.len()), make([]float64, s.len())
	leaveOut(s.system, nil, s.weights, patchOff, patchVariance)
	for j, i := range p.shots {
		if slices.Contains(p.own, i) {
			off[i], variance[i] = patchOff[j], patchVariance[j]
		}
	}
}

// leaveOut writes the residuals of a system's samples, m, and their variances
// relative to the sill. A drift is found anew without each sample; without a
// drift the trend stays as it is.
func leaveOut(sys *system, d *drift, weights []float64, off, variance []float64) {
	n, p := sys.len(), sys.terms
	inverse := blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Stride: n, Data: slices.Clone(sys.u.Data)}
	lapack64.Trtri(inverse)
	// told is K⁻¹F root⁻¹: what each sample tells of the trend.
	told := blas64.General{Rows: n, Cols: p, Stride: p, Data: make([]float64, n*p)}
	if d != nil {
		for i := range n {
			copy(told.Data[i*p:(i+1)*p], sys.white.Data[i*sys.white.Stride:])
		}
		blas64.Trsm(blas.Left, blas.NoTrans, 1, sys.u, told)
		blas64.Trsm(blas.Right, blas.NoTrans, 1, d.root, told)
	}
	for i := range n {
		row, f := inverse.Data[i*n+i:(i+1)*n], told.Data[i*p:(i+1)*p]
		precision := floats.Dot(row, row)
		if left := precision - floats.Dot(f, f); left > 1e-9*precision {
			precision = left
		} else {
			precision = math.NaN() // without this sample there is no trend
		}
		off[i], variance[i] = weights[i]/precision, 1/precision
	}
}
