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

// Coverage is the share of intervals that hold the truth, ends included. Those
// of one group, numbered, may go together, as those of a site do; without groups
// each stands for itself. Its own interval is the score interval of Wilson
// (1927), for as many independent ones as scatter as the groups do (Kish 1965,
// the design effect). It is NaN for none.
//
// It panics when the slices differ in length.
func Coverage(lo, hi, truth []float64, group []int) Estimate {
	if len(lo) != len(truth) || len(hi) != len(truth) {
		panic(fmt.Sprintf("reliability: intervals from %d to %d ends for %d truths", len(lo), len(hi), len(truth)))
	}
	held, ones, k := make([]float64, len(truth)), make([]float64, len(truth)), 0.0
	for i, v := range truth {
		ones[i] = 1
		if lo[i] <= v && v <= hi[i] {
			held[i] = 1
			k++
		}
	}
	n := float64(len(truth))
	alike := n
	if group != nil {
		r := newRatio(held, ones, group)
		alike = r.groups
		if p := k / n; r.error > 0 {
			alike = min(p*(1-p)/(r.error*r.error), n)
		}
	}
	e := wilson(k/n, alike, z90)
	e.Count = len(truth)
	return e
}

// wilson is a share of n with the interval of values not more than z standard
// errors from it, each by its own standard error.
func wilson(p, n, z float64) Estimate {
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return Estimate{p, max(middle-half, 0), min(middle+half, 1), int(n)}
}

// Bias is how much larger estimates are than the truth, as a part of the
// truth: the ratio of their sums less 1. Those of one group, numbered, may go
// together; without groups each stands for itself. Its interval takes groups
// for independent draws (Cochran 1977, section 6.3: the ratio estimate in
// large samples). It is NaN for no truth to compare with.
//
// It panics when the slices differ in length.
func Bias(estimate, truth []float64, group []int) Estimate {
	r := newRatio(estimate, truth, group)
	return Estimate{r.value - 1, r.value - 1 - z90*r.error, r.value - 1 + z90*r.error, len(truth)}
}

// A ratio is that of two sums and its standard error from group to group.
type ratio struct{ value, error, groups float64 }

func newRatio(above, below []float64, group []int) ratio {
	if len(above) != len(below) || group != nil && len(group) != len(below) {
		panic(fmt.Sprintf("reliability: %d values over %d, in %d groups", len(above), len(below), len(group)))
	}
	a, b := 0.0, 0.0
	for i := range below {
		a, b = a+above[i], b+below[i]
	}
	r := ratio{value: a / b}
	var off []float64 // by group, in the order they come
	at := make(map[int]int)
	for i := range below {
		g := i
		if group != nil {
			g = group[i]
		}
		j, seen := at[g]
		if !seen {
			j = len(off)
			at[g] = j
			off = append(off, 0)
		}
		off[j] += above[i] - r.value*below[i]
	}
	squares := 0.0
	for _, v := range off {
		squares += v * v
	}
	r.groups = float64(len(off))
	r.error = math.Sqrt(squares*r.groups/(r.groups-1)) / math.Abs(b)
	return r
}
