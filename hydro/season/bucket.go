package season

import (
	"math"

	"wetfeet/hydro/soil"
)

// A bucket is the water in the root zone of a zone.
type bucket struct {
	zone      *Zone
	retention retention
	water     float64 // above wilting, of the pervious ground, mm

	// The storm that is on: rain since midnight, its storage, and its runoff.
	rain, storage, runoff float64

	column *soil.Column
	dry    float64 // hours since the last rain
	filled bool    // in the last step rain ran off for want of pores
}

// newBucket starts at field capacity, as FAO-56 advises after a rain.
func newBucket(z *Zone) *bucket {
	b := &bucket{zone: z, water: z.available(), dry: math.Inf(1)}
	if z.GreenAmpt == nil {
		b.retention = z.retention()
	}
	return b
}

// fluxes are what a step moved, mm over the zone.
type fluxes struct{ runoff, percolated, transpired float64 }

// newDay begins a new storm.
func (b *bucket) newDay() {
	b.rain, b.runoff = 0, 0
	b.storage = b.retention.at(b.water)
}

// step lets a step of so many hours pass, with rain and reference
// evapotranspiration, mm. Room is how much water, mm, can drain below.
func (b *bucket) step(rain, et, hours, room float64) fluxes {
	z := b.zone
	before := b.water
	excess := b.excess(rain, hours)
	drain := min(z.Drainage*hours, room)
	b.water += rain - excess

	// What the pores do not hold, and the ground below does not take in time,
	// runs off.
	b.filled = b.water > z.pores()+drain
	if b.filled {
		excess += b.water - (z.pores() + drain)
		b.water = z.pores() + drain
	}
	// Plants come before drainage: FAO-56, equation 88.
	transpired := b.transpire(z.crop() * et)
	percolated := min(max(b.water-z.available(), 0), drain)
	b.water -= percolated

	// The last rounding goes with the largest term, so that nothing is lost.
	infiltrated := rain - excess
	if lack := before + infiltrated - percolated - transpired - b.water; lack != 0 {
		b.water += lack
	}
	pervious := 1 - z.Impervious
	return fluxes{
		runoff:     rain*z.Impervious + excess*pervious,
		percolated: percolated * pervious,
		transpired: transpired * pervious,
	}
}

// excess is the rain of a step that does not soak into pervious ground, mm.
func (b *bucket) excess(rain, hours float64) float64 {
	if rain == 0 {
		if b.dry += hours; b.column != nil && b.dry < 24 {
			b.column.Rain(0, hours)
		}
		return 0
	}
	if b.zone.GreenAmpt != nil {
		if b.column == nil || b.dry >= 24 {
			g := *b.zone.GreenAmpt
			content := b.zone.WiltingPoint + b.water/(1000*b.zone.RootDepth)
			g.Saturation = min(max(1-(b.zone.Porosity-content)/g.Porosity, 0), 1)
			b.column = soil.NewColumn(g)
		}
		b.dry = 0
		return rain - b.column.Rain(rain, hours)
	}
	b.dry = 0
	b.rain += rain
	q, above := 0.0, b.rain-b.retention.ratio*b.storage
	if above > 0 {
		q = above * (above / (above + b.storage))
	}
	excess := min(max(q-b.runoff, 0), rain)
	b.runoff = q
	return excess
}

// transpire lets plants draw water of which they would take so much, mm, if
// there were enough, and returns what they got. Above the readily available
// water they take it all; below, the stress coefficient Ks of FAO-56, equation
// 84, falls in proportion to the water left, so that it wanes exponentially.
func (b *bucket) transpire(wanted float64) float64 {
	before, edge := b.water, b.zone.stressed()
	if easy := max(b.water-edge, 0); easy >= wanted {
		b.water -= wanted
	} else {
		b.water = min(b.water, edge) * math.Exp(-(wanted-easy)/edge)
	}
	return before - b.water
}

// held is the water above wilting, mm over the zone.
func (b *bucket) held() float64 { return b.water * (1 - b.zone.Impervious) }
