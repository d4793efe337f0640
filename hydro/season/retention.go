package season

import (
	"math"

	"wetfeet/hydro/soil"
)

// A retention is the storage S of a curve number as it follows the water in the
// root zone: that of antecedent condition I at wilting and of III at field
// capacity, and next to none, 2.54 mm (curve number 99), when all pores are full.
// Between them, after Williams et al. (2012), from memory,
//
//	S = Sᵢ (1 − W/(W + exp(w₁ − w₂ W))).
//
// Ground at field capacity all winter so gives the runoff of condition III, the
// upper end of what curve numbers say.
//
// With one bound of this program's own: a millimetre less in the ground makes room
// for one millimetre at most, so that from field capacity, up and down, Ia + S
// changes by no more than the water does. In a shallow sand the curve alone would
// have the wetter root zone keep so much less of a rain that it ended the drier.
type retention struct {
	ratio float64 // Ia/S

	// S in even parts of the water from wilting to field capacity, and on to
	// full.
	fc, full float64
	dry, wet [retentionParts + 1]float64
}

const retentionParts = 64

func (z *Zone) retention() retention {
	of := func(m soil.Moisture) float64 {
		c := z.Curve
		c.Before = m
		return c.Storage()
	}
	r := retention{fc: z.available(), full: z.pores()}
	average := z.Curve
	average.Before = soil.AverageBefore
	if s := average.Storage(); s > 0 {
		r.ratio = average.InitialAbstraction() / s
	}
	const least = 2.54 // mm, when full
	curve := func(float64) float64 { return average.Storage() }
	if most, wet := of(soil.DryBefore), of(soil.WetBefore); wet > least {
		a := math.Log(r.fc/(1-wet/most) - r.fc)
		b := math.Log(r.full/(1-least/most) - r.full)
		w2 := (a - b) / (r.full - r.fc)
		w1 := a + w2*r.fc
		curve = func(water float64) float64 { return most * (1 - water/(water+math.Exp(w1-w2*water))) }
	} // or else a curve number so high hardly depends on moisture

	// From field capacity, where the curve number is surest, both ways.
	up, down := (r.full-r.fc)/retentionParts, r.fc/retentionParts
	r.wet[0], r.dry[retentionParts] = curve(r.fc), curve(r.fc)
	for k := 1; k <= retentionParts; k++ {
		r.wet[k] = max(curve(r.fc+float64(k)*up), r.wet[k-1]-up/(1+r.ratio))
		d := retentionParts - k
		r.dry[d] = min(curve(float64(d)*down), r.dry[d+1]+down/(1+r.ratio))
	}
	return r
}

// at is S, mm, when the root zone holds so much water above wilting, mm.
func (r *retention) at(water float64) float64 {
	part, from, to := &r.dry, 0.0, r.fc
	if water > r.fc {
		part, from, to = &r.wet, r.fc, r.full
	}
	x := retentionParts * min(max((water-from)/(to-from), 0), 1)
	k := min(int(x), retentionParts-1)
	share := x - float64(k)
	return float64(part[k]*(1-share)) + float64(part[k+1]*share)
}
