package soil

import (
	"fmt"
	"math"
)

// A Rate is how fast water sinks into a soil, with its doubt: its logarithm is
// normal.
type Rate struct {
	Median float64 // mm/h
	Spread float64 // one standard deviation of log10
	Source string  // where it comes from, for the report
}

// Doubts of the logarithm to base 10, one standard deviation.
const (
	// tableSpread is what one soil differs from the table of its class: the
	// error of log10 Ks predicted from texture was 0.4 to 0.7 within a data base
	// and 0.6 to 0.9 across them (Schaap & Leij 1998).
	tableSpread = 0.7

	// testSpread is what one spot differs from the ground about it:
	// coefficients of variation near 100 % are usual for conductivity in a field
	// (Warrick & Nielsen 1980, from memory), ln's √ln 2 = 0.83.
	testSpread = 0.36
)

// Quantile is the rate, mm/h, below which the soil lies with probability p.
func (r Rate) Quantile(p float64) float64 {
	return r.Median * math.Pow(10, r.Spread*math.Sqrt2*math.Erfinv(2*p-1))
}

// Rate is how fast water sinks into soils of the texture: the geometric mean of
// two tables, twice the K of Rawls (1983), who halves the saturated one for
// entrapped air, and Rosetta's Ksat. What the two differ by, 1.1 times for sand
// and 10 for clay, widens the doubt.
func (t Texture) Rate() Rate {
	low, high := math.Log10(2*t.K), math.Log10(t.Ksat)
	return Rate{
		Median: math.Pow(10, (low+high)/2),
		Spread: math.Hypot(tableSpread, (high-low)/2),
		Source: fmt.Sprintf("tables for %s (Rawls et al. 1983 and Rosetta class averages)", t.Name),
	}
}

// designInches are means of Rawls (1998) by group as a state's stormwater
// manual (Minnesota) uses them, in/h.
var designInches = [4]float64{0.9, 0.205, 0.14, 0.06}

// Rate is how fast water sinks into soils of the group.
func (g Group) Rate() Rate {
	return Rate{
		Median: designInches[g] * inch,
		Spread: tableSpread,
		Source: fmt.Sprintf("mean for hydrologic group %v (Rawls 1998, as the Minnesota stormwater manual uses it)", g),
	}
}

// Measured is the rate by one or more tests, mm/h each: their geometric mean.
// Several tests make it surer; no number of them makes it sure.
func Measured(rates ...float64) Rate {
	sum := 0.0
	for _, v := range rates {
		sum += math.Log10(v)
	}
	n := float64(len(rates))
	words := "measured"
	if n > 1 {
		words = fmt.Sprintf("measured at %d places", len(rates))
	}
	return Rate{Median: math.Pow(10, sum/n), Spread: testSpread / math.Sqrt(n), Source: words}
}
