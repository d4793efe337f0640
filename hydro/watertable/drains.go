package watertable

import (
	"errors"
	"fmt"
	"math"
)

// EquivalentDepth is the depth below parallel drains, m, of an imagined
// barrier to which ditches would draw as much water as the drains do, whose
// flow lines crowd as they near a pipe: Hooghoudt's d. Drains of the radius
// given, m, lie spacing apart over a barrier so far below them, m.
//
//	Hooghoudt, S.B. (1940). Bijdragen tot de kennis van eenige natuurkundige
//	grootheden van den grond, 7. Verslagen van Landbouwkundige Onderzoekingen
//	46(14), 515–707.
//	Molen, W.H. van der, Wesseling, J. (1991). A solution in closed form and a
//	series solution to replace the tables for the thickness of the equivalent
//	layer in Hooghoudt's drain spacing formula. Agricultural Water Management
//	19, 1–16.
//
// It is 0 on the barrier. A pipe wider than the layer is deep counts as a
// ditch down to the barrier. It holds for a radius that is small beside the
// spacing.
func EquivalentDepth(spacing, barrier, radius float64) float64 {
	if barrier <= 0 {
		return 0
	}
	resistance := math.Log(spacing/(math.Pi*radius)) + barrierTerm(2*math.Pi*barrier/spacing)
	d := math.Pi * spacing / 8 / resistance
	if !(d > 0 && d < barrier) {
		return barrier
	}
	return d
}

// barrierTerm is F of van der Molen and Wesseling (1991): what the barrier
// adds to the resistance of a row of drains.
func barrierTerm(x float64) float64 {
	if x <= 0.5 {
		return math.Pi*math.Pi/(4*x) + math.Log(x/(2*math.Pi))
	}
	sum := 0.0
	for n := 1.0; ; n += 2 {
		e := math.Exp(-2 * n * x)
		if sum += 4 * e / (n * (1 - e)); e < 1e-17 {
			return sum
		}
	}
}

// DrainEntry is the conductance of a pipe drain of the radius given, m, over a
// barrier so far below it, m, in soil of the conductivity, m/day: what enters
// a metre of it for a metre by which the water table beside it stands higher,
// m²/day. It is infinite where a pipe nearly fills the layer.
//
// Hooghoudt's loss of head L q/(8 K d), by the closed form of van der Molen
// and Wesseling for a spacing L of 4π times the barrier's depth D or more, is
// L²q/(8 K D) for the way through the layer and L q ln(D/(π r))/(π K) for the
// way in, whatever the spacing. The second is the radial resistance of
// Ernst, L.F. (1956), Calculation of the steady flow of groundwater in
// vertical cross-sections, Netherlands Journal of Agricultural Science 4,
// 126–131. Where drains lie closer, it lets in too little.
func DrainEntry(conductivity, barrier, radius float64) float64 {
	crowding := math.Log(barrier / (math.Pi * radius))
	if !(crowding > 0) {
		return math.Inf(1)
	}
	return math.Pi * conductivity / crowding
}

// Drains are parallel drains or ditches in level land, all alike.
type Drains struct {
	// Above and Below are the conductivities of the soil above the drains and
	// below them, m/day.
	Above, Below float64

	Barrier float64 // depth of the barrier below the drains, m; 0 where they lie on it
	Radius  float64 // of the pipe; for a ditch its wetted perimeter over π, m; 0 is a ditch down to the barrier
}

func (d Drains) check() error {
	var bad []error
	for _, k := range []float64{d.Above, d.Below} {
		if err := checkConductivity(k); err != nil {
			bad = append(bad, err)
		}
	}
	if !(d.Barrier >= 0 && d.Barrier <= 1000) {
		bad = append(bad, fmt.Errorf("a barrier %g m below the drains is not between 0 and 1000", d.Barrier))
	}
	if !(d.Radius >= 0 && d.Radius <= 10) {
		bad = append(bad, fmt.Errorf("a drain radius of %g m is not between 0 and 10", d.Radius))
	}
	return errors.Join(bad...)
}

func (d Drains) equivalent(spacing float64) float64 {
	if d.Radius == 0 {
		return d.Barrier
	}
	return EquivalentDepth(spacing, d.Barrier, d.Radius)
}

// Discharge is what drains so far apart, m, carry for each area between them,
// m/day, while the water table half way stands so high above them, m:
//
//	q = (8 K_below d h + 4 K_above h²) / L², Hooghoudt (1940).
func (d Drains) Discharge(spacing, height float64) float64 {
	return d.carries(spacing, height) / (spacing * spacing)
}

// carries is q L².
func (d Drains) carries(spacing, height float64) float64 {
	return float64(8*d.Below*d.equivalent(spacing)*height) + float64(4*d.Above*height*height)
}

// Height is how high the water table stands half way between drains so far
// apart, m, while they carry so many m/day from each area.
func (d Drains) Height(spacing, discharge float64) float64 {
	b := d.Below * d.equivalent(spacing) / d.Above
	// h² + 2 b h = c, in the form that does not cancel.
	c := discharge * spacing * spacing / (4 * d.Above)
	return c / (b + math.Sqrt(b*b+c))
}

// Spacing is how far apart drains may lie, m, so that the water table half way
// stands no higher above them than so many metres while they carry away so
// many m/day. The spacing and the equivalent depth need each other; each round
// brings them closer by at least half.
//
// It is for a first idea. Drains are laid by a design that knows the soil, and
// with the permits that drains need.
func (d Drains) Spacing(discharge, height float64) (float64, error) {
	bad := []error{d.check()}
	if !(discharge > 0) || math.IsInf(discharge, 0) {
		bad = append(bad, fmt.Errorf("a discharge of %g m/day is not more than 0", discharge))
	}
	if !(height > 0) || math.IsInf(height, 0) {
		bad = append(bad, fmt.Errorf("a water table %g m above the drains is not more than 0", height))
	}
	if err := errors.Join(bad...); err != nil {
		return 0, err
	}
	const firstGuess = 75 // m
	l := float64(firstGuess)
	for range 200 {
		next := math.Sqrt(d.carries(l, height) / discharge)
		if math.Abs(next-l) <= 1e-14*next {
			break
		}
		l = next
	}
	return l, nil
}
