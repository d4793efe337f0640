package survey

import "github.com/paulmach/orb"

// A Shot is one spot height.
type Shot struct {
	Point orb.Point // x, y metres; or longitude, latitude degrees as the table says
	Z     float64   // height, m
	Error float64   // one standard deviation of Z, m; 0 where it is not known
	Sway  float64   // of its place, in all directions together, m; 0 where it is not known
	Name  string    // as the surveyor called it, may be empty
	Line  int       // of the file it came from, from 1; 0 when it came from none
	Extra []string  // the other columns, as text, in the order of Table.Columns
}

// A Table is a file of spot heights as read.
type Table struct {
	Shots   []Shot   // in the order of the file
	LonLat  bool     // points are longitude, latitude in degrees, not x, y in metres
	Columns []string // names of the columns kept as text in Shot.Extra
	Remarks []string // what was found on the way and should be known, one sentence each
}

// AssumedError is one standard deviation of a shot whose error nobody stated,
// m, where a number is needed before one can be fitted: to tell whether two
// shots at one place agree, and in surveys too small to fit it.
//
// Survey-grade satellite positioning states 15 mm + 1 ppm in the vertical
// (manufacturers' technical data), 16 to 25 mm within 10 km; a level and
// staff on a farm do about as well.
const AssumedError = 0.02
