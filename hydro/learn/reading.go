package learn

import "math"

// A Reading is what was seen of one outcome.
type Reading interface {
	// LogLikelihood is the logarithm of how likely it is to see this where the
	// outcome is so; -Inf where it cannot be. A constant that is the same for
	// all outcomes may be left out.
	LogLikelihood(outcome float64) float64

	// Best is the largest that LogLikelihood can be.
	Best() float64
}

// Measured is a value read off a staff or a tape, with a normal error.
type Measured struct {
	Value float64
	Error float64 // one standard deviation, above 0
}

// LogLikelihood is that of a normal error, without its constant.
func (m Measured) LogLikelihood(outcome float64) float64 {
	z := (m.Value - outcome) / m.Error
	if math.IsNaN(z) {
		return math.Inf(-1)
	}
	return -z * z / 2
}

// Best is 0.
func (m Measured) Best() float64 { return 0 }

// Standing is a depth of water, which is never less than none: where none was
// seen, the level may lie anywhere below the ground.
type Standing struct {
	Depth float64 // 0 where the ground was dry
	Error float64 // one standard deviation, above 0
}

// LogLikelihood is that of a normal error which is cut off at dry ground
// (Tobin, J. (1958). Econometrica 26(1), 24–36). The outcome is the level
// above the ground, or 0 where it lies below.
func (s Standing) LogLikelihood(outcome float64) float64 {
	if s.Depth > 0 {
		return Measured{s.Depth, s.Error}.LogLikelihood(outcome)
	}
	return Between{math.Inf(-1), 0, s.Error}.LogLikelihood(outcome)
}

// Best is that of a level at the depth seen, or of dry ground: where the level
// is no higher than the ground, the model knows no more than that.
func (s Standing) Best() float64 {
	if s.Depth > 0 {
		return 0
	}
	return math.Log(0.5)
}

// Between is an outcome of which is known only that it lies in an interval, as
// of a pool that was wet on one visit and dry on the next. Either end may be
// infinite. An ordered grade is such an interval too: that between the bounds
// of its grade.
type Between struct {
	Low, High float64 // Low < High
	Error     float64 // one standard deviation of the outcome as the model has it; 0 for none
}

// LogLikelihood is the chance that an outcome with a normal error lies in the
// interval.
func (b Between) LogLikelihood(outcome float64) float64 {
	switch {
	case math.IsNaN(outcome):
		return math.Inf(-1)
	case b.Error == 0 || math.IsInf(outcome, 0):
		if b.Low <= outcome && outcome <= b.High {
			return 0
		}
		return math.Inf(-1)
	}
	return logBetween((b.Low-outcome)/b.Error, (b.High-outcome)/b.Error)
}

// Best is that of an outcome in the middle of the interval.
func (b Between) Best() float64 {
	if math.IsInf(b.Low, 0) || math.IsInf(b.High, 0) {
		return 0
	}
	return b.LogLikelihood((b.Low + b.High) / 2)
}

// logBetween is the logarithm of the chance that a standard normal deviate lies
// between a and b, a < b, far out in the tails as well.
func logBetween(a, b float64) float64 {
	if a > 0 { // the lower tail keeps its digits
		a, b = -b, -a
	}
	upper, lower := logCDF(b), logCDF(a)
	if math.IsInf(lower, -1) {
		return upper
	}
	return upper + math.Log1p(-math.Exp(lower-upper))
}

// logCDF is the logarithm of the standard normal distribution function. Below
// -35 its asymptotic series is exact to the last digits (Abramowitz and Stegun
// 1964, 26.2.12).
func logCDF(x float64) float64 {
	switch {
	case x > 0:
		return math.Log1p(-math.Erfc(x/math.Sqrt2) / 2)
	case x > -35:
		return math.Log(math.Erfc(-x/math.Sqrt2) / 2)
	}
	if math.IsInf(x, -1) {
		return x
	}
	q := 1 / (x * x)
	return -x*x/2 - math.Log(-x) - math.Log(2*math.Pi)/2 + math.Log1p(-q*(1-3*q*(1-5*q)))
}
