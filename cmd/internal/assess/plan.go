package assess

import (
	"context"
	"time"

	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/season"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/weather"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A Plan is what is to be assessed, however it was given: by a site file or
// by flags.
type Plan struct {
	Name     string
	Invented bool
	Units    quantity.Units

	Ground ground.Source
	Error  float64 // of the ground, one standard deviation, m; 0 lets it be estimated
	Reach  float64 // how far one error of the ground reaches, m; 0 leaves it to the kind of ground

	Rain         weather.Storm // the storm; what is zero is taken and said
	Gauge        string        // file of the course of the rain; empty for none
	Frequency    string        // file of a table of depth, duration and frequency; empty for none
	ReturnPeriod float64       // years, of a storm by that table; 0 for none

	Soil      soil.Known // what is zero is taken and said
	Tests     []soil.Rate
	Curve     float64 // curve number for average moisture; 0 takes that of soil and cover
	GreenAmpt bool
	Zones     []Zone

	Links []site.Link // lines in CRS
	Wells []Well      // where the water table was seen; none leaves it out
	Works []site.Work // what the ground is raised by; lines in CRS

	Season SeasonPlan
	Odds   OddsPlan

	Learned site.Learned // what observations made of all this; places in CRS

	Conditions ConditionsPlan // age, season and soil of the trees

	Told []site.Tree // what is said of single trees beside their row or file

	// CRS is the system of Rows and of positions whose file does not say.
	// Empty is WGS 84 longitude and latitude.
	CRS       string
	Rows      []planting.Row // lines in CRS
	Positions string         // file of single positions, CSV or GeoJSON; empty for none
	Species   string         // file of the grower's own species; empty for none

	Files   []File   // all inputs, to be recorded
	Assumed []string // defaults taken before anything was read, a sentence each
}

// A Zone is a part of the site whose soil or cover differs from the rest.
type Zone struct {
	Name  string
	Area  orb.MultiPolygon // longitude and latitude
	Soil  soil.Known       // whole: with what it has in common with the site
	Tests []soil.Rate
	Curve float64 // curve number for average moisture; 0 takes that of soil and cover
	Rot   bool    // root rot is known in it
}

// A Well is a place where someone saw the water table.
type Well struct {
	Name  string
	At    *orb.Point // in CRS; nil is the middle of the planting
	Depth float64    // below the ground, m
	When  time.Time  // zero where unknown
}

// A SeasonPlan is the years of weather that are asked about.
type SeasonPlan struct {
	File         string          // record of daily or hourly rain; empty for none
	Growing      *season.Growing // nil leaves it to the record
	RefuseGaps   bool            // a record with gaps is at fault
	ReturnPeriod float64         // years, of the wet spells asked for; 0 for the usual ones
}

// An OddsPlan is how surely the answer is to be known.
type OddsPlan struct {
	Draws  int     // equally likely sites; 0 takes the usual number
	Seed   uint64  // of the draws
	Target float64 // risk that a mound or a swap is to bring a tree under, a share of 1; 0 takes the usual one
	Season bool    // the years of weather on every draw, and not on the likeliest ground alone
	Off    bool    // the likeliest answer alone

	// Until gives the context of the draws from that of the run; its end stops
	// them, and what is done of them is kept. Nil is the run's own.
	Until func(context.Context) (context.Context, context.CancelFunc)
}
