package arrange

import (
	"fmt"
	"math"
	"slices"
)

// Gain is what a change saves: the mean of the loss before less the loss after
// over draws of what the site may be, and the interval that holds the given
// share of the draws (0.8: from the 10th to the 90th percentile). Losses are
// by draw and tree, and both are of the same draws, so that what a draw does
// to both alike cancels. Percentiles lie between the draws on either side in
// proportion (type 7 of Hyndman, R.J., Fan, Y. (1996), Sample quantiles in
// statistical packages, The American Statistician 50(4), 361–365). The error
// is ErrInput.
func Gain(before, after [][]float32, share float64) (mean, low, high float64, err error) {
	if len(before) != len(after) || len(before) == 0 {
		return 0, 0, 0, &mistake{fmt.Sprintf("%d draws before and %d after: both are of the same draws, one or more", len(before), len(after))}
	}
	if !(share > 0 && share < 1) {
		return 0, 0, 0, &mistake{fmt.Sprintf("an interval of %v of the draws: it is more than 0 and less than 1", share)}
	}
	saved := make([]float64, len(before))
	for d := range before {
		for _, x := range before[d] {
			saved[d] += float64(x)
		}
		for _, x := range after[d] {
			saved[d] -= float64(x)
		}
		if math.IsNaN(saved[d]) || math.IsInf(saved[d], 0) {
			return 0, 0, 0, &mistake{fmt.Sprintf("draw %d has a loss that is not a number", d+1)}
		}
		mean += saved[d] / float64(len(before))
	}
	slices.Sort(saved)
	at := func(p float64) float64 {
		whole, part := math.Modf(p * float64(len(saved)-1))
		i := int(whole)
		j := min(i+1, len(saved)-1)
		return saved[i] + part*(saved[j]-saved[i])
	}
	return mean, at((1 - share) / 2), at((1 + share) / 2), nil
}
