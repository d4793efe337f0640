package watertable

import (
	"errors"
	"fmt"
	"math"
)

// A Slope is the soil of a slope as one store that empties the slower the
// emptier it is, as [Topmodel] has it: the outflow is Full exp(−D̄/M).
type Slope struct {
	M    float64 // m of water
	Full float64 // outflow at no deficit, m/day
}

// SlopeAt is the slope whose deficit, m, is steady under a recharge, m/day,
// above 0: so the observed state and the usual recharge give its outflow.
func SlopeAt(m, deficit, recharge float64) Slope {
	return Slope{M: m, Full: recharge * math.Exp(deficit/m)}
}

// Outflow is what the slope yields at a deficit, m/day.
func (s Slope) Outflow(deficit float64) float64 { return s.Full * math.Exp(-deficit/s.M) }

// Step is the deficit, m, after so many days of a steady recharge, m/day,
// which may be negative, and the water that ran out meanwhile, m. With
// y = exp(D̄/m) the store is linear, dy/dt = (Full − R y)/m, so that the step is
// exact however long it is, and what ran out is what the balance leaves over.
func (s Slope) Step(deficit, recharge, days float64) (after, outflow float64) {
	// D₁ = D₀ − R t + m ln(1 + (Full/m) e^(−D₀/m) ∫ e^(R t'/m) dt').
	x := recharge * days / s.M
	grown := days // ∫ e^(R t/m) dt over the step
	if math.Abs(x) > 1e-12 {
		grown = days * math.Expm1(x) / x
	}
	outflow = s.M * math.Log1p(s.Outflow(deficit)/s.M*grown)
	if math.IsInf(grown, 1) { // a flood in one step: e^x alone counts
		outflow = float64(recharge*days) + s.M*math.Log(s.Outflow(deficit)/recharge)
	}
	return deficit - float64(recharge*days) + outflow, outflow
}

// A Flat is level land between ditches or drains as one store whose outflow
// is in step with what it holds, after
//
//	Zeeuw, J.W. de, Hellinga, F. (1958). Neerslag en afvoer. Landbouwkundig
//	Tijdschrift 70, 405–422; from memory.
type Flat struct {
	// Reaction is the part of the water above the level of the drains that
	// they carry away, 1/day.
	Reaction float64
}

// FlatBetween is the flat between parallel drains: its reaction factor is that
// of the first term of their [Drawdown], π² K D/(μ L²).
func FlatBetween(d Drawdown) Flat { return Flat{Reaction: d.rate()} }

// Step is the water above the level of the drains, m, after so many days of a
// steady recharge, m/day, and the water that ran out meanwhile, m. Once the
// table has sunk to the drains under a negative recharge they run dry and it
// sinks on without them; they give no water back.
func (f Flat) Step(stored, recharge, days float64) (after, outflow float64) {
	if stored < 0 {
		if recharge <= 0 || stored+float64(recharge*days) <= 0 {
			return stored + float64(recharge*days), 0
		}
		days += stored / recharge // the rest, once the table is up at the drains
		stored = 0
	}
	steady := recharge / f.Reaction
	if recharge < 0 { // when do they run dry?
		if dry := math.Log1p(-stored/steady) / f.Reaction; dry < days {
			return float64(recharge * (days - dry)), stored + float64(recharge*dry)
		}
	}
	// s₁ = s₀ + (R/α − s₀)(1 − e^(−α t))
	change := -(steady - stored) * math.Expm1(-f.Reaction*days)
	return stored + change, float64(recharge*days) - change
}

// Daily carries the water table of a site through a record, a day at a time.
type Daily struct {
	Slope Slope
	Flat  Flat

	// Deficit is the mean deficit of the slopes, m of water, and Stored the
	// water of the flats above the level of their drains, m.
	Deficit, Stored float64

	Balance DailyBalance
}

// DailyBalance is the water of each square metre of slope and of flat since
// the start, m. On both, what came is what ran out and what is there more.
type DailyBalance struct {
	Recharge                float64
	SlopeRanOut, FlatRanOut float64
	SlopeGained, FlatGained float64
}

// Check says what of the stores is out of range, all of it.
func (d *Daily) Check() error {
	var bad []error
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"m of the slopes", d.Slope.M},
		{"full outflow of the slopes", d.Slope.Full},
		{"reaction factor of the flats", d.Flat.Reaction},
	} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			bad = append(bad, fmt.Errorf("%s %g is not more than 0", v.name, v.value))
		}
	}
	for _, v := range []float64{d.Deficit, d.Stored} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			bad = append(bad, fmt.Errorf("a store begins with %g m of water", v))
		}
	}
	return errors.Join(bad...)
}

// Step is one day of recharge, m: what gets down to the table, less what
// plants take from it.
func (d *Daily) Step(recharge float64) {
	deficit, outflow := d.Slope.Step(d.Deficit, recharge, 1)
	stored, drained := d.Flat.Step(d.Stored, recharge, 1)
	b := &d.Balance
	b.Recharge += recharge
	b.SlopeRanOut += outflow
	b.FlatRanOut += drained
	b.SlopeGained += d.Deficit - deficit
	b.FlatGained += stored - d.Stored
	d.Deficit, d.Stored = deficit, stored
}

// A Position is how the depth of the table at a place follows the stores of a
// [Daily]: Base + PerDeficit × Deficit − PerStored × Stored, m.
type Position struct{ Base, PerDeficit, PerStored float64 }

// Depth is the depth of the table below the ground, m, and 0 where it would
// stand above.
func (p Position) Depth(d *Daily) float64 {
	return max(0, p.Base+float64(p.PerDeficit*d.Deficit)-float64(p.PerStored*d.Stored))
}
