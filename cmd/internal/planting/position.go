// Package planting lays out planned trees: rows by line, spacing, pattern and
// gaps, and single positions from a file.
//
// # Model
//
// A row is a line, straight or bent. The first place is at its start and the
// others follow every spacing, measured along the line, as far as the spacing
// still fits. The pattern of species repeats along the places. A gap (a gate,
// a crossing) leaves out every place on it, its two ends included, and so
// does a pattern entry that is empty or "-". Places that are left out keep
// their number and their turn in the pattern, so that opening a gate neither
// renames nor replaces a tree behind it: "A-12" always stands eleven spacings
// from the start of row A. This is common practice, no source.
//
// # Units
//
// Distances along a row are metres. Coordinates are what the caller reads:
// [Lay] needs metres in a projected system; files give either that or
// longitude and latitude, and say which.
//
// # Limits
//
// Distances are level, as a tape is held, not along the slope. A site holds
// at most 1,000,000 places. A file is at most 64 MiB.
package planting

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"wetfeet/cmd/internal/fault"

	"github.com/paulmach/orb"
)

// MaxPositions is the most places a site may have. It is far beyond what
// anyone plants and well within memory.
const MaxPositions = 1_000_000

// A Position is a place where one plant is planned.
type Position struct {
	ID      string    // unique on the site: "A-12" in a row, the grower's own otherwise
	Row     string    // empty for a single position
	Along   float64   // distance along its row from the row's start, m; 0 for a single position
	Point   orb.Point // in the system of the ground, metres
	Species string    // as the grower wrote it

	Age       *float64 // years since planting; nil where nobody says
	Rootstock string   // what it is grafted on, as the grower wrote it; empty where nobody says
}

// A Table is the positions of a file.
type Table struct {
	Positions []Position // in the order of the file
	LonLat    bool       // points are WGS 84 longitude and latitude, degrees
	Metres    bool       // the headings named a unit of length: points are metres; otherwise, unless LonLat, in the units of the site's system
	Remarks   []string   // what was found on the way and should be known
}

// CheckIDs makes sure that no two positions of a site share an ID. The error
// lists every ID that is shared and is marked as the fault of an input.
func CheckIDs(positions []Position) error {
	var bad fault.List
	first := make(map[string]int, len(positions))
	for i, p := range positions {
		if j, taken := first[p.ID]; taken {
			bad.Add(0, "%s names two positions: %s and %s; every position needs an id of its own", quote(p.ID), positions[j].place(), p.place())
			continue
		}
		first[p.ID] = i
	}
	return bad.Err()
}

// place says which position is meant when its ID does not.
func (p Position) place() string {
	if p.Row != "" {
		return fmt.Sprintf("the one %.2f m along row %s", p.Along, quote(p.Row))
	}
	return fmt.Sprintf("a single one, %s", quote(p.Species))
}

// longestText is the most bytes an ID or a name may have: a label has to go
// with it.
const longestText = 200

// checkText completes the sentence "it is ..." for text that cannot be a
// name or an ID; empty if it can.
func checkText(s string) string {
	switch {
	case s == "":
		return "empty"
	case len(s) > longestText:
		return fmt.Sprintf("longer than %d bytes", longestText)
	case !utf8.ValidString(s):
		return "not UTF-8"
	case strings.ContainsFunc(s, unicode.IsControl):
		return "broken by a control character"
	}
	return ""
}

func quote(s string) string {
	if len(s) > 40 {
		s = strings.ToValidUTF8(s[:40], "") + "…"
	}
	return fmt.Sprintf("%q", s)
}
