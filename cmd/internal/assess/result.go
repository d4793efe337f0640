// Package assess does the main job: it holds every planned tree against the
// ground it is to stand in.
package assess

import (
	"math"

	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A Result is a whole assessment: what every output file is written from.
type Result struct {
	Name       string
	Invented   bool            // the site says it is made up
	Units      quantity.Units  // reports are written in these
	Drain      *hydro.Drainage // the ground and what its shape says
	Storm      *Storm          // what the storm asked for does to the site
	Odds       *Odds           // how surely all that is; nil where it was not asked for or could not be
	Season     *Season         // what years of weather make of it; nil without a record
	WaterTable *WaterTable     // nil where nobody has seen it
	Next       []Reading       // where to hold the staff next, the most useful first; empty for a raster alone
	Conditions Conditions      // what the storm finds the trees in
	Works      []Work          // what the ground is raised by, in the order of the plan
	Links      []site.Link     // its pipes and ditches as they lie on the ground, in its system
	Rows       []Row
	Trees      []Tree // in planting order: rows as the site lists them, then single positions

	Species     []*species.Entry // every species planned, by scientific name
	Sources     []species.Source // cited by those entries
	Assumptions []string         // every default taken, one sentence each
	Remarks     []string         // what was found on the way and should be known
	Inputs      []Input
	Survey      *SurveyNote                        // nil when the ground came from a raster alone
	ToLonLat    func(orb.Point) (orb.Point, error) // from the frame's system to WGS 84 longitude, latitude

	basis *basis // what another answer on the same ground is made from
}

// A Row is a planting row of the site.
type Row struct {
	Name    string
	Line    orb.LineString // in the system of the ground, metres
	Length  float64        // m
	Spacing float64        // m
	Gaps    [][2]float64   // distances along the row, m
	Trees   []int          // indices in Result.Trees
}

// A Tree is a planned position, what the ground says of it, and the verdict.
type Tree struct {
	planting.Position
	LonLat   orb.Point
	Entry    *species.Entry
	OnGround bool    // false: off the ground or on a void; nothing below is known
	Ground   float64 // m
	cell     int     // of the ground

	// level is what the wet spells of the usual year count on the spot without
	// its mound, days, by kind of species.
	level [kinds]float64

	// levelHours are the same in hours, by height of the root crown, of trees
	// on which the storm is too small to go by; else nil.
	levelHours [kinds][]float64

	Pond int // ID of the outermost hollow it lies in, 0 for none

	Built float64 // height of the root crown above the ground as planned, m; 0 on the level
	Tried bool    // planted there knowingly, to see whether it lives
	Years float64 // since it was planted; 0 for a new planting
	Fixed bool    // it stays where it is when others change places
	Stock string  // the rootstock it stands on, as the grower names it; empty where nobody did

	Ponding float64       // odds that water stands here in the storm, 0 to 1; NaN where not worked out
	Depths  Interval      // of the highest water over the ground in the storm, m
	Hours   Interval      // that its roots are wet in and after the storm, h
	Usual   Interval      // of the longest wet spell of the median year, days; where the years were asked for on every draw
	Rare    Interval      // likewise of that of the return period asked for, days
	Draws   *species.Odds // what its odds were worked out from; nil without

	species.Spot
	species.Verdict
}

// An Interval is what lies in the middle of equally likely answers: one in ten
// is less than Low, half are less than Likely, nine in ten less than High. All
// are NaN where nothing was worked out.
type Interval struct{ Low, Likely, High float64 }

var unknown = Interval{math.NaN(), math.NaN(), math.NaN()}

// A SurveyNote says how good a ground made from spot heights is.
type SurveyNote struct {
	Shots   int         // of them used for the ground
	Raster  bool        // the ground is a raster that the shots correct
	Points  []orb.Point // where the shots were, for the map
	LooRMSE float64     // leave-one-out, m
	Model   string      // one line: the trend and variogram fitted
	Remarks []string
}
