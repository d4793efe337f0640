package fieldbook

import (
	"fmt"
	"time"

	"github.com/paulmach/orb"

	"wetfeet/terrain/quantity"
	"wetfeet/terrain/survey"
)

// Options adjusts Reduce. The zero value takes what the book says.
type Options struct {
	// Order is how well levelling has to close, instead of what the book
	// says. Nil leaves it to the book, which leaves it to "construction",
	// 5 mm for the root of the set-ups.
	Order *Order

	// Share is how a misclosure is spread, instead of what the book says.
	// Nil leaves it to the book, which leaves it to BySetUps.
	Share *Share

	// Open lets lines of levelling end on nothing known, as closing: open
	// does in the book.
	Open bool
}

// A Reduction is a field book turned into heights and positions, metres.
type Reduction struct {
	File, Title, CRS string
	Date             time.Time      // the day of the survey; zero where the book does not say
	Units            quantity.Units // the book was kept in, for tables
	LonLat           bool           // positions are longitude and latitude, degrees
	Ellipsoidal      bool           // heights are above the ellipsoid, not above sea level

	Points  []Point       // all with a height, in the order they were first read
	Shots   []survey.Shot // those on the ground that have a position too; Extra as Columns says
	Columns []string      // of Shot.Extra
	Lines   []Line        // shots joined by their codes

	Bookings    []Booking
	SetUps      []SetUp
	Misclosures []Misclosure
	Checks      []Check
	Remarks     []string // what was assumed or found, one sentence each
}

// Table is the shots as survey reads them from a file.
func (r *Reduction) Table() *survey.Table {
	return &survey.Table{Shots: r.Shots, LonLat: r.LonLat, Columns: r.Columns, Remarks: r.Remarks}
}

// A Point is one point of the book with its height.
type Point struct {
	Name      string
	Line      int // where it was first read
	Page      string
	Level     float64   // m
	Error     float64   // one standard deviation of Level, m; 0 for a benchmark, or where it is not known
	Sway      float64   // of At, all directions together, m; 0 where it is not known
	Readings  int       // the level is the mean of
	Benchmark bool      // the level was given
	Placed    bool      // At is known
	At        orb.Point // x, y or lon, lat
	Code      string
	Remarks   string
}

// A Line is shots joined in the order of the book because they carry one
// code: a ditch, a bank.
type Line struct {
	Code   string
	Points []orb.Point
	Z      []float64 // m; NaN where a point has no height
	Names  []string
	Closed bool // back to its first point
}

// A SetUp is one stand of the instrument.
type SetUp struct {
	Number     int    // from 1 through the book
	Kind       string // of sheet: "level", "laser" or "water"
	Line       int
	Page       string
	From, To   string  // back sight and fore sight, or the benchmark read
	Sights     int     // readings
	Length     float64 // back sight and fore sight together, m; 0 where not known
	Instrument float64 // its height, adjusted, m
	Error      float64 // one standard deviation of that, m
	Correction float64 // to the rise from From to To, m
	Closed     bool    // something checks it
}

// A Misclosure is what a loop or a line between benchmarks fails to close by.
type Misclosure struct {
	Loop      string // "from BM1 to BM2"
	From, To  string
	Line      int // of the closing sight
	Page      string
	SetUps    int
	Metres    float64 // levelled; 0 where not known
	Value     float64 // level carried less level known, m
	Allowable float64 // m
	Order     Order
	PerSetUp  float64 // what each set-up was corrected by in the mean, m
	Repeat    bool    // a ground shot read twice, not a loop of turning points
	Known     bool    // closes on a benchmark
}

// over says how much levelling a loop is.
func (m Misclosure) over() string {
	if m.Order.By != SetUps {
		return fmt.Sprintf("%.3f km", m.Metres/1000)
	}
	if m.SetUps == 1 {
		return "1 set-up"
	}
	return fmt.Sprintf("%d set-ups", m.SetUps)
}

// A Check is one sum or comparison that has to hold, m.
type Check struct {
	Name           string
	Value, Allowed float64 // what was found apart, and what may be
	OK             bool
}
