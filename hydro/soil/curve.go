package soil

import (
	"fmt"
	"math"
)

// inch is the millimetres in an inch.
const inch = 25.4

// A Curve is a runoff curve number with how it is used. Only CN must be given.
type Curve struct {
	// CN is the curve number for average moisture, from 30 to 100. 58 is an
	// orchard in good grass on group B; 98 is pavement.
	CN float64

	// Before is how wet the ground was before the storm; zero is average.
	Before Moisture

	// Ratio is the share of the storage that rain must fill before any runs
	// off, Ia/S. Zero is 0.2, with which the tables of curve numbers were
	// made. The other ratio known is 0.05, with the storage raised to suit
	// (Hawkins et al. 2002): more runoff of small rains, a little less of
	// large ones.
	Ratio float64
}

// CurveNumber is the curve number of a cover, in a person's words, on soil of
// group g after such weather, and the row of the table it was taken from.
func CurveNumber(words string, g Group, before Moisture) (float64, Cover, error) {
	cover, err := FindCover(words)
	if err != nil {
		return 0, Cover{}, err
	}
	return Antecedent(cover.CurveNumber(g), before), cover, nil
}

// Check says what is wrong with a curve that a person typed.
func (c Curve) Check() error {
	switch {
	case !(c.CN >= 30 && c.CN <= 100):
		return fmt.Errorf("curve number %g is not from 30 to 100; 58 is grassed orchard on group B, 98 is pavement", c.CN)
	case c.Ratio != 0 && c.Ratio != 0.2 && c.Ratio != 0.05:
		return fmt.Errorf("initial abstraction ratio %g is not 0.2 or 0.05, for which storages are known", c.Ratio)
	}
	return nil
}

// Storage is the most rain the ground can keep once runoff has begun, S, mm.
func (c Curve) Storage() float64 {
	cn := Antecedent(c.CN, c.Before)
	s := 1000/cn - 10 // in; TR-55, equation 2-4
	if c.Ratio == 0.05 {
		s = 1.33 * math.Pow(s, 1.15) // holds in inches
	}
	return s * inch
}

// InitialAbstraction is the rain, mm, before any runs off, Ia.
func (c Curve) InitialAbstraction() float64 {
	if c.Ratio == 0.05 {
		return 0.05 * c.Storage()
	}
	return 0.2 * c.Storage()
}

// Runoff is the depth that runs off a rain, both in mm: TR-55, equation 2-1.
// It is never more than the rain, and more rain never gives less of it.
func (c Curve) Runoff(rain float64) float64 {
	return runoff(rain, c.Storage(), c.InitialAbstraction())
}

func runoff(rain, s, ia float64) float64 {
	if !(rain > ia) {
		return 0
	}
	above := rain - ia
	return above * (above / (above + s))
}

// Rain is the least rain, mm, of which a depth runs off: the inverse of
// Runoff. For no runoff it is the initial abstraction.
func (c Curve) Rain(runoff float64) float64 {
	s, q := c.Storage(), max(0, runoff)
	return c.InitialAbstraction() + (q+math.Sqrt(q*(q+4*s)))/2
}

// Excess is the runoff of each step of a storm, after [Loss]: the growth of
// the runoff as the rain adds up, after NEH 630, chapter 10. The lengths of
// the steps do not matter to a curve number.
func (c Curve) Excess(dst, rain, hours []float64) []float64 {
	dst = sized(dst, rain, hours)
	s, ia := c.Storage(), c.InitialAbstraction()
	sum, before := 0.0, 0.0
	for i, r := range rain {
		sum += r
		q := runoff(sum, s, ia)
		// The difference of two rounded sums may stray past what fell.
		dst[i] = min(max(0, q-before), r)
		before = q
	}
	return dst
}

// Composite is the curve number of ground of which a share, 0 to 1, is
// impervious, the rest having number pervious. Connected is that share of the
// impervious ground whose water runs straight to a ditch or a pipe; the rest
// spreads over the pervious ground first, which tells only where less than 30 %
// is impervious. TR-55, chapter 2 and appendix F.
func Composite(pervious, share, connected float64) float64 {
	spread := 0.0 // R, the unconnected part of the impervious ground
	if share < 0.30 {
		spread = 1 - connected
	}
	return pervious + share*(98-pervious)*(1-0.5*spread)
}
