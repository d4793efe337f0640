// Package phone writes an assessment for a telephone or a hand-held receiver to
// carry into the field: stakes as waypoints (GPX) and risk as a map (KML).
//
// # Model
//
// A waypoint bears the name of its stake; its short text is the plant, the risk
// in words and what to do, its long one where it stands in its row and why. The
// map shows every tree as an area in the shape and colour of its risk, about
// half as wide as the trees stand apart, so that it needs no picture from
// anywhere: KML can only point at pictures for its icons. The point of the same
// tree carries the name, and a reader that knows no areas shows that in the
// colour of the risk.
//
// # Units
//
// Positions are WGS 84 longitude and latitude in seven decimals, elevations
// metres above the datum of the ground, words in the units of the site.
//
// # Limits
//
// A telephone knows where it is to 3 to 5 m under open sky, which is more than
// many trees stand apart: the files lead to a row, the tape to the stake. Beyond
// 20,000 trees the map holds the flagged ones alone, and says so.
//
// # References
//
//   - Topografix (2004). GPX 1.1 Schema Documentation.
//   - OGC 07-147r2 (2008). OGC KML 2.2.0. The map was held to its schema.
package phone
