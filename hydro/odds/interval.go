package odds

import (
	"math"
	"slices"
)

// An Allowance is how many times as far from their median the volumes of a
// hollow are taken to lie as the draws say, in cube roots, below it and above:
// draws take the ground for one or two random surfaces, and banks, bowls and
// furrows are none.
//
// In cube roots volumes are about even on either side: Wilson, E.B., Hilferty,
// M.M. (1931). The distribution of chi-square. PNAS 17, 684–688. From memory.
type Allowance struct{ Below, Above float64 }

// The allowances of ground known by a raster and by a survey. They are what
// 1,920 made sites asked for, other ones than are scored (cmd/calibrate -fit
// -seed 11 -sites 1920): drawn out so, nine intervals in ten hold the truth that
// should, and what is expected of all hollows adds up to what they hold. They
// were found by trial and are right for a mix of such ground, not for each kind
// of it. Intervals alone are what split conformal prediction sets: Romano, Y.,
// Patterson, E., Candès, E.J. (2019). Conformalized quantile regression.
// NeurIPS 32. From memory.
var (
	ByRaster = Allowance{1.42, 1.30}
	BySurvey = Allowance{0.98, 1.83}
)

// ByDraws takes the draws at their word.
var ByDraws = Allowance{1, 1}

// away is where a volume lies when drawn out from the cube root of the median.
func (a Allowance) away(from, volume float64) float64 {
	off := math.Cbrt(volume) - from
	if off < 0 {
		off *= a.Below
	} else {
		off *= a.Above
	}
	return math.Pow(max(from+off, 0), 3)
}

// Spread is the median of the volumes of a hollow, which must be sorted,
// lowest first, and what its true volume lies between with so large a share of
// 1. It is no lower than 0. Of no volumes all are NaN. It panics on a share
// that is not from 0 to 1.
func (a Allowance) Spread(sorted []float32, share float64) (low, middle, high float64) {
	middle = Quantile(sorted, 0.5)
	from := math.Cbrt(middle)
	return a.away(from, Foretold(sorted, (1-share)/2)), middle, a.away(from, Foretold(sorted, (1+share)/2))
}

// Expected is the mean of volumes so drawn out, which must be sorted. It is
// above the median where few hold much. Of no volumes it is NaN.
func (a Allowance) Expected(sorted []float32) float64 {
	from, sum := math.Cbrt(Quantile(sorted, 0.5)), 0.0
	for _, v := range sorted {
		sum += a.away(from, float64(v))
	}
	return sum / float64(len(sorted))
}

// Outlook is what the hollow holds when full, m³, with the allowance for what
// the draws miss: the mean, the median, and what the truth lies between with so
// large a share of 1. It panics on a share that is not from 0 to 1.
func (h *Hollow) Outlook(share float64, a Allowance) (expected, low, middle, high float64) {
	sorted := slices.Clone(h.Volume)
	slices.Sort(sorted)
	low, middle, high = a.Spread(sorted, share)
	return a.Expected(sorted), low, middle, high
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
