package species

// Risk is how likely a tree is to be lost or stunted where it is planned.
type Risk int

const (
	Low Risk = iota
	Moderate
	High
	Severe
)

// String is the word the files use.
func (r Risk) String() string {
	return [...]string{"low", "moderate", "high", "severe"}[r]
}

// A Spot is what the ground and its water say of a planned position. A figure
// that is NaN is not known and counts neither for nor against it. Where no
// storm was assessed StormDepth is NaN, or 0, which reads as dry; a 0 in
// LongestWetDays, HeightAboveWater or WaterTable is a figure, so those are NaN
// where nothing is known.
type Spot struct {
	StormDepth float64 // deepest standing water here in the storm assessed, m; 0 for none
	WetHours   float64 // hours the root zone is wet in and after that storm: water above the root crown, then until it has drained

	LongestWetDays float64 // longest wet spell of the root zone in the median year of a rain record, days; NaN where no record was given

	// Doses are what LongestWetDays count where the warmth of the soil and the
	// season of rest are known day by day; nil where they count as they are.
	Doses *Doses

	HeightAboveWater float64 // height of the ground above the pond, ditch or flow line it drains to, m; NaN where not known
	WaterTable       float64 // depth to the water table of the wet season, m; NaN where not known

	BrimDepth float64 // depth of water when its hollow is full to the brim, m; 0 outside hollows
	InHollow  bool    // it lies in a hollow deeper than the error of the ground
	Error     float64 // of the ground, one standard deviation, m

	WetnessIndex      float64 // ln(a / tan β)
	WetnessPercentile float64 // of the index among the cells of the site, 0 to 100
}

// Doses are the hours of a wet spell weighed one by one, see [HourWeight], as
// days of soil at 20 °C in leaf: of a spell that counts most for species of
// temperate places, and of one that counts most for those of the tropics.
type Doses struct{ Temperate, Tropical float64 }

// A Verdict is what a spot means for a species.
type Verdict struct {
	Risk    Risk
	Flagged bool     // likely to stand in water longer or deeper than it bears: from High
	Why     string   // one plain sentence
	Advice  string   // "keep", "raise", "swap" or "move"
	Mound   float64  // least height that would unflag it, m; 0 where it needs none, +Inf where none up to a metre would do
	Swaps   []*Entry // species that bear the spot and keep its role, best first
	Trial   bool     // tried out here, knowingly: its risk is told, and it is never flagged

	// By odds, where they were given; else all of these are 0.
	ByOdds      bool
	Odds        float64 // probability that the tree is lost here, 0 to 1
	OddsRaised  float64 // the same on Mound, or on a metre where none would do; Odds where none is advised
	OddsSwapped float64 // the same for the first of Swaps; Odds where there is none
	Tolerance   Range   // days of wet roots in which one in ten, half and nine in ten such trees are lost
}
