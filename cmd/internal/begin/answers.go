package begin

import (
	"fmt"
	"math"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/weather"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// Answers are what a grower says to the four questions. The zero value of any
// part is that nothing was said, and something is taken for it.
type Answers struct {
	Name  string
	Units quantity.Units

	// Where, for files that do not say themselves: a coordinate system, or
	// the longitude and latitude of the peg that places were taped from.
	CRS    string
	Origin *orb.Point

	Soil string // a texture, or what a moist handful does

	Rain     float64 // mm
	Duration time.Duration

	Plants  []string // along the rows in turn, scientific names; none takes the lists of species
	Spacing float64  // of plants along a row, m
	Apart   float64  // of rows, m
	Rows    int      // how many; 0 is as many as fit
}

// What is taken where nothing is said.
const (
	DefaultDuration = 24 * time.Hour
	defaultMetric   = 100.0    // mm
	defaultFeet     = 4 * 25.4 // mm
)

// DefaultRain is the rain that is taken where none is said, mm: a round
// figure, since only a local table knows better.
func DefaultRain(u quantity.Units) float64 {
	if u == quantity.Feet {
		return defaultFeet
	}
	return defaultMetric
}

// Bounds of rows.
const (
	leastSpacing, mostSpacing = 0.2, 100.0
	leastApart, mostApart     = 0.5, 500.0
	mostRowsAsked             = 200
)

// check says all that is wrong with the answers, and fills in texture, rain
// and duration.
func (a *Answers) check() error {
	var bad fault.List
	if a.CRS != "" && a.Origin != nil {
		bad.Add(0, "where: give either a coordinate system or the longitude and latitude of a peg, not both")
	} else if a.CRS != "" {
		if _, err := raster.Describe(a.CRS); err != nil {
			bad.Add(0, "where: %v", err)
		}
	}
	if o := a.Origin; o != nil && !(math.Abs(o[0]) <= 180 && math.Abs(o[1]) <= 85) {
		bad.Add(0, "where: found %g, %g; longitude from -180 to 180 and latitude from -85 to 85 are needed", o[0], o[1])
	}
	if a.Soil != "" {
		t, err := Texture(a.Soil)
		if err != nil {
			bad.Add(0, "soil: %v", err)
		}
		a.Soil = t
	}
	if a.Rain < 0 || a.Duration < 0 {
		bad.Add(0, "storm: rain and duration are above zero")
	} else if a.Rain > 0 || a.Duration > 0 {
		s := weather.Storm{Rain: a.Rain, Duration: a.Duration}
		if s.Rain == 0 {
			s.Rain = DefaultRain(a.Units)
		}
		if s.Duration == 0 {
			s.Duration = DefaultDuration
		}
		if err := s.Check(); err != nil {
			bad.Add(0, "storm: %v", err)
		}
	}
	if a.Spacing != 0 && !(a.Spacing >= leastSpacing && a.Spacing <= mostSpacing) {
		bad.Add(0, "trees: plants %g m apart; %g to %g m can be laid out", a.Spacing, leastSpacing, mostSpacing)
	}
	if a.Apart != 0 && !(a.Apart >= leastApart && a.Apart <= mostApart) {
		bad.Add(0, "trees: rows %g m apart; %g to %g m can be laid out", a.Apart, leastApart, mostApart)
	}
	if a.Rows < 0 || a.Rows > mostRowsAsked {
		bad.Add(0, "trees: found %d rows; 1 to %d can be laid out", a.Rows, mostRowsAsked)
	}
	return bad.Err()
}

// room is what plants of a pattern want along a row and between rows, m: any
// two neighbours half of what each wants, the pattern repeating; rows what the
// widest wants, and enough to walk between. Common practice, no source.
func room(plants []string, known *species.Table) (spacing, apart float64) {
	wants := make([]float64, len(plants))
	for i, p := range plants {
		wants[i] = usualRoom
		if e, err := known.Find(p); err == nil && e.Spacing != nil && e.Spacing.Likely > 0 {
			wants[i] = e.Spacing.Likely
		}
		apart = max(apart, wants[i])
	}
	for i := range wants {
		spacing = max(spacing, (wants[i]+wants[(i+1)%len(wants)])/2)
	}
	half := func(v float64) float64 { return math.Ceil(2*v-1e-9) / 2 }
	return max(half(spacing), leastSpacing), max(half(apart), walk)
}

const (
	usualRoom = 4.0 // m, of a plant whose spacing is not known
	walk      = 2.0 // m, to walk and mow between rows
)

// place says what a peg at an origin cannot be: that of coordinates that
// reach far from it are those of a map.
func place(name string, b orb.Bound, o *orb.Point) error {
	const far = 50_000 // m
	if o == nil || max(math.Abs(b.Min[0]), math.Abs(b.Min[1]), math.Abs(b.Max[0]), math.Abs(b.Max[1])) < far {
		return nil
	}
	hint := "name the coordinate system of the map instead"
	if x, y := b.Center()[0], b.Center()[1]; x > 100_000 && x < 900_000 && y > 0 && y < 10_000_000 {
		hint = fmt.Sprintf("if they are UTM, the system there is %s", raster.UTM(o[0], o[1]))
	}
	return fault.Input(fmt.Errorf("where: the heights of %s lie around x %.0f, y %.0f, too far from a peg to have been taped: they are coordinates of a map; %s", name, b.Center()[0], b.Center()[1], hint))
}
