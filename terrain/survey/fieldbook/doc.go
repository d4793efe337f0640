// Package fieldbook reduces a grower's field notes to spot heights: level
// books, laser and water-level sheets, tapes along base lines, satellite
// tables.
//
// # Model
//
// A level reads a staff along one horizontal line. Ground is the height of
// the instrument less the reading, and the height of the instrument is the
// level of a point it sighted back to plus that reading. A book is carried
// from the benchmarks in its own order, by height of instrument and by rise
// and fall, which have to agree. Where a sight falls on a point whose level
// was known already, a loop closes, and misses by something. Within the
// allowable misclosure of an order of levelling that is spread over the
// sights by least squares, the benchmarks held; for one line or loop this is
// the usual equal share for each set-up, or for each metre. Beyond it the
// book is refused, with the readings most likely wrong (see Suspect).
//
// A laser or a water level has one plane for many readings; several readings
// of benchmarks are averaged and checked against each other. A tape gives a
// distance along a base line and an offset to its left or right. A satellite
// height is above the ellipsoid until the geoid separation is taken off,
// H = h - N.
//
// # Form
//
// A book is one CSV file. Lines that begin with # are skipped. A line with a
// word and a colon is a directive and holds from there on:
//
//	book: TITLE            crs: EPSG:32614       page: 3
//	date: 2026-03-14       the day of the survey: later ones take the place of earlier
//	units: m|cm|mm|ft|in|usft      of a number typed without one (metres if not said)
//	staff: 5 m             the longest reading (5 m if not said)
//	reading error: 3 mm    one standard deviation (3 mm; laser and water 5 mm)
//	order: construction    or third, fourth, ..., 10 mm sqrt(n), 24 mm sqrt(K)
//	share: set-ups|distance        closing: open|closed     sight: 30 m
//	loop: NAME             a new line of levelling begins
//	sheet: level|laser|water|tape|gnss|points
//	base: row A, from P1, to P2            or: from P1, bearing N 60 E
//	tape: level|sloped     set-up: NAME    instrument height: 101.25
//	reads: down|up|cut/fill                grade: 100.00
//	home: BM1, 100.00      where the home staff of a water level stands
//	heights: ellipsoidal|orthometric       geoid: -32.1    worst: 10 cm
//	lines: ditch, bank     codes that join shots
//
// The first line of a sheet that is no directive names its columns, in any
// order; a name may carry a unit (fs_ft, "along (m)"). Every sheet may have
// point, page, code and remarks.
//
//	level   bs is fs level rl distance, bs distance, fs distance
//	laser   reading level rl
//	water   home reading level rl
//	tape    along (or distance), offset or left and right, base
//	gnss    lon lat or x y, height or ellipsoidal height, geoid,
//	        horizontal error, vertical error, fix
//	points  x y or lon lat, level
//
// The level column is for benchmarks; rl is for the grower's own reductions,
// which are checked. In a level book distance is that levelled from the start
// of the line. Level, laser and water sheets may hold positions too: along
// with offset, left or right, or x and y, or lon and lat. A turning point has
// its fore and back sight in one row, or in two that follow each other.
// Points are the same where their names are, whatever the case and the sheet;
// a nameless one, TP and CP are a new point each time. Cells may carry their
// unit: 5' 7 1/4", 1.70 m.
//
// # Units
//
// Metres inside, and in all that is exported, but for bearings and lon, lat,
// which are degrees. Tables for reading are in feet where the book is.
//
// # Limits
//
// Sights are taken as level: the earth's curvature less refraction, 0.0675 K²
// metres at K km or under a millimetre at 120 m, and the collimation error of
// the instrument are not corrected; equal back and fore sights cancel both. The horizontal error of a satellite fix goes with its shot, to be carried into the
// height where the ground slopes (package survey); those of tapes are not. A
// book holds at most 600 set-ups and 100,000 rows.
//
// # References
//
//   - Federal Geodetic Control Committee (1984). Standards and Specifications
//     for Geodetic Control Networks. (Constants from memory.)
//   - Uren, J., Price, W.F. Surveying for Engineers. (5 mm for the root of
//     the set-ups, from memory.)
//   - Baarda, W. (1968). A testing procedure for use in geodetic networks.
//     Netherlands Geodetic Commission. (One wrong observation sought by what
//     it would do to all misclosures; from memory.)
package fieldbook
