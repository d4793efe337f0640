package calibration

import (
	"math"

	"wetfeet/hydro/odds"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
)

// A Chance is what a site has beside its ground, in standard deviations from
// the middle: of the logarithm of how fast water soaks in, and of the logarithm
// of what the ground can still take before the storm.
type Chance struct{ Soaking, Before float64 }

const (
	openWater = 4.0 / 24 // mm/h
	dryDown   = 10 * 24  // h
)

// weather is the storm of a site and its drying, by a chance.
func (s *Site) weather(c Chance) odds.Weather {
	curve, _ := s.Soil.Curve()
	if c.Before != 0 {
		curve.CN = soil.AntecedentAt(curve.CN, c.Before)
	}
	var w odds.Weather
	for i, mm := range curve.Excess(nil, s.Rain.Rain, s.Rain.Hours) {
		w.Steps = append(w.Steps, odds.Step{Hours: s.Rain.Hours[i], Runoff: []float64{mm}})
	}
	w.Steps = append(w.Steps, odds.Step{Hours: dryDown, Evaporation: openWater})
	rate := s.Soil.Rate()
	soaking := rate.Median * math.Pow(10, rate.Spread*c.Soaking)
	w.Loss = func(*storm.Site) storm.Loss { return storm.Loss{Infiltration: []float64{soaking}} }
	return w
}
