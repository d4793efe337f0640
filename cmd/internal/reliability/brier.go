package reliability

import "fmt"

// Brier is the Brier score of odds against what happened: the mean of
// (odds − 1)² where it happened and odds² where it did not. That is half the
// figure of Brier (1950), who adds both outcomes of each forecast. It is NaN
// for no forecasts.
//
// It panics when the slices differ in length or odds are not within 0 and 1.
func Brier(odds []float64, happened []bool) float64 {
	check(odds, happened)
	sum := 0.0
	for i, p := range odds {
		off := p
		if happened[i] {
			off = 1 - p
		}
		sum += off * off
	}
	return sum / float64(len(odds))
}

// Skill is the Brier skill score of odds over a reference forecast of the same
// events: 1 is perfect, 0 no better than the reference, below 0 worse. Over a
// reference without fault it is −Inf, or NaN when neither has any.
func Skill(odds, reference []float64, happened []bool) float64 {
	return 1 - Brier(odds, happened)/Brier(reference, happened)
}

func check(odds []float64, happened []bool) {
	if len(odds) != len(happened) {
		panic(fmt.Sprintf("reliability: %d odds for %d events", len(odds), len(happened)))
	}
	for i, p := range odds {
		if !(p >= 0 && p <= 1) {
			panic(fmt.Sprintf("reliability: odds %v of event %d are not within 0 and 1", p, i))
		}
	}
}
