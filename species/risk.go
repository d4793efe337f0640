package species

import "math"

// newPlanting is the part of the days of an established tree that a new
// planting bears: in its first two years in the ground, half. Common practice,
// no source; that the youngest are by far the more sensitive was seen in
// seedlings of 3 to 9 weeks (pubs.usgs.gov/publication/70256767).
const newPlanting = 0.5

// Where water begins to count.
const (
	// thinFilm is water no deeper than clods and ruts of worked ground, m.
	// It, or one standard deviation of the error of the ground where that is
	// more, is told from none only by the hollow it lies in. Common practice,
	// no source.
	thinFilm = 0.03

	// noiseDepth is how deep, in standard deviations of the error, the false
	// hollows of noise lie: on gentle ground many run together and reach two
	// or three, see hydro.Hollows.Significant.
	noiseDepth = 3

	// shallowDepth is the standing water that grafted mango and guava lived
	// through in trials, m (agronomy-2020, kongsri-guava: at 0.30 m, with the
	// graft under, the mango died). It stands for every species whose own
	// depth is not known.
	shallowDepth = 0.10

	// headDepth is the height of the crown of a nursery tree as it is
	// planted, m: deeper water covers it, and graft and leaves with it.
	// Common practice, no source.
	headDepth = 0.60

	// dampPercentile and wetPercentile cut off the wettest fifth and the
	// wettest twentieth of the site by the wetness index, which ranks ground
	// and measures nothing: a dry hill has a wettest twentieth too. Common
	// practice, no source.
	dampPercentile = 80
	wetPercentile  = 95

	// nearWater is the height above the water it drains to from which ground
	// is no longer called wet for its index, m: a water table 0.9 m down on
	// the average of the wet season is amply deep (Oosterbaan, ILRI
	// Publication 16, chapter 17), and the ditch or pond holds it at its own
	// level.
	nearWater = 0.90

	// shallowTable is the water table that leaves too few roots dry for a
	// species that bears a few days at most, m. Common practice, no source;
	// in columns of soil it took one below 0.5 m to give roots their oxygen.
	shallowTable = 0.30
)

// A soak is how wet the ground of a spot is by its lie, whether or not water
// stands there.
type soak int

const (
	dry  soak = iota
	damp      // among the wettest fifth of the site
	wet       // among the wettest twentieth
)

// A stress is all of a spot that counts against a tree.
type stress struct {
	depth  float64 // standing water above its root crown in the storm, m
	storm  float64 // days its roots are wet in and after the storm
	season float64 // and on end in the median year
	counts *Doses  // what those of the median year count; nil where they count as they are
	ground soak
	table  float64 // depth to the water table, m; +Inf where not known
}

// year is what the wet days of the median year count for the species, in days of
// soil at 20 °C.
func (x stress) year(e *Entry) float64 {
	switch {
	case x.counts == nil:
		return x.season
	case e.Tropical():
		return positive(x.counts.Tropical)
	}
	return positive(x.counts.Temperate)
}

// stress is what the spot puts on a tree planted level with the ground.
func (s Spot) stress() stress {
	x := stress{season: positive(s.LongestWetDays), counts: s.Doses, ground: s.ground(), table: s.WaterTable}
	if math.IsNaN(x.table) {
		x.table = math.Inf(1)
	}
	if s.stands() {
		x.depth = positive(s.StormDepth)
		x.storm = positive(s.WetHours) / 24
	}
	return x
}

// stands says whether the water of the storm counts. In a hollow that is more
// than the error of the ground all of it does. Outside, water as deep as false
// hollows get does not: on noisy ground every fifth cell lies below its
// neighbours, and none of them is a pond.
func (s Spot) stands() bool {
	return s.InHollow || s.StormDepth > math.Max(thinFilm, noiseDepth*positive(s.Error))
}

// film is the depth at which water is no longer told from none, m.
func (s Spot) film() float64 { return math.Max(thinFilm, positive(s.Error)) }

// ground is how wet the ground is by its index, as far as its height above
// the water it drains to bears that out.
func (s Spot) ground() soak {
	switch {
	case s.HeightAboveWater >= nearWater:
		return dry
	case s.WetnessPercentile >= wetPercentile:
		return wet
	case s.WetnessPercentile >= dampPercentile:
		return damp
	}
	return dry
}

// positive is a figure above 0; all others, NaN among them, are none.
func positive(x float64) float64 {
	if x > 0 {
		return x
	}
	return 0
}

// planted is the days a tree of the species bears under the conditions.
func (e *Entry) planted(c Conditions) Range {
	d, f := e.grown(c).Days, c.factor()/e.hour(c)
	return Range{d.Low * f, d.Likely * f, d.High * f}
}

// bears is the depth of water up to which the days of the species hold, m.
func (e *Entry) bears() float64 {
	if e.Depth != nil {
		return *e.Depth
	}
	return shallowDepth
}

// head is the depth of water that covers a tree of the species so many years
// after it was planted, m.
func (e *Entry) head(years float64) float64 {
	head := headDepth
	if e.Height != nil {
		head = math.Max(head, math.Min(headDepth+growth*positive(years), e.Height.Low/2))
	}
	return math.Max(head, e.bears())
}

// risk is the risk under a stress and conditions: the worst of what its water,
// its water table and the lie of its ground make.
func (e *Entry) risk(x stress, c Conditions) Risk {
	return max(e.waterRisk(x, c), e.tableRisk(x.table), e.groundRisk(x.ground))
}

// waterRisk holds days and depth against what the tree bears.
//
// The storm asked for is a rare event and the median year an ordinary one, but
// roots without air do not know which it is: each is held against the same
// tolerance and the longer counts. They are not added up, since the wet spells
// of a year have storms in them already.
//
// Days are those of trees with graft and leaves above water, so deeper water
// than the species has been seen to bear is one step worse; a tree at home in
// a swamp keeps them until it is covered. Any other that is covered is taken
// for lost. Common practice, no source: no published curve from hours and
// depth to death was found for orchard trees.
func (e *Entry) waterRisk(x stress, c Conditions) Risk {
	r := e.daysRisk(math.Max(x.storm, x.year(e)/e.hour(c)), c)
	t := e.grown(c)
	switch covered := x.depth > t.Head; {
	case covered && !t.Swamp:
		return Severe
	case covered, x.depth > t.Depth && !t.Swamp:
		return min(r+1, Severe)
	}
	return r
}

// daysRisk is the risk of so many days of wet roots on end in the storm.
func (e *Entry) daysRisk(days float64, c Conditions) Risk {
	t := e.planted(c)
	switch {
	case days <= 0 || days < t.Low:
		return Low
	case days < t.Likely:
		return Moderate
	case days < t.High:
		return High
	}
	return Severe
}

// tableRisk is the risk of a water table so far down, m, in the wet season. A
// species known to want no deeper one is content with it.
func (e *Entry) tableRisk(table float64) Risk {
	switch nearer := e.WaterTable != nil && table < e.WaterTable.Low; {
	case e.WaterTable != nil && !nearer:
		return Low
	case table < shallowTable && e.Class <= ShortSoak:
		return High
	case nearer:
		return Moderate
	}
	return Low
}

// groundRisk is the risk of ground that is wet by its lie, where nothing is
// known of days: wet ground for a tree that bears no wet feet is a high risk,
// and each step drier, or hardier, is one less. Common practice, no source.
func (e *Entry) groundRisk(g soak) Risk { return max(Low, Risk(g)-Risk(e.Class)) }
