package soil

import "math"

// A Horton is ground whose capacity to take water wanes from one rate to
// another: f = Final + (Initial - Final) e^(-Decay t). Horton, R.E. (1940). Soil
// Science Society of America Proceedings 5, 399–417. It fits a ring test that
// was read often.
type Horton struct {
	Initial, Final float64 // mm/h
	Decay          float64 // 1/h
}

// Capacity is how fast water soaks in after so many hours under water, mm/h.
func (h Horton) Capacity(hours float64) float64 {
	return h.Final + (h.Initial-h.Final)*math.Exp(-h.Decay*hours)
}

// Infiltrated is what has soaked in after so many hours under water, mm.
func (h Horton) Infiltrated(hours float64) float64 {
	if h.Decay == 0 {
		return h.Initial * hours
	}
	return h.Final*hours - (h.Initial-h.Final)*math.Expm1(-h.Decay*hours)/h.Decay
}

// A Philip is early infiltration by suction and weight: F = Sorptivity √t + K t.
// Philip, J.R. (1957). Soil Science 84, 257–264.
type Philip struct {
	Sorptivity float64 // mm/√h
	K          float64 // mm/h
}

// Infiltrated is what has soaked in after so many hours under water, mm.
func (p Philip) Infiltrated(hours float64) float64 {
	return p.Sorptivity*math.Sqrt(hours) + p.K*hours
}

// Capacity is how fast water soaks in after so many hours, mm/h.
func (p Philip) Capacity(hours float64) float64 {
	return p.Sorptivity/(2*math.Sqrt(hours)) + p.K
}

// FitPhilip is the law nearest to a test in which infiltrated mm had soaked in
// by so many hours: least squares on F/√t = S + K √t, which is a straight line.
// Readings at no time are passed over. It reports whether two readings at
// different times gave a line.
func FitPhilip(hours, infiltrated []float64) (Philip, bool) {
	n, sx, sy, sxx, sxy := 0.0, 0.0, 0.0, 0.0, 0.0
	for i, t := range hours {
		if !(t > 0) {
			continue
		}
		x := math.Sqrt(t)
		y := infiltrated[i] / x
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	spread := n*sxx - sx*sx
	if n < 2 || !(spread > 1e-12*n*sxx) {
		return Philip{}, false
	}
	k := (n*sxy - sx*sy) / spread
	return Philip{Sorptivity: (sy - k*sx) / n, K: k}, true
}
