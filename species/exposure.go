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
	Over             // and in water over the head of a tree as it is planted
)

// String is the step in plain words.
func (x Exposure) String() string {
	return [...]string{"dry", "damp", "wet", "shallow water", "deep water", "water over its head"}[x]
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

	// headDepth is the height of the crown of a nursery tree as it is
	// planted, m: deeper water covers it, and graft and leaves with it.
	// Common practice, no source.
	headDepth = 0.60
)

// depth is the water a tree on the spot would stand in when its hollow is
// full, m. Outside the hollows that are more than the error of the ground it
// is none: on noisy ground every fifth cell lies below its neighbours by more
// than that error, and none of them is a pond.
func (s Spot) depth() float64 {
	if !s.InHollow || !(s.BrimDepth > 0) {
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
	case d <= headDepth:
		x = Deep
	default:
		x = Over
	}
	return x
}

// risks is the risk of a species of each class at each exposure. It never
// falls from left to right in an exposure or rises from a class to a hardier
// one. Common practice, no source: no published curve from depth and days to
// death was found for orchard trees, so the steps follow the words of the
// classes. A tree for which water is days away from death is at high risk
// where water gathers at all; one that bears a season is not much troubled by
// a pond that a storm fills. Under water altogether a small tree is taken for
// lost unless it is at home in a swamp; common practice, no source.
var risks = [...][6]Risk{
	//          dry  damp      wet       shallow   deep      over
	NoWetFeet: {Low, Moderate, High, Severe, Severe, Severe},
	ShortSoak: {Low, Low, Moderate, High, Severe, Severe},
	WetSpell:  {Low, Low, Low, Moderate, High, Severe},
	WetSeason: {Low, Low, Low, Low, Moderate, High},
	Swamp:     {Low, Low, Low, Low, Low, Moderate},
}

// riskAt is the risk of the species on the spot.
func riskAt(s Spot, e *Entry) Risk { return risks[e.Class][exposure(s, e)] }
