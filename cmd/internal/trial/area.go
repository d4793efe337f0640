package trial

import (
	"fmt"
	"math"
	"slices"
)

// An Area is an estimate of a chance, or of the difference of two, with its
// standard error.
type Area struct {
	Value, Error float64
}

// z90 bounds the middle 90 % of a normal distribution.
const z90 = 1.6448536269514722

// Interval is the 90 % interval of the estimate, by the normal distribution.
func (a Area) Interval() (lo, hi float64) {
	return a.Value - z90*a.Error, a.Value + z90*a.Error
}

// AUC is the chance that a spot seen wet scores higher than one that was not,
// ties counting half, with the standard error of DeLong et al. (1988). It is
// NaN with an error of NaN when either kind has fewer than two spots.
//
// It panics when the slices differ in length or a score is NaN: a spot
// without a score has to be left out of both, in sight of the reader.
func AUC(score []float64, wet []bool) Area {
	w, d := placements(score, wet)
	return Area{mean(w), math.Sqrt(variance(w)/float64(len(w)) + variance(d)/float64(len(d)))}
}

// Gain is the AUC of a less that of b on the same spots. Its error knows that
// the two measures were tried on the same spots, and so is smaller than that
// of two separate trials (DeLong et al. 1988).
func Gain(a, b []float64, wet []bool) Area {
	wa, da := placements(a, wet)
	wb, db := placements(b, wet)
	w, d := less(wa, wb), less(da, db)
	return Area{mean(w), math.Sqrt(variance(w)/float64(len(w)) + variance(d)/float64(len(d)))}
}

// placements gives for every spot seen wet the share of the dry spots it
// scores above, and for every dry spot the share of wet ones that score above
// it, both in the order of the spots. The mean of either is the AUC.
func placements(score []float64, wet []bool) (ofWet, ofDry []float64) {
	if len(score) != len(wet) {
		panic(fmt.Sprintf("trial: %d scores for %d spots", len(score), len(wet)))
	}
	var ws, ds []float64
	for i, s := range score {
		if math.IsNaN(s) {
			panic(fmt.Sprintf("trial: spot %d has no score", i))
		}
		if wet[i] {
			ws = append(ws, s)
		} else {
			ds = append(ds, s)
		}
	}
	sortedWet, sortedDry := slices.Sorted(slices.Values(ws)), slices.Sorted(slices.Values(ds))
	for _, s := range ws {
		ofWet = append(ofWet, shareBelow(sortedDry, s))
	}
	for _, s := range ds {
		ofDry = append(ofDry, 1-shareBelow(sortedWet, s))
	}
	return ofWet, ofDry
}

// shareBelow is the share of sorted values below s, those equal to it
// counting half.
func shareBelow(sorted []float64, s float64) float64 {
	below, found := slices.BinarySearch(sorted, s)
	upTo := below
	if found {
		for upTo < len(sorted) && sorted[upTo] == s {
			upTo++
		}
	}
	return (float64(below) + float64(upTo)) / 2 / float64(len(sorted))
}

// mean is NaN for no values.
func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// variance is that of a sample, with one less than the count below the line;
// NaN for fewer than two values.
func variance(v []float64) float64 {
	m, sum := mean(v), 0.0
	for _, x := range v {
		sum += (x - m) * (x - m)
	}
	return sum / float64(len(v)-1)
}

// less is a − b, place by place.
func less(a, b []float64) []float64 {
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	return d
}
