// Package site reads the file in which a grower describes a site: the ground,
// the soil, the storm and the planned trees.
//
// # Model
//
// A site file is TOML with the tables [ground], [soil], [storm], [season],
// [odds], [learned], [trees] and [species], a [[row]] for each planting row, a [[tree]]
// for what is said of one tree of them, a [[link]] for each pipe, culvert or
// ditch, a [[well]] for each place where the water table was seen and a [[work]]
// for each mound, bed or wall. Ground that differs has a [[soil.zone]], and a field test of the
// soil its [[soil.test]]. How long trees have stood, on which rootstock, and what
// the storm finds them in are keys of those tables. Every key is
// known here, also those of computations that a run may not ask for, so that a
// misspelt one is told at once with the key it is nearest to. All mistakes of
// a file come together, each with its line. A [Site] can as well be filled in
// without a file; [Site.Check] then says what it lacks.
//
// # Units
//
// Lengths, depths, rates and times are typed with a unit; a bare length is
// metres and a bare rain millimetres, or feet and inches where the site says
// units = "feet". A Site holds metres, millimetres of rain and millimetres an
// hour. Coordinates stay as they are written: in the site's own system,
// x before y; or distances from its origin, in its units, where it names one;
// or WGS 84 longitude and latitude in degrees.
//
// # Limits
//
// A site file is at most 1 MiB, holds at most 10,000 rows of at most 10,000
// points each and nests at most 32 deep. The places of all rows come to at
// most 1,000,000. A file that it names lies beside it or is named by its whole
// path, and is a regular file: no device, no pipe, no network.
//
// # References
//
//   - TOML v1.1.0, https://toml.io
//   - Soil Science Division Staff (2017). Soil Survey Manual. USDA Handbook
//     18, chapter 3: the twelve texture classes (from memory).
package site

import (
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/planting"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A Site is what a grower says of a site. The zero value of any part is that
// nothing was said of it.
type Site struct {
	File     File // the site file itself
	Name     string
	Invented bool           // the site says it is made up
	Units    quantity.Units // of bare numbers, and of reports
	CRS      string         // of the coordinates, such as "EPSG:32614"; empty: longitude and latitude, WGS 84

	// Origin is the longitude and latitude of a peg that coordinates were
	// measured from with a tape: x to the east, y to the north. They are in
	// the site's units in the file and in metres here. Nil where they were
	// not.
	Origin *orb.Point

	Ground  Ground
	Soil    Soil
	Storm   Storm
	Season  Season
	Odds    Odds
	Learned Learned
	Links   []Link
	Wells   []Well
	Works   []Work
	Trees   Trees
	Told    []Tree // what is said of single trees, in the order of the file
	Species Species

	// Rows are in the order of the file. Their lines are in CRS: bring them
	// to metres before they are laid out.
	Rows []planting.Row
}

// Ground says where elevations come from.
type Ground struct {
	DEM           File
	SpotHeights   File   // spot heights or a field book
	Later         []File // later surveys, in their order
	Lines         File   // breaklines, outlines and holes
	Triangles     bool   // flat triangles between the spot heights instead of kriging
	Boundary      File
	Cell          float64 // side of a cell, m
	VerticalError float64 // one standard deviation, m
	ErrorRange    float64 // how far one error reaches, m
}

// Trees are single positions, and what holds of all that is planted.
type Trees struct {
	Positions File
	Age       *float64 // years since planting, where a row, file or tree does not say; nil: newly planted
}

// Species is the grower's own table of species, and what each is grafted on.
type Species struct {
	Table      File
	Rootstocks []Rootstock // by name of the species, each once
}

// Check says what a site lacks to be assessed: a ground, and something
// planted on it. What it says is the fault of an input.
func (s *Site) Check() error {
	name := "the site"
	if s.File.Name != "" {
		name = s.File.Name
	}
	var bad fault.List
	if !s.Ground.DEM.Given() && !s.Ground.SpotHeights.Given() {
		bad.Add(0, "%s: names no ground; give [ground] a dem, spot_heights or both", name)
	}
	if len(s.Rows) == 0 && !s.Trees.Positions.Given() {
		bad.Add(0, "%s: names no trees; give it a [[row]], or [trees] positions", name)
	}
	return bad.Err()
}
