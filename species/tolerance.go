package species

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Risk by odds: from which probability of losing the tree a class begins. A
// grower who plants ten trees so and loses none, or one, calls the risk low;
// three, high; six, severe. Common practice, no source.
const (
	ModerateFrom = 0.10
	HighFrom     = 0.30
	SevereFrom   = 0.60
)

// RiskOf is the class of a probability that the tree is lost.
func RiskOf(p float64) Risk {
	switch {
	case p >= SevereFrom:
		return Severe
	case p >= HighFrom:
		return High
	case p >= ModerateFrom:
		return Moderate
	}
	return Low
}

// Conditions are what is known of one tree and its season beside its species.
// The zero value is a tree newly planted, in still water and warm soil, on a
// rootstock nobody named.
type Conditions struct {
	Years     float64  // in the ground; 0 is newly planted, or not known
	Soil      *float64 // temperature in the root zone while it is wet, °C; nil is as warm as the days of the table are for
	Dormant   bool     // without leaves, in its season of rest
	Moving    bool     // the water flows and so brings air
	Rot       bool     // root rot (Phytophthora) is known in this soil
	Rootstock string   // by name; empty where the tree is on its own roots, or on the usual ones
}

// What conditions make of the days of an established tree. All are common
// practice, no source; what was seen of each is said beside it.
const (
	// youngUntil and grownFrom are the years in the ground up to which a tree
	// bears newPlanting of the days, and from which all of them.
	youngUntil, grownFrom = 2.0, 3.0

	// movingWater is midway between none and the double of the trade. Moving
	// water harms citrus less than still (zekri-2023), no figure given.
	movingWater = 1.5

	// rotten halves the days: flood and root rot together kill avocado where
	// either alone does not (ploetz-1987), and with rot a flood of 4 to 5 days
	// took three ornamental cherries in ten (jacobs-1996).
	rotten = 0.5

	// growth is how much higher the head of a tree stands for each year in the
	// ground, m, up to half its least mature height: deeper water covers an
	// older tree.
	growth = 0.30
)

// The shape of a tolerance.
const (
	// tenth is the standard normal quantile of 0.9: low and high of a range are
	// taken as the figures that one tree in ten does not reach, or exceeds.
	tenth = 1.2815515655446004

	// tail is the standard deviation of the logarithm of the days beyond low
	// and high. It is one for all species, so that where one bears more at
	// low, likely and high it bears more everywhere. Common practice, no
	// source.
	tail = 0.5

	// alike is the least ratio of likely to low and of high to likely: no two
	// trees are alike, however sure the sources are. Common practice.
	alike = 1.3

	// classLower is the logarithm of how many times fewer days a tree bears with
	// graft or leaves under water than at the depth it is known to bear, 3.5
	// times: those of the class below, the classes being about so far apart.
	// Common practice, no source.
	classLower = 1.252762968495368

	// graftHeight is the height of the graft above the root crown, m: so high
	// it was on mangos that all died with it 5 cm under (agronomy-2020).
	graftHeight = 0.25

	// lostCovered is the least probability that a tree is lost whose head is
	// under water, but for one of the swamp. Common practice: "assume loss";
	// of cedrela seedlings none lived through 5 days of it that lived through
	// 20 with the head out.
	lostCovered = 0.90
)

// everWet is the days that stand for those of a whole year, which is the most
// the table can say of a tree: water all the year round is water year after
// year, ten of them. Common practice, no source; bald cypress lived two years
// under water (iwanaga-2015).
const everWet = 10 * yearRound

// known is a figure of the table as days.
func known(days, least float64) float64 {
	if days >= yearRound {
		return everWet
	}
	return math.Max(days, least)
}

// leastDays is the low, likely and high days under which no species is held
// to be lost, however the sources put it: warm, active soil keeps its oxygen
// for several hours to a day (from memory; Ponnamperuma 1972, Advances in
// Agronomy 24).
var leastDays = Range{0.25, 0.5, 1}

// A Tolerance is how long a tree bears wet roots, as a distribution: the days
// at which it is lost. Between Low and High their logarithm is normal with one
// spread under Likely and another above it, and so are the tails beyond.
//
// It is what is not known of the species as much as how trees of it differ: of
// ten orchards with this species, not of ten trees in one.
type Tolerance struct {
	Days  Range   // at which one in ten, half and nine in ten are lost; positive and rising
	Depth float64 // of water above the root crown up to which the days hold, m
	Head  float64 // from which the tree is covered, m, no less than Depth
	Swamp bool    // at home in a swamp: its days hold until it is covered, and then too
	Stock string  // the rootstock whose days these are; empty where those of the species are

	Tropical bool    // cool soil and rest are no help to it
	hour     float64 // logarithm of what an hour of the storm counts against one at 20 °C in leaf; Days are of such hours
}

