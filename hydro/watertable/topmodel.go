package watertable

import "math"

// A Topmodel shares out a mean deficit over a slope by the wetness index, after
// Beven and Kirkby (1979).
//
// It holds where the table changes slowly and follows the ground: not on flat
// land, beside ditches or over drains.
type Topmodel struct {
	Lambda float64 // mean of the index over the site
	Mean   float64 // mean deficit D̄, m of water
	M      float64 // fall of the deficit by which the outflow grows e times, m of water
}

// Deficit is the water, m, that would bring the table up to the ground where
// the index is so much: Dᵢ = D̄ + m (λ − Iᵢ). It is negative where the ground is
// saturated and sheds water; cut off at 0 it would no longer have the mean D̄.
func (t Topmodel) Deficit(index float64) float64 {
	return t.Mean + float64(t.M*(t.Lambda-index))
}

// Depth is the depth of the table below the ground, m, and 0 at most where
// the ground is saturated.
func (t Topmodel) Depth(index, porosity float64) float64 {
	return max(0, t.Deficit(index)/porosity)
}

// Saturated is the least index at which the table reaches the ground.
func (t Topmodel) Saturated() float64 { return t.Lambda + t.Mean/t.M }

// MeanDeficit is the mean deficit, m, at which a slope yields an outflow,
// when it yields another, full, with no deficit: Q = Q₀ exp(−D̄/m). The
// outflows may be in any one unit.
func MeanDeficit(full, outflow, m float64) float64 { return m * math.Log(full/outflow) }
