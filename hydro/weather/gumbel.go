package weather

import (
	"fmt"
	"math"
	"slices"
)

// Risk is the chance that an event with a return period, years, comes at least
// once in so many years.
func Risk(years, within float64) float64 { return -math.Expm1(within * math.Log1p(-1/years)) }

// ReturnPeriodOfRisk is the return period, years, of the event that comes with
// such a chance at least once in so many years.
func ReturnPeriodOfRisk(risk, within float64) float64 {
	return -1 / math.Expm1(math.Log1p(-risk)/within)
}

// A Gumbel is the distribution of yearly maxima that falls off evenly: its
// value once in T years is Location - Scale ln(-ln(1 - 1/T)).
type Gumbel struct {
	Location, Scale float64 // in the unit of the maxima
	Longest         float64 // the longest return period it may be asked, years
}

// reduced is Gumbel's variate of a return period.
func reduced(years float64) float64 { return -math.Log(-math.Log1p(-1 / years)) }

// FitGumbel fits yearly maxima by their first two L-moments (Hosking 1990).
// Five years are the least; what it says is trusted to 1.5 times their number.
func FitGumbel(maxima []float64) (Gumbel, error) {
	n := len(maxima)
	if n < 5 {
		return Gumbel{}, mistaken("%d whole years are too short a record for return periods; 5 are the least", n)
	}
	x := slices.Sorted(slices.Values(maxima))
	b0, b1 := 0.0, 0.0
	for i, v := range x {
		b0 += v / float64(n)
		b1 += v * float64(i) / float64(n-1) / float64(n)
	}
	const euler = 0.57721566490153286
	scale := (2*b1 - b0) / math.Ln2
	return Gumbel{Location: b0 - euler*scale, Scale: scale, Longest: beyond * float64(n)}, nil
}

// Value is what is reached once in so many years.
func (g Gumbel) Value(years float64) (float64, error) {
	if !(years > 1) {
		return 0, mistaken("a return period of %g years is not above 1", years)
	}
	if years > g.Longest*(1+1e-12) {
		return 0, mistaken("a return period of %.4g years is more than %.4g, to which what is known can be carried on", years, g.Longest)
	}
	return g.Location + g.Scale*reduced(years), nil
}

// Years is how often a value is reached: once in so many years, 1 at the least.
// It may be beyond Longest; the caller says so. Where all maxima were equal, as
// of a place that is never wet, it is 1 up to those and +Inf above.
func (g Gumbel) Years(value float64) float64 {
	if g.Scale == 0 {
		if value <= g.Location {
			return 1
		}
		return math.Inf(1)
	}
	return -1 / math.Expm1(-math.Exp(-(value-g.Location)/g.Scale))
}

// String is the distribution for a report.
func (g Gumbel) String() string {
	return fmt.Sprintf("Gumbel, location %.4g, scale %.4g", g.Location, g.Scale)
}
