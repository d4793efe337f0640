package survey

import (
	"math"

	"wetfeet/terrain"
)

// mostForDirection is the most shots of which it is tried whether they want a
// direction: each try fits the site anew ten times over, twice.
const mostForDirection = 600

// surely is how many standard errors better a direction must foretell left-out
// parts of the site: 1 in 40 by chance.
const surely = 2

// FitDirection is Fit with the same covariance in every direction, unless the
// data want one: then it reaches farther along some direction than across it.
//
// Two things are asked for. The likelihood must want it beyond what chance
// gives once in a hundred times, as in Fit. And whole parts of the site, left
// out one after the other with the covariance fitted anew to the rest, must be
// foretold better by it, by the mean of the log of their probability density
// and by more than twice its standard error over the parts. The likelihood
// alone is easily led: shots are taken along rows, rims and swales on purpose,
// and one swale full of them would stretch every hollow of the site.
func FitDirection(shots []Shot, o Options) (*Model, error) {
	even := o
	even.Isotropic = true
	m, err := Fit(shots, even)
	if err != nil || o.Isotropic || o.Covariance != nil || len(shots) < fewestForAnisotropy || len(shots) > mostForDirection {
		return m, err
	}
	o.Isotropic = false
	directed, err := Fit(shots, o)
	if err != nil || directed.Anisotropy.Ratio == 1 || !foretells(shots, o, even) {
		return m, nil
	}
	return directed, nil
}

// foretells says whether one way of fitting surely foretells left-out parts of
// the site better than another.
func foretells(shots []Shot, a, b Options) bool {
	blocks, err := parts(shots, 0)
	if err != nil {
		return false
	}
	gain := make([]float64, len(blocks)) // by part: how much more likely, the log, for a shot
	terrain.Bands(len(blocks), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			gain[k] = logDensity(shots, blocks[k], a) - logDensity(shots, blocks[k], b)
		}
	})
	mean, squares := 0.0, 0.0
	for _, g := range gain {
		mean += g / float64(len(gain))
	}
	for _, g := range gain {
		squares += (g - mean) * (g - mean)
	}
	n := float64(len(gain))
	return mean > surely*math.Sqrt(squares/(n-1)/n)
}

// logDensity is the mean log density of some shots as the others foretell
// them; NaN where those make no surface.
func logDensity(shots []Shot, some []int, o Options) float64 {
	o.Lines = unhooked(o.Lines, shots, some, Spacing(shots))
	m, err := Fit(allBut(shots, some), o)
	if err != nil {
		return math.NaN()
	}
	sum := 0.0
	for _, i := range some {
		z, sd := m.Predict(shots[i].Point)
		noise := shots[i].errorOr(math.Sqrt(m.Covariance.Nugget))
		variance := max(sd*sd+noise*noise, leastVariance)
		off := shots[i].Z - z
		sum -= (off*off/variance + math.Log(variance)) / 2
	}
	return sum / float64(len(some))
}
