// Package planting lays out planned trees: rows by line, spacing, pattern and
// gaps, and single positions from a file.
package planting

import "github.com/paulmach/orb"

// A Position is a place where one plant is planned.
type Position struct {
	ID      string    // unique on the site: "A-12" in a row, the grower's own otherwise
	Row     string    // empty for a single position
	Along   float64   // distance along its row from the row's start, m; 0 for a single position
	Point   orb.Point // in the system of the ground, metres
	Species string    // as the grower wrote it
}
