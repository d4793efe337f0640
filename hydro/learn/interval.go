package learn

import (
	"cmp"
	"math"
	"slices"
)

// An Interval is the values with one chance in ten below, one in two, and one
// in ten above.
type Interval struct{ Low, Middle, High float64 }

// Width is that of the 80 % between Low and High.
func (i Interval) Width() float64 {
	if math.IsInf(i.Low, 1) {
		return 0 // all of it lies beyond what was computed
	}
	return i.High - i.Low
}

// Param is what was thought of a parameter before the readings, and is after.
func (p *Posterior) Param(k int) (before, after Interval) { return p.both(p.Params, k) }

// Outcome is what was thought of an outcome before the readings, and is after.
func (p *Posterior) Outcome(k int) (before, after Interval) { return p.both(p.Outcomes, k) }

func (p *Posterior) both(rows [][]float64, k int) (before, after Interval) {
	v := column(rows, k)
	equal := make([]float64, p.Prior)
	for i := range equal {
		equal[i] = 1
	}
	return interval(v[:p.Prior], equal), interval(v, p.Weights)
}

// Mean is that of a parameter after the readings, with its standard deviation.
func (p *Posterior) Mean(k int) (mean, sd float64) {
	v := column(p.Params, k)
	mean, variance := moments(v, p.Weights)
	return mean, math.Sqrt(variance)
}

func column(rows [][]float64, k int) []float64 {
	v := make([]float64, len(rows))
	for i := range rows {
		v[i] = rows[i][k]
	}
	return v
}

// moments are the mean and the variance of weighted values; what the weights
// are worth is made up for.
func moments(v, w []float64) (mean, variance float64) {
	var sum, squares float64
	for i := range v {
		if w[i] == 0 {
			continue
		}
		sum += w[i]
		squares += float64(w[i] * w[i])
		mean += float64(w[i] * v[i])
	}
	mean /= sum
	for i := range v {
		if w[i] != 0 {
			variance += float64(w[i] * (v[i] - mean) * (v[i] - mean))
		}
	}
	return mean, variance / sum / max(1-squares/(sum*sum), 1e-12)
}

// Quantiles are the values below which so much of the weight lies, p rising
// from 0 to 1: between the middles of the weights of neighbouring values in a
// straight line, which for equal weights is Hazen's rule. Values that are NaN
// do not count; infinite ones do.
func Quantiles(v, w []float64, p ...float64) []float64 {
	var order []int
	total := 0.0
	for i := range v {
		if !math.IsNaN(v[i]) && w[i] > 0 {
			order = append(order, i)
			total += w[i]
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	out := make([]float64, len(p))
	for k, share := range p {
		out[k] = math.NaN()
		below, last := 0.0, math.Inf(-1) // weight below the value, and below the middle of the one before
		for n, i := range order {
			middle := (below + w[i]/2) / total
			if share <= middle || n == len(order)-1 {
				out[k] = v[i]
				if n > 0 && share < middle {
					before := v[order[n-1]]
					if t := (share - last) / (middle - last); before != v[i] && t < 1 {
						out[k] = before
						if t > 0 {
							out[k] = before + float64(t*(v[i]-before))
						}
					}
				}
				break
			}
			below, last = below+w[i], middle
		}
	}
	return out
}

func interval(v, w []float64) Interval {
	q := Quantiles(v, w, 0.1, 0.5, 0.9)
	return Interval{q[0], q[1], q[2]}
}

// Moments are the mean and the standard deviation of an outcome before the
// readings and after them.
func (p *Posterior) Moments(k int) (mean0, sd0, mean, sd float64) {
	v := column(p.Outcomes, k)
	equal := make([]float64, p.Prior)
	for i := range equal {
		equal[i] = 1
	}
	mean0, variance0 := moments(v[:p.Prior], equal)
	mean, variance := moments(v, p.Weights)
	return mean0, math.Sqrt(variance0), mean, math.Sqrt(variance)
}
