package reliability

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// A Band is where a curve lies if the odds are right.
type Band struct {
	Level          float64   // of the band, such as 0.9
	Lo, Hi         []float64 // for each point of the curve, pointwise
	Miscalibration []float64 // of each redrawing, ascending: what chance alone does
}

// Independent redraws what happened as if no forecast had to do with another.
func Independent(odds []float64) func(*rand.Rand, []bool) {
	return func(r *rand.Rand, happened []bool) {
		for i, p := range odds {
			happened[i] = r.Float64() < p
		}
	}
}

// Consistency is the band about the curve of odds: what happened is redrawn so
// many times and the middle share level of the curves kept. Redraw fills in
// what might have happened if the odds are right, with the numbers it is given.
//
// It panics when level is not between 0 and 1 or times is below 1.
func Consistency(odds []float64, level float64, times int, seed uint64, redraw func(*rand.Rand, []bool)) Band {
	if !(level > 0 && level < 1) || times < 1 {
		panic(fmt.Sprintf("reliability: a band of level %v from %d redrawings", level, times))
	}
	happened := make([]bool, len(odds))
	check(odds, happened)
	points, at := gather(odds)
	shares := make([][]float64, len(points))
	band := Band{Level: level}
	r := rand.New(rand.NewPCG(seed, 0))
	for range times {
		redraw(r, happened)
		for k := range points {
			points[k].Happened = 0
		}
		for i, yes := range happened {
			if yes {
				points[at[i]].Happened++
			}
		}
		band.Miscalibration = append(band.Miscalibration, through(points).Miscalibration)
		for k, p := range points {
			shares[k] = append(shares[k], p.Share)
		}
	}
	slices.Sort(band.Miscalibration)
	for _, s := range shares {
		slices.Sort(s)
		band.Lo = append(band.Lo, stat.Quantile((1-level)/2, stat.Empirical, s, nil))
		band.Hi = append(band.Hi, stat.Quantile((1+level)/2, stat.Empirical, s, nil))
	}
	return band
}
