package species

import (
	"fmt"
	"math"
	"sort"
)

// Mounds by odds are told to the nearest centimetre above.
const moundGrain = 0.01

// Odds is the water of one spot on many equally likely sites: the draws.
type Odds struct {
	Step  float64     // between the heights, m
	Hours [][]float32 // [height][draw] on end that ground at the height h·Step above the spot is wet in and after the storm; no more the higher it is
	Depth []float32   // [draw] highest water above the ground of the spot, m
	Spell [][]float32 // likewise the longest wet spell of the usual year on the same site, h; the dose of a draw is the greater of both. Nil where no years were gone through on the draws
	Times float64     // without Spell: how many times longer the worst spell of the season is than that of this storm; under 1, as 0, means 1
	Least []float64   // [height] hours on end that it is wet on every draw at least, as by the usual year where this storm is too small to go by; nil for none
	Crown float64     // height of the root crown above the ground already, m; below it, as by settling, negative
}

// Draws is how many sites there are.
func (o *Odds) Draws() int { return len(o.Depth) }

// check panics where the draws do not add up.
func (o *Odds) check() {
	if len(o.Depth) == 0 || len(o.Hours) == 0 {
		panic("species: odds without draws")
	}
	for h, row := range o.Hours {
		if len(row) != len(o.Depth) {
			panic(fmt.Sprintf("species: %d draws of depth and %d of hours at height %d", len(o.Depth), len(row), h))
		}
	}
	if o.Least != nil && len(o.Least) != len(o.Hours) {
		panic(fmt.Sprintf("species: hours at %d heights and least ones at %d", len(o.Hours), len(o.Least)))
	}
	if o.Spell == nil {
		return
	}
	if len(o.Spell) != len(o.Hours) {
		panic(fmt.Sprintf("species: hours at %d heights and spells of years at %d", len(o.Hours), len(o.Spell)))
	}
	for h, row := range o.Spell {
		if len(row) != len(o.Depth) {
			panic(fmt.Sprintf("species: %d draws of depth and %d of spells of years at height %d", len(o.Depth), len(row), h))
		}
	}
}

// Loss is the probability that a tree with this tolerance is lost on the spot,
// its root crown raised by a mound, m: the mean over the draws, which is
// exact in the tolerance. It panics where Hours and Depth differ in draws or
// hold none.
func (o *Odds) Loss(t Tolerance, mound float64) float64 {
	o.check()
	return o.soak(mound).loss(t)
}

// Losses is Loss for each of several tolerances, as of the species that might
// stand on the spot; the draws are gone through once.
func (o *Odds) Losses(all []Tolerance, mound float64) []float64 {
	o.check()
	s := o.soak(mound)
	p := make([]float64, len(all))
	for i, t := range all {
		p[i] = s.loss(t)
	}
	return p
}

// A soaking is what one height of crown makes of the draws.
type soaking struct {
	hours  []float64 // the dose of each draw
	logs   []float64 // of the same in days
	depths []float64 // of water above the crown, m
}

// soak is the dose and the depth of every draw on a mound.
func (o *Odds) soak(mound float64) soaking {
	crown := o.Crown + mound
	times := 1.0
	if o.Times > 1 && o.Spell == nil {
		times = o.Times
	}
	n := o.Draws()
	all := make([]float64, 3*n)
	s := soaking{all[:n:n], all[n : 2*n : 2*n], all[2*n:]}
	shares := rootShares(len(o.Hours), o.Step, crown)
	dose(s.hours, o.Hours, shares)
	for i := range s.hours {
		s.hours[i] *= times
	}
	if o.Spell != nil {
		usual := s.logs // which are not known yet
		dose(usual, o.Spell, shares)
		for i := range usual {
			s.hours[i] = math.Max(s.hours[i], usual[i])
		}
	}
	least := RootHours(o.Least, o.Step, crown)
	for i := range s.hours {
		s.hours[i] = math.Max(s.hours[i], least)
		s.logs[i] = math.Log(s.hours[i] / 24) // -Inf of none
		s.depths[i] = positive(float64(o.Depth[i]) - crown)
	}
	return s
}

// dose adds up what the hours at each height count, by draw.
func dose(sum []float64, hours [][]float32, shares []float64) {
	for h, share := range shares {
		if share == 0 {
			continue
		}
		for i, v := range hours[h] {
			sum[i] += float64(share * positive(float64(v)))
		}
	}
}

// loss is the mean of Tolerance.Loss over the draws.
func (s soaking) loss(t Tolerance) float64 {
	c := t.curve()
	sum := 0.0
	for i := range s.logs {
		sum += s.on(i, t, c)
	}
	return sum / float64(len(s.logs))
}

// on is Tolerance.Loss on one draw.
func (s soaking) on(i int, t Tolerance, c curve) float64 {
	return math.Max(normal(c.normal(s.logs[i]+t.deeper(s.depths[i]))), t.LeastOdds(s.depths[i]))
}

// OnDraws is, by draw, the probability that a tree with this tolerance is lost
// on the spot, its root crown raised by a mound, m. Their mean is Loss.
func (o *Odds) OnDraws(t Tolerance, mound float64) []float32 {
	o.check()
	s, c := o.soak(mound), t.curve()
	out := make([]float32, len(s.logs))
	for i := range out {
		out[i] = float32(s.on(i, t, c))
	}
	return out
}

// LeastMound is the least height to raise the root crown by that brings the
// probability of loss to the target or under, m, in whole centimetres; 0 where
// the tree needs none. Where no height up to a metre does, ok is false and the
// mound over a metre. Above the last height of Hours the ground counts as wet
// as there.
func (o *Odds) LeastMound(t Tolerance, target float64) (mound float64, ok bool) {
	o.check()
	most := int(math.Round(highestMound / moundGrain))
	grains := sort.Search(most+1, func(n int) bool { return o.soak(float64(n)*moundGrain).loss(t) <= target })
	return float64(grains) * moundGrain, grains <= most
}

// Tenths says a probability out of ten, short enough for a column of a table:
// "under 1 in 10", "3 in 10", "over 9 in 10"; nothing of one that is not known.
func Tenths(p float64) string {
	switch {
	case math.IsNaN(p):
		return ""
	case p < 0.10:
		return "under 1 in 10"
	case p > 0.90:
		return "over 9 in 10"
	}
	return fmt.Sprintf("%.0f in 10", 10*p)
}

// InTen says a probability as people do, out of ten, and no finer: "less than
// 1 in 10", "about 3 in 10", "nearly certain (over 9 in 10)". Under a tenth it
// is never none, and over nine tenths never sure.
func InTen(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p < 0.10:
		return "less than 1 in 10"
	case p > 0.90:
		return "nearly certain (over 9 in 10)"
	}
	return "about " + Tenths(p)
}
