package watertable

import (
	"errors"
	"fmt"
	"math"
)

// A Soil is what of the ground decides where its water table stands.
type Soil struct {
	// Conductivity is the saturated hydraulic conductivity, sideways, m/day.
	Conductivity float64

	// DrainablePorosity is the water a volume of soil gives up as the water
	// table falls through it, as a share of the volume (specific yield). 0
	// takes [DrainablePorosity] of the conductivity.
	DrainablePorosity float64

	// BarrierDepth is how deep below the ground the layer lies that water
	// hardly gets through, m. 0 is 3 m (common practice where nobody has bored,
	// no source).
	BarrierDepth float64

	// M is the fall of the water deficit over which the flow of the soil grows
	// e times, m of water: the m of TOPMODEL. 0 is 0.03 m, of the order of the
	// values in the literature, from memory.
	M float64
}

const (
	defaultBarrier = 3    // m
	defaultM       = 0.03 // m of water

	leastConductivity = 1e-6 // m/day, a tight clay
	mostConductivity  = 1e4  // m/day, clean gravel
	mostPorosity      = 0.6  // share of the volume, peat
)

func checkConductivity(k float64) error {
	if k >= leastConductivity && k <= mostConductivity {
		return nil
	}
	return fmt.Errorf("saturated conductivity %g m/day is not between %g and %g", k, float64(leastConductivity), float64(mostConductivity))
}

func checkPorosity(p float64) error {
	if p > 0 && p <= mostPorosity {
		return nil
	}
	return fmt.Errorf("drainable porosity %g is not above 0 and at most %g of the volume", p, mostPorosity)
}

// withDefaults fills in what was left 0, and says what is wrong, all of it.
func (s Soil) withDefaults() (Soil, error) {
	bad := []error{checkConductivity(s.Conductivity)}
	if s.DrainablePorosity == 0 {
		s.DrainablePorosity = DrainablePorosity(s.Conductivity)
	} else {
		bad = append(bad, checkPorosity(s.DrainablePorosity))
	}
	if s.BarrierDepth == 0 {
		s.BarrierDepth = defaultBarrier
	}
	if !(s.BarrierDepth > 0 && s.BarrierDepth <= 1000) {
		bad = append(bad, fmt.Errorf("barrier depth %g m is not above 0 and at most 1000", s.BarrierDepth))
	}
	if s.M == 0 {
		s.M = defaultM
	}
	if !(s.M > 0 && s.M <= 1) {
		bad = append(bad, fmt.Errorf("m of the deficit %g m is not above 0 and at most 1", s.M))
	}
	return s, errors.Join(bad...)
}

// DrainablePorosity is an indication of the drainable porosity, share of the
// volume, of a soil of the conductivity given, m/day: in per cent, the root of
// the conductivity in cm a day, at most 35 %, the most of any material in the
// table of Johnson, A.I. (1967), Specific yield, compilation of specific
// yields for various materials, USGS Water-Supply Paper 1662-D. The relation
// is van Beers's, W.F.J. (1965), in Bulletin 8 of the International Institute
// for Land Reclamation and Improvement, from memory.
func DrainablePorosity(conductivity float64) float64 {
	return min(0.35, math.Sqrt(100*conductivity)/100)
}

// Rise is how far the water table rises, m, as so much water, m, gets to it:
// the water over the drainable porosity. Water lost is negative.
func Rise(water, porosity float64) float64 { return water / porosity }
