package odds

import (
	"fmt"
	"math"
)

// Quantile is the value below which a share p of the values lies, which must
// be sorted, lowest first: type 7 of Hyndman and Fan (1996), which R and numpy
// take by themselves. Of no values it is NaN. It panics on a share that is not
// from 0 to 1.
func Quantile(sorted []float32, p float64) float64 {
	if !(p >= 0 && p <= 1) {
		panic(fmt.Sprintf("odds: quantile at a share of %g", p))
	}
	if len(sorted) == 0 {
		return math.NaN()
	}
	at := float64(len(sorted)-1) * p
	k := int(at)
	low := float64(sorted[k])
	if k+1 == len(sorted) {
		return low
	}
	return low + float64((float64(sorted[k+1])-low)*(at-float64(k)))
}

// Share is the share of values that are more than over; of no values NaN.
func Share(values []float32, over float64) float64 {
	n := 0
	for _, v := range values {
		if float64(v) > over {
			n++
		}
	}
	return float64(n) / float64(len(values))
}
