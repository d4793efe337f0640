package soil

import (
	"fmt"
	"math"
)

// A GreenAmpt is soil into which water moves behind a sharp front, pulled by
// its weight and by suction ahead of it: f = K (1 + (ψ + H) Δθ / F).
type GreenAmpt struct {
	K        float64 // hydraulic conductivity behind the front, mm/h, above 0
	Suction  float64 // ψ at the front, mm, 0 or more
	Porosity float64 // effective: water between driest and saturated, share of the volume

	// Saturation is how much of those pores was full at first, 0 to 1. A soil
	// at field capacity has about 0.2 (sand) to 0.8 (clay).
	Saturation float64

	// PoreIndex is λ of Brooks and Corey, for the drying between bursts of
	// rain. Zero is 0.25, a loam.
	PoreIndex float64

	// Depth is how deep the soil can fill: down to a water table or a tight
	// layer, mm. When its pores are full nothing more soaks in. Zero is no
	// end.
	Depth float64
}

// GreenAmpt is the soil of a texture by its table, with so much of its pores
// full before the rain, 0 to 1.
func (t Texture) GreenAmpt(saturation float64) GreenAmpt {
	return GreenAmpt{K: t.K, Suction: t.Suction, Porosity: t.Effective, Saturation: saturation, PoreIndex: t.PoreIndex}
}

// SaturationAt is how full the effective pores are when the soil holds so much
// water, a share of its volume: at FieldCapacity for a soil that drained for
// some days.
func (t Texture) SaturationAt(water float64) float64 {
	residual := t.Porosity - t.Effective
	return min(1, max(0, (water-residual)/t.Effective))
}

// Check says what is wrong with a soil that a person typed.
func (g GreenAmpt) Check() error {
	switch {
	case !(g.K > 0) || g.K > 1e6:
		return fmt.Errorf("conductivity %g mm/h is not above 0; sand has about 120 and clay 0.3", g.K)
	case !(g.Suction >= 0) || g.Suction > 1e5:
		return fmt.Errorf("suction %g mm is not 0 or more; sand has about 50 and clay 320", g.Suction)
	case !(g.Porosity > 0 && g.Porosity < 1):
		return fmt.Errorf("effective porosity %g is not between 0 and 1; soils have 0.3 to 0.5", g.Porosity)
	case !(g.Saturation >= 0 && g.Saturation <= 1):
		return fmt.Errorf("saturation %g is not from 0 to 1", g.Saturation)
	case !(g.PoreIndex >= 0) || g.PoreIndex > 10:
		return fmt.Errorf("pore-size index %g is not 0 to 10; sand has about 0.6 and clay 0.13", g.PoreIndex)
	case !(g.Depth >= 0):
		return fmt.Errorf("depth %g mm to what stops the water is not 0 or more", g.Depth)
	}
	return nil
}

// Deficit is the share of the soil's volume that water can still fill, Δθ.
func (g GreenAmpt) Deficit() float64 { return g.Porosity * (1 - g.Saturation) }

// pull is (ψ + H) Δθ, mm: the water at which suction and weight pull alike.
func (g GreenAmpt) pull(head float64) float64 { return (g.Suction + head) * g.Deficit() }

// Capacity is how fast water under so much head, mm, can soak in once
// infiltrated mm have, in mm/h; +Inf at first where there is suction.
func (g GreenAmpt) Capacity(infiltrated, head float64) float64 {
	if m := g.pull(head); m > 0 {
		return g.K * (1 + m/infiltrated)
	}
	return g.K
}

// PondingTime is when water begins to stand under steady rain, mm/h, in hours,
// and what has soaked in by then, mm: Mein and Larson (1973). Rain no stronger
// than K never ponds, and both are +Inf.
func (g GreenAmpt) PondingTime(rain float64) (hours, infiltrated float64) {
	if rain <= g.K {
		return inf, inf
	}
	infiltrated = g.K * g.pull(0) / (rain - g.K)
	return infiltrated / rain, infiltrated
}

// Infiltrated is what soaks in, mm, in so many hours under a constant head, mm,
// on dry ground: F - M ln(1 + F/M) = K t with M = (ψ + H) Δθ.
func (g GreenAmpt) Infiltrated(hours, head float64) float64 {
	return grow(0, g.pull(head), g.K*hours)
}

// HoursTo is how long so much water, mm, takes to soak in under a constant
// head: the inverse of Infiltrated.
func (g GreenAmpt) HoursTo(infiltrated, head float64) float64 {
	return effort(0, infiltrated, g.pull(head)) / g.K
}

// grow is F where from mm have soaked in already and K t is kt:
//
//	F - from - m ln((m + F)/(m + from)) = K t.
//
// The left side is convex in F, so Newton's method from above comes down to
// the root without overshooting. The start is above it: at from = 0 because
// e^q >= 1 + q + q²/2 with q² = 2 kt/m, and beyond because rates only fall.
func grow(from, m, kt float64) float64 {
	f := from + kt + math.Sqrt(2*m*kt)
	if m <= 0 || kt <= 0 {
		return f
	}
	for range 100 {
		step := (effort(from, f, m) - kt) * (m + f) / f
		f -= step
		if !(step > 1e-15*f) {
			break
		}
	}
	return max(f, from)
}

// effort is K t for the water in the soil to grow from one depth to another.
// With x = (to-from)/(m+from) it is (to-from) from/(m+from) + m (x - ln(1+x)),
// a sum of terms that are not below zero: nothing cancels.
func effort(from, to, m float64) float64 {
	d := to - from
	if m <= 0 {
		return d
	}
	return d*from/(m+from) + m*aboveLog(d/(m+from))
}

// aboveLog is x - ln(1+x), by its series where the two nearly cancel.
func aboveLog(x float64) float64 {
	if x > 0.1 {
		return x - math.Log1p(x)
	}
	sum, power := 0.0, x
	for n := 2.0; n < 20; n++ {
		power *= -x
		sum -= power / n
	}
	return sum
}

// Excess is the rain that does not soak in, after [Loss]. Water that finds no
// way in leaves at once and does not stand; between the bursts the soil drains
// as a [Column] does.
func (g GreenAmpt) Excess(dst, rain, hours []float64) []float64 {
	dst = sized(dst, rain, hours)
	column := NewColumn(g)
	for i, r := range rain {
		dst[i] = r - column.Rain(r, hours[i])
	}
	return dst
}
