package survey

import (
	"math"

	"wetfeet/terrain"
)

// What is believed of the covariance of the ground before it is seen: its
// kernel, and the logarithms of range and sill, are anything within limits.
// Where the range is long it hardly shows between the shots how long, as the
// sill rises with it. The limits are this program's own choice.
const (
	rangeSteps  = 13
	sillSteps   = 22
	leastReach  = 1.0 / 3 // of the spacing of the shots, the shortest range
	mostReach   = 0.6     // of the size of the site, the longest, if the likeliest is no longer
	leastSpread = -6.0    // of the log of the variance about the trend, the least sill
	mostSpread  = 4.5     // and the most
)

// Likely are covariances that are as likely as each other given the shots, n
// of them: Matérn 3/2 or exponential, of a range and a sill. The surface takes
// the likeliest, and takes it for known; of some hundred shots others are
// nearly as likely, most of all rougher ones and such as reach farther and
// rise higher.
//
// They are evenly spread over the restricted likelihood on a net of kernels,
// ranges and sills, in that order, and follow from the shots alone. The nugget
// and the anisotropy are those of the model, whose likelihood that is, but for
// breaklines' own heights. Where the covariance was not fitted, the shots lie
// on the trend, or no two are asked for, there is nothing to draw and the
// result is nil.
func (m *Model) Likely(n int) []Covariance {
	if n < 2 || m.options.Covariance != nil || m.unsure || m.Covariance.Sill <= leastVariance {
		return nil
	}
	shots := make([]int, len(m.shots))
	for i := range shots {
		shots[i] = i
	}
	of := *m
	of.samples = m.samples.pick(shots)
	flat, ok := newDrift([]*system{plain(of.samples)})
	if !ok {
		return nil
	}
	spread := math.Log(flat.quad / float64(max(len(shots)-of.samples.terms, 1)))
	blocks := of.blocks(mostLikelihood)
	low := math.Log(leastReach * m.spacing / m.size)
	high := max(math.Log(max(mostReach, m.Covariance.Range/m.size)), low+1)
	kernels := [...]Kernel{Matern32, Exponential}
	at := func(i int) Covariance {
		reach := low + (high-low)*float64(i/sillSteps%rangeSteps)/(rangeSteps-1)
		sill := spread + leastSpread + (mostSpread-leastSpread)*float64(i%sillSteps)/(sillSteps-1)
		return Covariance{kernels[i/sillSteps/rangeSteps], math.Exp(sill), math.Exp(reach) * m.size, m.Covariance.Nugget}
	}
	weight := make([]float64, len(kernels)*rangeSteps*sillSteps)
	terrain.Bands(len(kernels)*rangeSteps, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			for i := k * sillSteps; i < (k+1)*sillSteps; i++ {
				c := at(i)
				weight[i], _ = newLikelihood(c.Kernel, blocks).at(guess{reach: c.Range / m.size, sill: c.Sill, nugget: c.Nugget})
			}
		}
	})
	best := math.Inf(1)
	for _, v := range weight {
		best = min(best, v)
	}
	if math.IsInf(best, 1) {
		return nil
	}
	total := 0.0
	for i, v := range weight {
		weight[i] = math.Exp((best - v) / 2)
		total += weight[i]
	}
	var list []Covariance
	sum := 0.0
	for i, v := range weight {
		sum += v
		for len(list) < n && (float64(len(list))+0.5)*total <= sum*float64(n) {
			list = append(list, at(i))
		}
	}
	return list
}
