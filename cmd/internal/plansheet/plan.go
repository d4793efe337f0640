package plansheet

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// A Plan is what a contour plan shows. Everything is metres in the system of
// the ground.
type Plan struct {
	Title    string
	Invented bool   // the place is made up, and the sheet says so
	Date     string // of the survey, as it is to be written; empty leaves a line to write on
	Units    quantity.Units
	Datum    string // what levels are above, as "from benchmark BM1 = 100.000 m (assumed)"; empty says it is not known

	Ground *terrain.Grid[float32] // its frame names the system
	Error  *terrain.Grid[float32] // standard error of the ground, on its frame; nil where not known

	// Interval between contours, m. Zero takes the finest that relief and
	// error allow.
	Interval float64

	Shots      []Shot
	Breaklines []Breakline
	Outline    orb.Polygon // of the area surveyed, then its holes; may be empty

	// LeaveOneOut is by how much shots are missed when each is left out in
	// turn, the root of the mean square, m. Zero where not known.
	LeaveOneOut float64

	Notes []string // further words for the sheet, one sentence each

	// What the pictures of a survey show beside it; may be empty.
	Standardised []float64   // by shot: how many standard deviations it lies above what the others say, NaN where not checked
	Suspicious   []int       // shots, the most suspicious first
	Next         []orb.Point // where to measure next, the most useful first
}

// A Shot is a spot height.
type Shot struct {
	Name  string
	Point orb.Point
	Z     float64
}

// A Breakline is a line across which the ground is not smooth.
type Breakline struct {
	Code   string // as the surveyor called it
	Kind   Kind
	Points orb.LineString
	Closed bool
}

// A Kind is a kind of breakline.
type Kind int

const (
	OtherLine Kind = iota
	Ditch          // the bottom of a ditch
	BankTop
	BedEdge
	RoadCrown
	kinds int = iota
)

func (k Kind) String() string {
	return [...]string{"other breakline", "ditch bottom", "bank top", "bed edge", "road crown"}[k]
}

// KindOf is the kind a surveyor's code speaks of: "ditch 1", "Bank top",
// "bed edge", "track".
func KindOf(code string) Kind {
	code = strings.ToLower(code)
	for _, w := range [...]struct {
		word string
		kind Kind
	}{
		{"ditch", Ditch}, {"drain", Ditch}, {"swale", Ditch}, {"furrow", Ditch},
		{"bank", BankTop}, {"levee", BankTop}, {"berm", BankTop},
		{"bed", BedEdge},
		{"road", RoadCrown}, {"crown", RoadCrown}, {"track", RoadCrown}, {"path", RoadCrown},
	} {
		if strings.Contains(code, w.word) {
			return w.kind
		}
	}
	return OtherLine
}

// A Paper is a size of sheet.
type Paper int

const (
	A4 Paper = iota
	Letter
	A3
)

// Papers are all sizes.
var Papers = [...]Paper{A4, Letter, A3}

func (p Paper) String() string { return [...]string{"A4", "Letter", "A3"}[p] }

// Size is the sides of a sheet upright, mm: ISO 216, and 8½ by 11 inches.
func (p Paper) Size() (wide, high float64) {
	switch p {
	case Letter:
		return 8.5 * 25.4, 11 * 25.4
	case A3:
		return 297, 420
	}
	return 210, 297
}

// ParsePaper reads the name of a size, in any case.
func ParsePaper(s string) (Paper, error) {
	for _, p := range Papers {
		if strings.EqualFold(strings.TrimSpace(s), p.String()) {
			return p, nil
		}
	}
	return 0, fmt.Errorf("%q is not a size of paper: A4, Letter or A3", s)
}

// A Turn is which way a sheet lies.
type Turn int

const (
	Either Turn = iota // whichever gives the larger scale
	Upright
	Lying
)

// A Theme is what a sheet is about.
type Theme int

const (
	Contours  Theme = iota // the ground, for who has to build on it
	Errors                 // how well the ground is known, and where to measure next
	Residuals              // each shot against what the others say
)

func (t Theme) String() string {
	return [...]string{"Contour plan", "How well the ground is known", "Spot heights against the surface"}[t]
}

// Options adjusts a sheet. The zero value is the common case: A4, whichever
// way and scale suit.
type Options struct {
	Paper Paper
	Turn  Turn
	Show  Theme

	// Bare leaves out the words, for a picture among words: a small sheet of
	// its own size, at any scale. Paper, Turn and Scale are then of no account.
	Bare bool

	// Scale is the number after "1:". Zero is the largest that fits.
	Scale int

	// DPI is the pixels to an inch of a picture, from 96 to 600. Zero is 200.
	DPI int
}

// DefaultDPI shows lines of a fifth of a millimetre as lines.
const DefaultDPI = 200

// check finds what makes a plan impossible to draw.
func check(p *Plan, o Options) error {
	var bad []error
	if o.DPI != 0 && (o.DPI < 96 || o.DPI > 600) {
		bad = append(bad, fmt.Errorf("a picture of %d pixels to an inch: it can have from 96 to 600", o.DPI))
	}
	if o.Paper < 0 || int(o.Paper) >= len(Papers) {
		bad = append(bad, fmt.Errorf("paper %d: A4, Letter and A3 are known", int(o.Paper)))
	}
	if o.Scale < 0 {
		bad = append(bad, fmt.Errorf("scale 1:%d: the number has to be 1 or more", o.Scale))
	}
	if p.Interval < 0 || math.IsInf(p.Interval, 0) || math.IsNaN(p.Interval) {
		bad = append(bad, fmt.Errorf("contour interval of %g m: it has to be above 0", p.Interval))
	}
	if p.Ground == nil || terrain.Known(p.Ground) == 0 {
		bad = append(bad, errors.New("no ground to draw a plan of: not one cell has an elevation"))
	} else if p.Error == nil && o.Show == Errors {
		bad = append(bad, errors.New("no error of the ground to draw"))
	} else if p.Error != nil && p.Error.Frame != p.Ground.Frame {
		bad = append(bad, errors.New("the error of the ground lies on another frame than the ground"))
	}
	if n := len(p.Standardised); n > 0 && n != len(p.Shots) {
		bad = append(bad, fmt.Errorf("%d residuals for %d spot heights", n, len(p.Shots)))
	}
	for _, k := range p.Suspicious {
		if k < 0 || k >= len(p.Shots) {
			bad = append(bad, fmt.Errorf("spot height %d is suspicious, but there are %d", k, len(p.Shots)))
		}
	}
	return errors.Join(bad...)
}

// unit is one of the reader's units, m, and its sign.
func (p *Plan) unit() (metres float64, sign string) {
	if p.Units == quantity.Feet {
		return quantity.Feet.Metres(), "ft"
	}
	return 1, "m"
}

// GridUnit is the unit the coordinates are written in, m, and its name: a local
// grid, or one around an origin, follows the reader, a national one has its own.
func (p *Plan) GridUnit() (metres float64, name string) {
	if p.Units == quantity.Feet && (p.Ground == nil || drafting.Local(p.Ground.CRS)) {
		return quantity.Feet.Metres(), "feet"
	}
	return 1, "metres"
}