// Tolerance is how long a tree of the species bears wet roots under the
// conditions. The hours it is held against are those of the clock; where they
// have been weighted by Warmth already, leave Soil nil.
//
// No year of age, no cooler soil, and neither rest, moving water nor sound
// soil ever makes it less.
func (e *Entry) Tolerance(c Conditions) Tolerance {
	t := e.grown(c)
	d := Range{known(t.Days.Low, leastDays.Low), known(t.Days.Likely, leastDays.Likely), known(t.Days.High, leastDays.High)}
	d.Low, d.High = math.Min(d.Low, d.Likely/alike), math.Max(d.High, d.Likely*alike)
	w := e.hour(c)
	f := c.factor() / w
	t.Days, t.hour = Range{d.Low * f, d.Likely * f, d.High * f}, math.Log(w)
	t.Tropical = e.Tropical()
	return t
}

// grown is what the table says of a tree as old and on such roots, its days
// those of an established one in leaf.
func (e *Entry) grown(c Conditions) Tolerance {
	t := Tolerance{Days: e.Days, Depth: e.bears(), Head: e.head(c.Years), Swamp: e.Class == Swamp}
	e.graft(&t, c.Rootstock)
	return t
}

// factor is how many times the days of the table a tree bears at its age in
// its soil.
func (c Conditions) factor() float64 {
	f := newPlanting
	if grown := (c.Years - youngUntil) / (grownFrom - youngUntil); grown > 0 {
		f += float64((1 - newPlanting) * math.Min(grown, 1))
	}
	if c.Rot {
		f *= rotten
	}
	return f
}

// hour is what an hour of the storm counts against one of still water in leaf at
// 20 °C.
func (e *Entry) hour(c Conditions) float64 {
	w := 1.0
	if c.Soil != nil || c.Dormant {
		soil := math.NaN()
		if c.Soil != nil {
			soil = *c.Soil
		}
		w = HourWeight(soil, c.Dormant, e.Tropical())
	}
	if c.Moving {
		w /= movingWater
	}
	return w
}

// Anew is the conditions of a tree planted in the place of this one: newly, on
// a rootstock nobody named.
func (c Conditions) Anew() Conditions {
	c.Years, c.Rootstock = 0, ""
	return c
}

// Loss is the probability, from 0 to 1, that the tree is lost when its root
// zone is wet for so many hours on end, as RootHours counts them, and water
// stands so deep above its root crown, m. It never falls with hours or depth.
// What is negative or NaN is none.
func (t Tolerance) Loss(hours, depth float64) float64 {
	depth = positive(depth)
	within := normal(t.curve().normal(math.Log(positive(hours)/24) + t.deeper(depth)))
	return math.Max(within, t.LeastOdds(depth))
}

// deeper is how many times longer the same days are for water so deep, as a
// logarithm. The graft of a tree known to bear water above it makes no odds.
func (t Tolerance) deeper(depth float64) float64 {
	worst := t.Head
	if t.Depth < graftHeight {
		worst = math.Min(graftHeight, t.Head)
	}
	switch {
	case t.Swamp || depth <= t.Depth:
		return 0
	case depth >= worst:
		return classLower
	}
	return classLower * (depth - t.Depth) / (worst - t.Depth)
}

// LeastOdds is the probability of loss that water of a depth makes, m, however
// soon it is gone: ModerateFrom where it is deeper than the tree is known to
// bear, and nearly certain where it covers it; for a tree of the swamp
// ModerateFrom where it is covered.
func (t Tolerance) LeastOdds(depth float64) float64 {
	switch covered := depth > t.Head; {
	case covered && !t.Swamp:
		return lostCovered
	case covered, depth > t.Depth && !t.Swamp:
		return ModerateFrom
	}
	return 0
}

// A curve is a tolerance as a line of three knots: logarithm of days against
// standard normal quantile.
type curve struct{ low, likely, high float64 }

func (t Tolerance) curve() curve {
	return curve{math.Log(t.Days.Low), math.Log(t.Days.Likely), math.Log(t.Days.High)}
}

// normal is the standard normal quantile that belongs to a logarithm of days.
func (c curve) normal(log float64) float64 {
	switch {
	case log <= c.low: // of no days at all too, whose logarithm is -Inf
		return -tenth + (log-c.low)/tail
	case log <= c.likely:
		return -tenth * (c.likely - log) / (c.likely - c.low)
	case log <= c.high:
		return tenth * (log - c.likely) / (c.high - c.likely)
	}
	return tenth + (log-c.high)/tail
}

// normal is the standard normal distribution, as R's pnorm.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// Quantile is the days at which the tree is lost with probability p, from 0
// to 1.
func (t Tolerance) Quantile(p float64) float64 {
	c, z := t.curve(), distuv.UnitNormal.Quantile(p)
	switch {
	case z <= -tenth:
		return math.Exp(c.low + float64(tail*(z+tenth)))
	case z <= 0:
		return math.Exp(c.likely + (c.likely-c.low)*z/tenth)
	case z <= tenth:
		return math.Exp(c.likely + (c.high-c.likely)*z/tenth)
	}
	return math.Exp(c.high + float64(tail*(z-tenth)))
}
