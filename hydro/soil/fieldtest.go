package soil

import (
	"fmt"
	"math"
)

// A PercolationHole is a hole dug, soaked and filled, in which the fall of the
// water was timed. The fall is not the rate at which water sinks into ground:
// much of it leaves by the wall. Two corrections are in use and they disagree;
// Porchet's charges the wall for all its area and is the one to use.
type PercolationHole struct {
	Diameter float64 // mm
	Depth    float64 // of the water at first, mm
	Drop     float64 // of the water in Hours, mm
	Hours    float64
}

// Check says what is wrong with a test that a person wrote down.
func (p PercolationHole) Check() error {
	if err := positive("diameter of the hole", p.Diameter, "mm"); err != nil {
		return err
	}
	if err := positive("depth of the water", p.Depth, "mm"); err != nil {
		return err
	}
	if err := positive("time of the test", p.Hours, "h"); err != nil {
		return err
	}
	if !(p.Drop >= 0 && p.Drop <= p.Depth) {
		return fmt.Errorf("the water dropped %g mm, which is not from 0 to the %g mm that stood there", p.Drop, p.Depth)
	}
	return nil
}

// DropRate is how fast the water fell, mm/h.
func (p PercolationHole) DropRate() float64 { return p.Drop / p.Hours }

// MinutesPerInch is the percolation rate as health departments write it; +Inf
// where nothing fell.
func (p PercolationHole) MinutesPerInch() float64 { return p.Hours * 60 / (p.Drop / inch) }

// Porchet is the infiltration rate, mm/h, by the balance of water over floor
// and wall at the mean depth: drop rate · r/(r + 2 H). The form of a county
// handbook, from memory; it follows from the geometry.
func (p PercolationHole) Porchet() float64 {
	r, mean := p.Diameter/2, p.Depth-p.Drop/2
	return p.DropRate() * r / (r + 2*mean)
}

// Reduced is the infiltration rate, mm/h, by the reduction factor (2 d - Δd)/D
// + 1 that some cities ask for. It charges the wall for half its area.
func (p PercolationHole) Reduced() float64 {
	return p.DropRate() / ((2*p.Depth-p.Drop)/p.Diameter + 1)
}

// Disagreement is how many times Reduced is Porchet, from 1 to 2.
func (p PercolationHole) Disagreement() float64 {
	r, mean := p.Diameter/2, p.Depth-p.Drop/2
	return (r + 2*mean) / (r + mean)
}

// Rate is what the test says of the ground: Porchet's rate, its doubt widened
// by the disagreement of the two corrections.
func (p PercolationHole) Rate() Rate {
	return Rate{
		Median: p.Porchet(),
		Spread: math.Hypot(testSpread, math.Log10(p.Disagreement())/2),
		Source: fmt.Sprintf("percolation test, wall and floor charged alike; the other correction in use gives %.2g times as much", p.Disagreement()),
	}
}

// An AugerHole is a hole bored in dry ground above the water table and filled,
// in which the fall of the water was timed: the inverse auger hole.
type AugerHole struct {
	Radius     float64 // mm
	Start, End float64 // depths of the water, mm
	Hours      float64
}

// Check says what is wrong with a test that a person wrote down.
func (a AugerHole) Check() error {
	if err := positive("radius of the hole", a.Radius, "mm"); err != nil {
		return err
	}
	if err := positive("time of the test", a.Hours, "h"); err != nil {
		return err
	}
	if !(a.End >= 0 && a.Start > a.End) {
		return fmt.Errorf("the water went from %g to %g mm, which is not down to 0 or more", a.Start, a.End)
	}
	return nil
}

// Conductivity is K, mm/h: r/2t · ln((h0 + r/2)/(ht + r/2)), which ILRI and FAO
// write with 1.15 and the decimal logarithm.
func (a AugerHole) Conductivity() float64 {
	half := a.Radius / 2
	return half / a.Hours * math.Log((a.Start+half)/(a.End+half))
}

// Rate is what the test says of the ground.
func (a AugerHole) Rate() Rate {
	return Rate{Median: a.Conductivity(), Spread: testSpread, Source: "inverse auger hole test"}
}

// A RingSoil says how strongly a soil draws water, for a single ring: α* of
// Elrick and Reynolds, 1/mm.
type RingSoil float64

// The usual classes of α*, from memory.
const (
	CoarseSand    RingSoil = 0.036 // coarse and gravelly sand
	Structured    RingSoil = 0.012 // most structured soils, and the first choice
	FineMassive   RingSoil = 0.004 // fine soils without structure
	CompactedClay RingSoil = 0.001
)

// A SingleRing is a ring driven into the ground and kept ponded until the rate
// was steady.
type SingleRing struct {
	Steady    float64  // steady fall or feed of the water in the ring, mm/h
	Head      float64  // depth of the water, mm
	Insertion float64  // how deep the ring stands in the ground, mm
	Radius    float64  // mm
	Soil      RingSoil // zero is Structured
}

// Check says what is wrong with a test that a person wrote down.
func (s SingleRing) Check() error {
	if err := positive("radius of the ring", s.Radius, "mm"); err != nil {
		return err
	}
	if err := positive("steady rate in the ring", s.Steady, "mm/h"); err != nil {
		return err
	}
	if !(s.Head >= 0) || !(s.Insertion >= 0) || !(s.Soil >= 0) {
		return fmt.Errorf("head %g mm, insertion %g mm and α* %g /mm must be 0 or more", s.Head, s.Insertion, float64(s.Soil))
	}
	return nil
}

// Conductivity is the field-saturated K, mm/h, without what spreads sideways
// under the ring and what suction and head add: Reynolds and Elrick (1990),
//
//	q/K = H/(C1 d + C2 a) + 1/(α* (C1 d + C2 a)) + 1,
//
// with C1 = 0.316 π and C2 = 0.184 π. The constants are from memory.
func (s SingleRing) Conductivity() float64 {
	alpha := float64(s.Soil)
	if alpha == 0 {
		alpha = float64(Structured)
	}
	shape := 0.316*math.Pi*s.Insertion + 0.184*math.Pi*s.Radius
	return s.Steady / (s.Head/shape + 1/(alpha*shape) + 1)
}

// Rate is what the test says of the ground.
func (s SingleRing) Rate() Rate {
	return Rate{Median: s.Conductivity(), Spread: testSpread, Source: "single ring test"}
}

// A DoubleRing is the inner of two rings while both are kept ponded: the outer
// one catches what would spread sideways.
type DoubleRing struct {
	Diameter float64 // of the inner ring, mm
	Litres   float64 // added to the inner ring in Hours to keep its level
	Hours    float64
}

// Check says what is wrong with a test that a person wrote down.
func (d DoubleRing) Check() error {
	if err := positive("diameter of the inner ring", d.Diameter, "mm"); err != nil {
		return err
	}
	if err := positive("time of the test", d.Hours, "h"); err != nil {
		return err
	}
	return positive("water added", d.Litres, "l")
}

// Infiltration is the rate in the inner ring, mm/h: volume over area and time.
func (d DoubleRing) Infiltration() float64 {
	return d.Litres * 1e6 / (math.Pi * d.Diameter * d.Diameter / 4) / d.Hours
}

// Rate is what the test says of the ground.
func (d DoubleRing) Rate() Rate {
	return Rate{Median: d.Infiltration(), Spread: testSpread, Source: "double ring test"}
}

func positive(what string, v float64, unit string) error {
	if v > 0 && !math.IsInf(v, 1) {
		return nil
	}
	return fmt.Errorf("the %s is %g %s; it must be above 0", what, v, unit)
}
