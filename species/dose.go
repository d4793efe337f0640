package species

import (
	"math"
	"strings"
)

// What an hour of wet roots counts.
const (
	// referenceSoil is the soil temperature at which the days of the table
	// hold, °C: warm soil of the growing season. The sources that give days
	// seldom give the soil with them; 20 °C is common practice, no source.
	referenceSoil = 20.0

	// doublesEvery is the rise of temperature that doubles the rate at which
	// roots and microbes use up oxygen, °C: a Q10 of 2 (from memory; Kozlowski
	// 1984, Flooding and Plant Growth). It agrees with the trade rule that soil
	// above about 28 °C halves the days and soil under about 15 °C doubles them,
	// to fourfold near freezing.
	doublesEvery = 10.0

	// coldestSoil and warmestSoil bound the rule, °C. Common practice.
	coldestSoil, warmestSoil = 0.0, 40.0

	// dormantWeight is the most that an hour weighs for a dormant tree: as in
	// soil of 5 °C, which makes the days 2.8 times as many, midway between
	// the twofold and the fourfold of the trade. Common practice, no source;
	// 28 dormant days did nothing to pecan (smith-1989).
	dormantWeight = 0.3535533905932738 // 2^((5-20)/10)

	// rootZone is the depth under the root crown that most feeder roots of a
	// young tree are in, m. Common practice, no source.
	rootZone = 0.30
)

// Warmth is the weight of an hour of wet roots in soil of so many °C against
// one at 20 °C: 2^((soil−20)/10), between 0 and 40 °C. It is never less than 1
// for a species of the tropics, which no cold makes safer: flooded at 5 to
// 10 °C soursop and pond apple were dead by the fourth week (ojeda-annona), and
// mango at 15 °C made none of the lenticels it lives by (larson-1990). Where
// the temperature is NaN the weight is 1.
//
// It never falls as the soil gets warmer.
func (e *Entry) Warmth(soil float64) float64 { return HourWeight(soil, false, e.Tropical()) }

// HourWeight is what an hour of wet roots counts against one in leaf in soil of
// 20 °C: by the warmth of the soil, °C, as [Entry.Warmth] has it, and no more
// than an hour in soil of 5 °C for a tree at rest. It is one for all species of
// the tropics, which neither cold nor rest makes less, and one for all others.
func HourWeight(soil float64, dormant, tropical bool) float64 {
	w := 1.0
	if !math.IsNaN(soil) {
		w = math.Exp2((math.Min(math.Max(soil, coldestSoil), warmestSoil) - referenceSoil) / doublesEvery)
	}
	switch {
	case tropical:
		return math.Max(w, 1)
	case dormant:
		return math.Min(w, dormantWeight)
	}
	return w
}

// frostFree is the coldest hardiness zone, in half zones, from which a species
// counts as tropical: 9b, of avocado, guava and banana. Common practice.
const frostFree = 17

// Tropical says whether cold soil and a season of rest are no help to the
// species. So it is held to be where the hardiness is not known, and for annuals.
// Citrus, though tender, is not tropical in this: it bears several weeks in soil
// under 16 °C (zekri-2023).
func (e *Entry) Tropical() bool {
	if strings.HasPrefix(e.Scientific, "Citrus ") {
		return false
	}
	z, known := e.zones()
	return !known || e.Hardiness == "annual" || z.cold >= frostFree
}

// RootHours is the dose of a tree, in hours of a root zone that is wet all
// through: the mean over the 0.3 m under its root crown of the hours that the
// ground at each height is wet. A root zone half under water for ten hours has
// had five: half the roots out of the water gave peach about half the harm
// (ziegler-2023).
//
// Hours are those at the heights 0, step, 2·step and so on above the ground of
// the spot, m, straight between them; above the last they are taken as there,
// and under the ground as at its surface. The crown is as high above the
// ground, m. RootHours panics if step is not positive where there is more than
// one height. Without heights the dose is 0.
func RootHours(hours []float64, step, crown float64) float64 {
	dose := 0.0
	for i, w := range rootShares(len(hours), step, crown) {
		dose += float64(w * hours[i])
	}
	return dose
}

// rootShares is the share of the root zone that the hours at each of n heights
// stand for, in all 1: the integral over the root zone of the hat function
// of each height.
func rootShares(n int, step, crown float64) []float64 {
	if n == 0 {
		return nil
	}
	share := make([]float64, n)
	if n == 1 {
		share[0] = 1
		return share
	}
	if !(step > 0) {
		panic("species: the heights of hours must rise by more than 0")
	}
	top := float64(n-1) * step
	lo, hi := crown-rootZone, crown
	if lo < 0 {
		share[0] += math.Min(hi, 0) - lo
	}
	if hi > top {
		share[n-1] += hi - math.Max(lo, top)
	}
	for i := range n - 1 {
		// Of the part of this step in the root zone, the upper height has as
		// much as its middle is up the step.
		from, to := math.Max(lo, float64(i)*step), math.Min(hi, float64(i+1)*step)
		if to <= from {
			continue
		}
		up := math.Min(math.Max((from+to)/(2*step)-float64(i), 0), 1)
		share[i] += float64((to - from) * (1 - up))
		share[i+1] += float64((to - from) * up)
	}
	for i := range share {
		share[i] /= rootZone
	}
	return share
}
