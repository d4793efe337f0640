package odds

import (
	"math"
	"slices"
)

// Allowance is how many times as far from their middle the volumes of a hollow
// are taken to lie as the draws say, in cube roots, so that intervals hold as
// many truths as they should. The draws alone hold eight in ten of what should
// be nine: they take the ground for one or two random surfaces, and banks,
// bowls and furrows are none. It is what 120 made sites asked for (1.39, by
// cmd/calibrate -seed 11 -draws 60), other ones than are scored, and holds for
// such ground.
//
// It is set as split conformal prediction sets it: Romano, Y., Patterson, E.,
// Candès, E.J. (2019). Conformalized quantile regression. NeurIPS 32. In cube
// roots volumes are about even on either side: Wilson, E.B., Hilferty, M.M.
// (1931). The distribution of chi-square. PNAS 17, 684–688. From memory.
const Allowance = 1.4

// Between is the middle of what the draws say a hollow holds, m³, and what the
// truth lies between with so large a share of 1, with the Allowance for what
// the draws miss. It panics on a share that is not from 0 to 1.
func (h *Hollow) Between(share float64) (low, middle, high float64) {
	sorted := slices.Clone(h.Volume)
	slices.Sort(sorted)
	return Spread(sorted, share, Allowance)
}

// Spread is the median of values of 0 or more, which must be sorted, lowest
// first, and what another value of their kind lies between with so large a
// share of 1, drawn away from the median so many times in cube roots, and no
// lower than 0. Of no values all are NaN.
func Spread(sorted []float32, share, times float64) (low, middle, high float64) {
	middle = Quantile(sorted, 0.5)
	from := math.Cbrt(middle)
	away := func(end float64) float64 {
		return math.Pow(max(from+times*(math.Cbrt(end)-from), 0), 3)
	}
	return away(Foretold(sorted, (1-share)/2)), middle, away(Foretold(sorted, (1+share)/2))
}

// Foretold is the value below which another one of their kind comes with
// probability p, among values sorted lowest first: type 6 of Hyndman and Fan
// (1996). Of n values and one more each order is as likely, so that the k-th
// is above the other with probability k/(n+1); Quantile, which describes the
// values themselves, leaves out a little more at either end. Beyond the first
// and the last it is these. Of no values it is NaN. It panics on a share that
// is not from 0 to 1.
func Foretold(sorted []float32, p float64) float64 {
	n := float64(len(sorted))
	if n < 2 || !(p >= 0 && p <= 1) {
		return Quantile(sorted, p)
	}
	return Quantile(sorted, min(max((p*(n+1)-1)/(n-1), 0), 1))
}
