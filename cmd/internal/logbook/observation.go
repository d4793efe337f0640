// Package logbook keeps the observation book of a site: what was seen out
// there after a storm, in a file that any desktop GIS opens.
//
// # Model
//
// A book is a GeoPackage with one table of points, observations. Each row is a
// visit to one place: how deep the water stood, when it was last seen wet and
// when it had dried, how deep the water table lay in an auger hole, how the
// tree did. A row needs a day, a place and one thing that was seen; the rest
// stays empty. What is said of standing water also names the day on which the
// rain of its storm ended, since a depth or a dry-out day tells nothing
// without it.
//
// Reading trusts nothing: size, application id, schema and every value are
// checked, the file is opened read-only, and all mistakes come as one error.
// Adding is one transaction: after a crash the book is as it was before or
// holds all that was added.
//
// # Units
//
// Depths are metres, rain millimetres, hours hours; places are WGS 84
// longitude and latitude in degrees. Days and clock times are those of the
// place, with no time zone.
//
// # Limits
//
// A book is at most 64 MiB and holds at most 100,000 observations. Photos are
// named, not kept. Columns and tables that a GIS added are left alone.
//
// # References
//
//   - Open Geospatial Consortium (2021). GeoPackage Encoding Standard 1.3.1.
//     OGC 12-128r18.
//   - Open Geospatial Consortium (2011). Simple feature access, part 1: common
//     architecture. OGC 06-103r4: well-known binary.
package logbook

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/paulmach/orb"
)

// MaxObservations is the most a book holds.
const MaxObservations = 100_000

// An Observation is what one visit to one place showed. The zero value of any
// part is that it was not looked at.
type Observation struct {
	ID   int64 // in the book; 0 before it is in one
	Seen When  // when someone was there

	Tree string     // id of a planned tree; empty for a place by itself
	At   *orb.Point // longitude and latitude

	Depth      *float64 // of the standing water, m; 0 for none
	LastWet    When     // when water was last seen there
	DriedOut   When     // when it was first seen gone
	WaterTable *float64 // depth to the water in an auger hole, below the ground, m
	Health     Health   // of the tree

	Storm Storm

	Photo string // name of a file
	Note  string
}

// A Storm is the rain that an observation is about.
type Storm struct {
	Ended When    // when its rain ended
	Rain  float64 // mm; 0 where nobody measured it
	Hours float64 // of rain; 0 where unknown
}

// Health is how a tree does, in one of four words.
type Health string

// The words, best first.
const (
	Thriving Health = "thriving" // as one would wish
	Stressed Health = "stressed" // yellow, wilted or late, but likely to come back
	Dying    Health = "dying"    // most of it is dead or leafless
	Dead     Health = "dead"
)

// Healths are the words in order, best first.
var Healths = []Health{Thriving, Stressed, Dying, Dead}

// says is all that an observation says, whatever its ID and whichever book
// holds it. Two that say the same were made twice.
func (o *Observation) says() string {
	number := func(v *float64) any {
		if v == nil {
			return "-"
		}
		return *v
	}
	at := "-"
	if o.At != nil {
		at = fmt.Sprintf("%.7f %.7f", o.At[0], o.At[1]) // to a centimetre
	}
	return fmt.Sprintf("%v|%q|%s|%v|%v|%v|%v|%s|%v|%q|%q", o.Seen, o.Tree, at, number(o.Depth), o.LastWet, o.DriedOut, number(o.WaterTable), o.Health, o.Storm, o.Photo, o.Note)
}

// Sort puts observations in the order of their days, and those of a day in the
// order of the book.
func Sort(all []Observation) {
	slices.SortStableFunc(all, func(a, b Observation) int {
		return cmp.Or(a.Seen.Compare(b.Seen), cmp.Compare(a.ID, b.ID))
	})
}
