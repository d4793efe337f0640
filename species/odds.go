package species

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// Mounds by odds are told to the nearest centimetre above.
const moundGrain = 0.01

// Odds is the water of one spot on many equally likely sites: the draws.
type Odds struct {
	Step  float64     // between the heights, m
	Hours [][]float32 // [height][draw] on end that ground at the height h·Step above the spot is wet in and after the storm; no more the higher it is
	Depth []float32   // [draw] highest water above the ground of the spot, m
	Crown float64     // height of the root crown above the ground already, m; below it, as by settling, negative

	Usual // as it counts for species of temperate places

	// Tropical is the usual year as it counts for species that cool soil and
	// rest are no help to; nil where it counts as for all others.
	Tropical *Usual
}

// A Usual is what the usual year adds to the storm: the dose of a draw is the
// greater of both. Its hours are weighed one by one, see [HourWeight], or as they
// are where nothing is known of the soil of each; those of the storm count as
// the conditions of the tree say.
type Usual struct {
	Spell [][]float32 // [height][draw] longest wet spell of the usual year on the same site, h. Nil where no years were gone through on the draws
	Times float64     // without Spell: how many times more the worst spell of the season counts than that of this storm; 0 where nothing is known
	Least []float64   // [height] hours on end that it is wet on every draw at least, as by the usual year where this storm is too small to go by; nil for none
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
	o.Usual.check(o)
	if o.Tropical != nil {
		o.Tropical.check(o)
	}
}

func (u *Usual) check(o *Odds) {
	if u.Least != nil && len(u.Least) != len(o.Hours) {
		panic(fmt.Sprintf("species: hours at %d heights and least ones at %d", len(o.Hours), len(u.Least)))
	}
	if u.Spell == nil {
		return
	}
	if len(u.Spell) != len(o.Hours) {
		panic(fmt.Sprintf("species: hours at %d heights and spells of years at %d", len(o.Hours), len(u.Spell)))
	}
	for h, row := range u.Spell {
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
	storm    doses
	usual    doses     // of species of temperate places
	tropical doses     // of those of the tropics
	depths   []float64 // of water above the crown, m
	weighed  bool      // hour by hour is the usual year
}

// doses are those of each draw.
type doses struct {
	hours []float64
	logs  []float64 // of the same in days, -Inf of none
}

// soak is the dose and the depth of every draw on a mound.
func (o *Odds) soak(mound float64) soaking {
	crown := o.Crown + mound
	n := o.Draws()
	lists := 5
	if o.Tropical != nil {
		lists = 7
	}
	all := make([]float64, lists*n)
	take := func() []float64 {
		part := all[:n:n]
		all = all[n:]
		return part
	}
	s := soaking{doses{take(), take()}, doses{take(), take()}, doses{}, take(), o.Tropical != nil}
	shares := rootShares(len(o.Hours), o.Step, crown)
	dose(s.storm.hours, o.Hours, shares)
	s.storm.log()
	o.Usual.soak(s.usual, s.storm, shares, o.Step, crown)
	s.tropical = s.usual
	if o.Tropical != nil {
		s.tropical = doses{take(), take()}
		o.Tropical.soak(s.tropical, s.storm, shares, o.Step, crown)
	}
	for i := range s.depths {
		s.depths[i] = positive(float64(o.Depth[i]) - crown)
	}
	return s
}

// soak is the dose of the usual year on every draw.
func (u *Usual) soak(into, storm doses, shares []float64, step, crown float64) {
	if u.Spell != nil {
		dose(into.hours, u.Spell, shares)
	} else if u.Times > 0 {
		for i := range into.hours {
			into.hours[i] = storm.hours[i] * u.Times
		}
	}
	least := RootHours(u.Least, step, crown)
	if u.Spell == nil && least == 0 { // one logarithm for all draws
		more := math.Log(u.Times)
		for i := range into.logs {
			into.logs[i] = storm.logs[i] + more
		}
		return
	}
	for i := range into.hours {
		into.hours[i] = math.Max(into.hours[i], least)
	}
	into.log()
}

func (d doses) log() {
	for i := range d.hours {
		d.logs[i] = math.Log(d.hours[i] / 24)
	}
}

// of is the usual year for a tolerance.
func (s soaking) of(t Tolerance) doses {
	if t.Tropical {
		return s.tropical
	}
	return s.usual
}

// hours is the dose of each draw for a tolerance, in hours of the storm,
// whether on any of them a usual year counts for more than the storm, and
// whether on most of them it is that year, weighed hour by hour.
func (s soaking) hours(t Tolerance) (hours []float64, year, weighed bool) {
	hours = make([]float64, len(s.depths))
	usual, weight, longer := s.of(t).hours, math.Exp(t.hour), 0
	for i, storm := range s.storm.hours {
		hours[i] = math.Max(storm, usual[i]/weight)
		if hours[i] > storm {
			longer++
		}
	}
	return hours, longer > 0, (s.weighed || t.hour != 0) && 2*longer > len(hours)
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
	c, year := t.curve(), s.of(t).logs
	sum := 0.0
	for i := range year {
		sum += s.on(i, year, t, c)
	}
	return sum / float64(len(year))
}

// on is Tolerance.Loss on one draw, with the usual year as it counts for that
// tolerance.
func (s soaking) on(i int, year []float64, t Tolerance, c curve) float64 {
	log := math.Max(s.storm.logs[i], year[i]-t.hour)
	return math.Max(normal(c.normal(log+t.deeper(s.depths[i]))), t.LeastOdds(s.depths[i]))
}

// OnDraws is, by draw, the probability that a tree with this tolerance is lost
// on the spot, its root crown raised by a mound, m. Their mean is Loss.
func (o *Odds) OnDraws(t Tolerance, mound float64) []float32 {
	o.check()
	s, c := o.soak(mound), t.curve()
	year := s.of(t).logs
	out := make([]float32, len(year))
	for i := range out {
		out[i] = float32(s.on(i, year, t, c))
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
// One that is rounded up into a higher risk is "nearly" so much, so that two
// trees of different risk never bear the same words.
func Tenths(p float64) string {
	switch {
	case math.IsNaN(p):
		return ""
	case p < 0.10:
		return "under 1 in 10"
	case p > 0.90:
		return "over 9 in 10"
	}
	tenths := math.RoundToEven(10 * p)
	if RiskOf(tenths/10) > RiskOf(p) {
		return fmt.Sprintf("nearly %.0f in 10", tenths)
	}
	return fmt.Sprintf("%.0f in 10", tenths)
}

// InTen says a probability as people do, out of ten, and no finer: "less than
// 1 in 10", "about 4 in 10", "nearly 3 in 10" as Tenths has it, "nearly certain
// (over 9 in 10)". Under a tenth it is never none, and over nine tenths never
// sure.
func InTen(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p < 0.10:
		return "less than 1 in 10"
	case p > 0.90:
		return "nearly certain (over 9 in 10)"
	}
	if words := Tenths(p); strings.HasPrefix(words, "nearly") {
		return words
	}
	return "about " + Tenths(p)
}
