package reliability

import (
	"fmt"
	"math"
)

// z90 bounds the middle 90 % of a normal distribution.
const z90 = 1.6448536269514722

// An Estimate is a figure with its 90 % interval.
type Estimate struct {
	Value, Lo, Hi float64
	Count         int // what it was counted or averaged over
}

// Coverage is the share of intervals that hold the truth, ends included, with
// the score interval of Wilson (1927). It is NaN for none.
//
// It panics when the slices differ in length.
func Coverage(lo, hi, truth []float64) Estimate {
	if len(lo) != len(truth) || len(hi) != len(truth) {
		panic(fmt.Sprintf("reliability: intervals from %d to %d ends for %d truths", len(lo), len(hi), len(truth)))
	}
	held := 0
	for i, v := range truth {
		if lo[i] <= v && v <= hi[i] {
			held++
		}
	}
	return wilson(held, len(truth), z90)
}

// wilson is k of n with the interval of values not more than z standard errors
// from it, each by its own standard error.
func wilson(k, n int, z float64) Estimate {
	p, m := float64(k)/float64(n), float64(n)
	middle := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return Estimate{p, max(middle-half, 0), min(middle+half, 1), n}
}

// Bias is how much larger estimates are than the truth, as a part of the
// truth: the ratio of their sums less 1. Its interval takes each pair for an
// independent draw (Cochran 1977, section 6.3: the ratio estimate in large
// samples). It is NaN for no truth to compare with.
//
// It panics when the slices differ in length.
func Bias(estimate, truth []float64) Estimate {
	if len(estimate) != len(truth) {
		panic(fmt.Sprintf("reliability: %d estimates for %d truths", len(estimate), len(truth)))
	}
	n := float64(len(truth))
	e, t := 0.0, 0.0
	for i := range truth {
		e, t = e+estimate[i], t+truth[i]
	}
	ratio, squares := e/t, 0.0
	for i := range truth {
		off := estimate[i] - ratio*truth[i]
		squares += off * off
	}
	half := z90 * math.Sqrt(squares/(n*(n-1))) / math.Abs(t/n)
	return Estimate{ratio - 1, ratio - 1 - half, ratio - 1 + half, len(truth)}
}
