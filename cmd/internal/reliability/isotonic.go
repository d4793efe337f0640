package reliability

import "fmt"

// Isotonic is the sequence that never falls and lies closest to y, by the sum
// of squares weighted with w. It is found in linear time by pooling adjacent
// violators (Ayer et al. 1955): wherever a value is below the one before it,
// both become their mean.
//
// It panics when the slices differ in length or a weight is not positive.
func Isotonic(y, w []float64) []float64 {
	if len(y) != len(w) {
		panic(fmt.Sprintf("reliability: %d weights for %d values", len(w), len(y)))
	}
	type pool struct {
		sum, weight float64
		end         int
	}
	pools := make([]pool, 0, len(y))
	for i, v := range y {
		if !(w[i] > 0) {
			panic(fmt.Sprintf("reliability: weight %v of value %d is not positive", w[i], i))
		}
		last := pool{v * w[i], w[i], i + 1}
		for n := len(pools); n > 0 && pools[n-1].sum/pools[n-1].weight >= last.sum/last.weight; n-- {
			last.sum, last.weight = pools[n-1].sum+last.sum, pools[n-1].weight+last.weight
			pools = pools[:n-1]
		}
		pools = append(pools, last)
	}
	fit := make([]float64, 0, len(y))
	for _, p := range pools {
		for len(fit) < p.end {
			fit = append(fit, p.sum/p.weight)
		}
	}
	return fit
}
