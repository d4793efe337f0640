package watertable

import (
	"fmt"
	"math"
)

// Between is level land between two long ditches, or drains, over a level
// barrier: the closed forms that the grid is held to.
type Between struct {
	Conductivity float64 // m/day
	Spacing      float64 // between the ditches, m
	Left, Right  float64 // heads in them above the barrier, m
}

// Mound is the height of the water table above the barrier, m, so far from
// the left ditch, m, under a recharge, m/day, of Dupuit and Forchheimer:
//
//	h² = h₀² + (h_L² − h₀²) x/L + (R/K) x (L − x).
//
// Where evaporation, a negative recharge, would take more than there is, it
// is NaN.
func (b Between) Mound(x, recharge float64) float64 {
	l, r := b.Left*b.Left, b.Right*b.Right
	return math.Sqrt(l + float64((r-l)*x/b.Spacing) + float64(recharge/b.Conductivity*x*(b.Spacing-x)))
}

// A Drawdown is a water table that falls between parallel drains after
// recharge has stopped, from a level start, by the linearised equation of
// Boussinesq:
//
//	h/h₀ = (4/π) Σ (−1)ᵏ/(2k+1) exp(−(2k+1)² π² K D t/(μ L²))
//
// half way, after Glover as published by
//
//	Dumm, L.D. (1954). Drain spacing formula. Agricultural Engineering 35,
//	726–730.
type Drawdown struct {
	Transmissivity float64 // K D, m²/day, D being the mean depth of flow, with the equivalent depth below pipes
	Porosity       float64 // drainable, share of the volume
	Spacing        float64 // m
}

// rate is the reaction factor π² K D/(μ L²), 1/day.
func (d Drawdown) rate() float64 {
	return math.Pi * math.Pi * d.Transmissivity / (d.Porosity * d.Spacing * d.Spacing)
}

// Left is the part of its height above the drains that the water table has
// kept half way after so many days.
func (d Drawdown) Left(days float64) float64 { return leftMidway(d.rate() * days) }

// leftMidway is the part left at the dimensionless time π² K D t/(μ L²).
func leftMidway(t float64) float64 {
	if t <= 0 {
		return 1
	}
	if t < 0.1 { // the drains are not yet felt: images of one edge, which the series sums poorly
		sum, sign := 1.0, -2.0
		for n := 1.0; n < 99; n += 2 {
			term := math.Erfc(n * math.Pi / (4 * math.Sqrt(t)))
			sum += sign * term
			if sign = -sign; term == 0 {
				break
			}
		}
		return sum
	}
	sum, sign := 0.0, 4/math.Pi
	for n := 1.0; ; n += 2 {
		term := math.Exp(-n*n*t) / n
		sum += sign * term
		if sign = -sign; term < 1e-17 {
			return sum
		}
	}
}

// timeMidway is the dimensionless time at which a part is left: leftMidway
// the other way round.
func timeMidway(part float64) float64 {
	low, high := 0.0, 1.0
	for leftMidway(high) > part {
		high *= 2
	}
	for range 200 {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if leftMidway(mid) > part {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// Days is how long it takes until a part of the height is left half way.
func (d Drawdown) Days(part float64) (float64, error) {
	if err := checkPart(part); err != nil {
		return 0, err
	}
	return timeMidway(part) / d.rate(), nil
}

// DaysParabola is that for a water table that starts as a parabola of the
// fourth degree, higher in the middle, by the first term of its series, which
// has 1.16 where the level start has 4/π:
//
//	Dumm, L.D. (1960). Validity and use of the transient flow concept in
//	subsurface drainage. ASAE paper, Memphis.
func (d Drawdown) DaysParabola(part float64) (float64, error) {
	if err := checkPart(part); err != nil {
		return 0, err
	}
	return math.Log(1.16/part) / d.rate(), nil
}

// FallSpacing is how far apart drains may lie, m, for a part of the height of
// the water table to be left half way after so many days. The transmissivity,
// m²/day, is that of the depth of flow below the drains, and the porosity the
// drainable one.
func FallSpacing(transmissivity, porosity, part, days float64) (float64, error) {
	if err := checkPart(part); err != nil {
		return 0, err
	}
	if err := checkPorosity(porosity); err != nil {
		return 0, err
	}
	if !(transmissivity > 0) || !(days > 0) {
		return 0, fmt.Errorf("a transmissivity of %g m²/day and %g days: both must be more than 0", transmissivity, days)
	}
	return math.Pi * math.Sqrt(transmissivity*days/(porosity*timeMidway(part))), nil
}

func checkPart(part float64) error {
	if part > 0 && part < 1 {
		return nil
	}
	return fmt.Errorf("%g of the height left is not between 0 and 1", part)
}
