package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/floats"
)

// takeOut finds the shot farthest from the surface through the others, takes
// it out, and goes on with the rest as long as one is beyond the limit. With
// many shots, those that are farther off than any near them are taken out
// together. The covariance stays as it is.
func (m *Model) takeOut(limit float64) ([]int, error) {
	var out []int
	left, index := m, make([]int, len(m.shots))
	for i := range index {
		index[i] = i
	}
	var kept *fewer
	if m.whole != nil && m.extras == nil {
		kept = m.fewer()
	}
	most := int(mostSuspects*float64(len(m.shots))) + 1
	for len(out) < most {
		var standardised []float64 // by place in index
		if kept != nil {
			standardised = kept.standardised(index)
		} else {
			for _, r := range left.LeaveOneOut().Residuals {
				standardised = append(standardised, r.Standardised)
			}
		}
		now := m.farthest(standardised, index, limit, most-len(out))
		if len(now) == 0 {
			break
		}
		var shots []Shot
		var rest []int
		for k, i := range index {
			if slices.Contains(now, k) {
				out = append(out, i)
				continue
			}
			rest = append(rest, i)
			if kept == nil {
				shots = append(shots, m.shots[i])
			}
		}
		if kept != nil {
			for _, k := range now {
				kept.drop(index[k])
			}
			index = rest
			continue
		}
		index = rest
		o := m.given()
		o.Lines = m.unhooked(out)
		var err error
		if left, err = Fit(shots, o); err != nil {
			return nil, fmt.Errorf("without %d suspicious shots: %w", len(out), err)
		}
	}
	return out, nil
}

// farthest are the shots to take out now, by place in index: those beyond the
// limit, the worst first, none of them near a worse one.
func (m *Model) farthest(standardised []float64, index []int, limit float64, most int) []int {
	var worst []int
	for k, s := range standardised {
		if math.Abs(s) > limit {
			worst = append(worst, k)
		}
	}
	slices.SortFunc(worst, func(a, b int) int {
		return cmp.Or(cmp.Compare(math.Abs(standardised[b]), math.Abs(standardised[a])), cmp.Compare(a, b))
	})
	var now []int
	for _, k := range worst {
		p := m.shots[index[k]].Point
		if len(now) < most && !slices.ContainsFunc(now, func(j int) bool {
			q := m.shots[index[j]].Point
			return math.Hypot(p[0]-q[0], p[1]-q[1]) < 3*m.spacing
		}) {
			now = append(now, k)
		}
	}
	return now
}

// fewer is the leave-one-out of a model with some shots taken out for good,
// without solving it again: taking shot j out of P leaves
//
//	P' = P - P_j P_jᵀ / P_jj,   (Pz)' = Pz - P_j (Pz)_j / P_jj,
//
// one step of Gauss at a time. Columns taken out before are kept to bring
// later ones up to date.
type fewer struct {
	*precision
	sill     float64
	diagonal []float64 // of P
	told     []float64 // P z, m
	whole    []float64 // diagonal of K⁻¹
	columns  [][]float64
}

func (m *Model) fewer() *fewer {
	n := len(m.shots)
	f := &fewer{precision: m.inverted(), sill: m.Covariance.Sill, diagonal: make([]float64, n), whole: make([]float64, n), told: slices.Clone(m.weights[:n])}
	terrain.Bands(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			f.whole[i], f.diagonal[i] = f.at(i, i)
		}
	})
	return f
}

// standardised is the residual of each of some shots, left out with all that
// were dropped, over its deviation; NaN where the trend would be lost.
func (f *fewer) standardised(index []int) []float64 {
	s := make([]float64, len(index))
	for k, i := range index {
		if s[k] = math.NaN(); f.diagonal[i] > 1e-9*f.whole[i] {
			s[k] = f.told[i] / math.Sqrt(f.diagonal[i]*f.sill)
		}
	}
	return s
}

// drop takes a shot out for good.
func (f *fewer) drop(j int) {
	n := len(f.diagonal)
	column := make([]float64, n)
	terrain.Bands(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			_, column[i] = f.at(i, j)
			for _, c := range f.columns {
				column[i] -= float64(c[i] * c[j])
			}
		}
	})
	root := math.Sqrt(column[j])
	floats.Scale(1/root, column)
	told := f.told[j] / root
	for i, c := range column {
		f.diagonal[i] -= float64(c * c)
		f.told[i] -= float64(c * told)
	}
	f.columns = append(f.columns, column)
}
