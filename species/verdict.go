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

// A Spot is what the ground says of a planned position.
type Spot struct {
	BrimDepth         float64 // depth of water when its hollow is full to the brim, m; 0 outside hollows
	InHollow          bool    // it lies in a hollow deeper than the error of the ground
	Error             float64 // of the ground, one standard deviation, m
	WetnessIndex      float64 // ln(a / tan β)
	WetnessPercentile float64 // of the index among the cells of the site, 0 to 100
}

// A Verdict is what a spot means for a species.
type Verdict struct {
	Risk    Risk
	Flagged bool     // likely to stand in water longer or deeper than it bears
	Why     string   // one plain sentence
	Advice  string   // "keep", "raise", "swap" or "move"
	Mound   float64  // least height that would unflag it, m; 0 where it needs none
	Swaps   []*Entry // species that bear the spot and keep its role, best first
}
