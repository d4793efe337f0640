package calibration

import (
	"math"
	"slices"

	"wetfeet/hydro/odds"
)

// Allowance is what the hollows of some sites ask for: drawn out so, nine
// intervals in ten of them hold the truth, and what is expected of all adds up
// to what they hold. Where nothing does both it is infinite.
//
// The farther the interval reaches above, the less it must below, and the more
// is expected; so the reach above is found by halving.
func Allowance(answers []*Answer) odds.Allowance {
	var needs []need
	truth := 0.0
	for _, a := range answers {
		for i := range a.Hollows {
			below, above := a.Hollows[i].needs()
			needs = append(needs, need{below, above})
			truth += a.Hollows[i].Truth
		}
	}
	expected := func(above float64) (odds.Allowance, float64) {
		by := odds.Allowance{Below: leastBelow(needs, above), Above: above}
		sum := 0.0
		for _, a := range answers {
			for i := range a.Hollows {
				sum += by.Expected(a.Hollows[i].Draws)
			}
		}
		return by, sum
	}
	const most = 16.0
	lo, hi := 0.0, most
	for hi-lo > 1e-4 {
		above := (lo + hi) / 2
		if _, sum := expected(above); sum < truth {
			lo = above
		} else {
			hi = above
		}
	}
	by, _ := expected(hi)
	if hi == most {
		by.Below = math.Inf(1)
	}
	if math.IsInf(by.Below, 1) {
		by.Above = math.Inf(1)
	}
	return by
}

// A need is how many times as far as the draws say an interval must reach
// below and above to hold the truth.
type need struct{ below, above float64 }

// leastBelow is the least reach below that, with a reach above, holds nine
// truths in ten and of one more: split conformal prediction. It is infinite
// where the reach above leaves too many.
func leastBelow(needs []need, above float64) float64 {
	want := int(math.Ceil(nine * float64(len(needs)+1)))
	var below []float64
	for _, n := range needs {
		if n.above <= above {
			below = append(below, n.below)
		}
	}
	if len(below) < want || want == 0 {
		return math.Inf(1)
	}
	slices.Sort(below)
	return below[want-1]
}
