package fieldbook

import (
	"strings"
	"time"
	"unicode"
)

// A Book is a field book as typed: sheets of readings, not yet reduced.
type Book struct {
	File  string // for messages
	Title string
	Date  time.Time // the day of the survey; zero where the book does not say
	CRS   string    // of its x and y as the book says it, or empty

	Remarks []string // what was found on the way and should be known, one sentence each

	sheets []*sheet
	bases  []*baseLine
}

// settings are what directive lines say, each sheet inheriting those of the
// one before it.
type settings struct {
	unit     string  // of a number typed without one
	staff    float64 // length of the staff, m
	order    Order
	share    Share
	open     bool    // lines may end on nothing known
	sigma    float64 // standard deviation of one reading, m; 0 for the usual one
	sight    float64 // usual length of a sight, m; 0 where not known
	sloped   bool    // tapes lay on the ground
	up       bool    // readings grow with the ground
	cutFill  bool    // readings are cut and fill
	heights  string  // "ellipsoidal", "orthometric" or not said
	geoid    value
	worst    float64  // largest vertical error of a satellite fix kept, m
	lineCode []string // codes that join shots
}

// Usual values where a book says nothing. A staff of 5 m in four or five
// pieces is the commonest; the errors of a reading are what a farm level at
// sights under 60 m, a laser receiver's and a tube's marks allow. Common
// practice, no source, but for the laser: makers state about 1.5 mm at 30 m
// (from memory), to which the receiver and a staff held by hand add.
const (
	usualStaff      = 5.0   // m
	usualSightError = 0.003 // m, optical level
	usualLaserError = 0.005 // m, laser and water level
	usualWorst      = 0.10  // m
)

func newSettings() settings {
	return settings{
		unit: "m", staff: usualStaff, order: orders[0], worst: usualWorst,
		lineCode: []string{"ditch", "bank", "edge", "crown", "toe", "top", "drain", "road", "path", "break"},
	}
}

func (s *settings) readingError(k kind) float64 {
	switch {
	case s.sigma > 0:
		return s.sigma
	case k == levelSheet:
		return usualSightError
	}
	return usualLaserError
}

// A sheet is a table with its columns.
type sheet struct {
	settings
	kind    kind
	at      place
	header  string
	mark    rune // between columns
	columns []column
	broken  bool // its columns cannot be used, and its rows are passed over
	entries []*entry
}

func (s *sheet) has(want ...role) bool {
	for _, r := range want {
		found := false
		for _, c := range s.columns {
			found = found || c.role == r
		}
		if !found {
			return false
		}
	}
	return true
}

// An entry is one row of a sheet.
type entry struct {
	place
	name    string
	key     string       // the name as it is compared; empty for nobody's peg
	at      [roles]uint8 // where in cells each role is, from 1; 0 where it is empty
	cells   []value
	base    *baseLine // in force
	station *station  // in force, on laser and water sheets
	newLoop bool      // a loop directive stands before it
}

// cell is the value of a role, empty where the row has none.
func (e *entry) cell(r role) value {
	if i := e.at[r]; i > 0 {
		return e.cells[i-1]
	}
	return value{}
}

// set fills a role. A row has at most maxColumns of them.
func (e *entry) set(r role, v value) {
	v.ok = true
	e.cells = append(e.cells, v)
	e.at[r] = uint8(len(e.cells))
}

func (e *entry) num(r role) float64  { return e.cell(r).v }
func (e *entry) text(r role) string  { return e.cell(r).text }
func (e *entry) filled(r role) bool  { return e.at[r] > 0 }
func (e *entry) any(rs ...role) bool { return e.count(rs...) > 0 }
func (e *entry) all(rs ...role) bool { return e.count(rs...) == len(rs) }

func (e *entry) count(rs ...role) int {
	n := 0
	for _, r := range rs {
		n += b2i(e.filled(r))
	}
	return n
}

// A station is one stand of a laser or one home of a water level.
type station struct {
	at     place
	used   bool
	name   string
	height value  // of the plane of light, or the grade
	home   string // key of the point the home staff stands on
	homeAs string // as typed
	known  value  // level of the home point where the directive gives it
}

// nobody are names of pegs that are nothing but pegs: each is a place of its
// own.
var nobody = map[string]bool{"": true, "tp": true, "cp": true, "-": true, "turn": true, "turning point": true, "change point": true, "?": true}

// nameKey is a point's name as it is compared: without case and spare spaces.
func nameKey(name string) string {
	key := strings.ToLower(strings.Join(strings.FieldsFunc(name, unicode.IsSpace), " "))
	if nobody[key] {
		return ""
	}
	return key
}
