package species

import "math"

// An Exposure is how much water a spot sees, in steps a tree can tell apart.
type Exposure int

const (
	Dry     Exposure = iota
	Damp             // among the wettest fifth of the site, nothing stands
	Wet              // among the wettest twentieth, or under a film of water too thin to be sure of
	Shallow          // stands in water when its hollow is full
	Deep             // and in more than trees have been seen to bear
)

// String is the step in plain words.
func (x Exposure) String() string {
	return [...]string{"dry", "damp", "wet", "shallow water", "deep water"}[x]
}

// Where the steps lie.
const (
	// dampPercentile and wetPercentile cut off the wettest fifth and the
	// wettest twentieth of the site by the wetness index, which ranks ground
	// and measures nothing: a dry hill has a wettest twentieth too. Common
	// practice, no source.
	dampPercentile = 80
	wetPercentile  = 95

	// thinFilm is water no deeper than clods and ruts of worked ground, m.
	// It, or one standard deviation of the error of the ground where that is
	// more, is too thin to be told from none. Common practice, no source.
	thinFilm = 0.03

	// shallowDepth is the standing water that grafted mango and guava lived
	// through in trials, m (agronomy-2020, kongsri-guava: at 0.30 m, with the
	// graft under, the mango died). It bounds Shallow for every species whose
	// own depth is not known.
	shallowDepth = 0.10
)

// depth is the water a tree on the spot would stand in when its hollow is
// full, m. Water outside any hollow deeper than the error of the ground, and
// itself no deeper than that error, is noise.
func (s Spot) depth() float64 {
	if !(s.BrimDepth > 0) || !s.InHollow && s.BrimDepth <= s.Error {
		return 0
	}
	return s.BrimDepth
}

// film is the depth at which water is no longer told from none, m.
func (s Spot) film() float64 { return math.Max(thinFilm, s.Error) }

// bears is the depth at which deep water begins for the species, m.
func (e *Entry) bears() float64 {
	if e.Depth != nil {
		return *e.Depth
	}
	return shallowDepth
}

// exposure is what the spot is to the species.
func exposure(s Spot, e *Entry) Exposure {
	x := Dry
	switch {
	case s.WetnessPercentile >= wetPercentile:
		x = Wet
	case s.WetnessPercentile >= dampPercentile:
		x = Damp
	}
	switch d := s.depth(); {
	case d <= 0:
	case d <= s.film():
		x = Wet
	case d <= e.bears():
		x = Shallow
	default:
		x = Deep
	}
	return x
}

// risks is the risk of a species of each class at each exposure. It never
// falls from left to right in an exposure or rises from a class to a hardier
// one. Common practice, no source: no published curve from depth and days to
// death was found for orchard trees, so the steps follow the words of the
// classes. A tree for which water is days away from death is at high risk
// where water gathers at all; one that bears a season is not much troubled by
// a pond that a storm fills.
var risks = [...][5]Risk{
	//          dry  damp      wet       shallow   deep
	NoWetFeet: {Low, Moderate, High, Severe, Severe},
	ShortSoak: {Low, Low, Moderate, High, Severe},
	WetSpell:  {Low, Low, Low, Moderate, High},
	WetSeason: {Low, Low, Low, Low, Moderate},
	Swamp:     {Low, Low, Low, Low, Low},
}

// riskAt is the risk of the species on the spot.
func riskAt(s Spot, e *Entry) Risk { return risks[e.Class][exposure(s, e)] }
