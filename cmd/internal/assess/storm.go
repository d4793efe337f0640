package assess

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
)

// What is taken where the plan does not say. The report names each that was
// used.
const (
	// defaultRain in defaultHours is a heavy rain that most warm temperate
	// places see once in some years; common practice, no source. A local
	// table of rainfall frequencies says better.
	defaultRain  = 100 // mm
	defaultHours = 24

	// defaultTexture lies in the middle of the textures.
	defaultTexture = "loam"

	// defaultCover is what most orchards of mixed rows are.
	defaultCover = "orchard, grassed, good"

	// openWater is what evaporates from shallow water on a summer day after
	// rain, mm a day; common practice, no source.
	openWater = 4

	// rootZone is the depth of soil most feeder roots of young trees are in,
	// m; common practice, no source.
	rootZone = 0.3

	// dryDown is how long the drying is followed after the rain, days.
	dryDown = 30

	// stormStep is the longest step of the rain, within which it is even.
	stormStep = time.Hour
)

// A Storm is what the storm of a plan does to the site.
type Storm struct {
	Rain     float64       // mm
	Duration time.Duration // of the rain
	Runoff   float64       // of Rain, what does not soak in where it falls, mm
	Soaking  float64       // rate at which standing water soaks in, mm/h
	Doubt    [2]float64    // that rate at one chance in ten less and more, mm/h
	Site     *storm.Site
	History  *storm.History
	Roots    storm.Roots // of a tree on the level
	Shown    []Moment    // whose water lines the sections draw

	Depth  *terrain.Grid[float32] // of the water when the rain ends, m
	Hours  *terrain.Grid[float32] // under water, in and after the storm, h
	Height *terrain.Grid[float32] // above the water of that time, the flow lines and the rim, m
}

// A Moment is a time of the storm that is shown.
type Moment struct {
	Name  string // "when the rain ends", "after 2 days"
	Hours float64
}

// runStorm sends the storm over the site and lets it dry.
func (r *Result) runStorm(p Plan) error {
	rain, known, assumed, err := p.weather()
	if err != nil {
		return err
	}
	r.Assumptions = append(r.Assumptions, assumed...)

	curve, said := known.Curve()
	for _, words := range said {
		r.Assumptions = append(r.Assumptions, sentence(words))
	}
	rate, drainable := known.Rate(), known.Drainable()
	hyetograph, err := rain.Hyetograph(stormStep)
	if err != nil {
		return fault.Input(err)
	}
	excess := known.Loss(curve).Excess(nil, hyetograph.Rain, hyetograph.Hours)

	site, err := storm.Prepare(r.Drain.Hollows, storm.Options{})
	if err != nil {
		return err
	}
	s := &Storm{
		Rain: rain.Rain, Duration: rain.Duration, Soaking: rate.Median,
		Doubt: [2]float64{rate.Quantile(0.1), rate.Quantile(0.9)},
		Site:  site,
		Roots: storm.Roots{Depth: rootZone, Porosity: drainable.Likely, Drainage: rate.Median},
	}
	var steps []storm.Step
	for i, mm := range excess {
		s.Runoff += mm
		steps = append(steps, storm.Step{Hours: hyetograph.Hours[i], Inflow: site.Runoff(mm), Evaporation: 0})
	}
	steps = append(steps, storm.Step{Hours: 24 * dryDown, Inflow: site.Runoff(0), Evaporation: openWater / 24.0})
	s.History = site.Run(nil, storm.Loss{Infiltration: []float64{rate.Median}}, steps...)

	end := rain.Duration.Hours()
	s.Depth = terrain.NewGrid[float32](r.Drain.Ground.Frame)
	s.History.Depth(s.Depth, end)
	s.Hours = terrain.NewGrid[float32](r.Drain.Ground.Frame)
	s.History.HoursGrid(s.Hours, 0)
	heights, err := r.Drain.HeightAbove(hydro.Water{Depth: s.Depth})
	if err != nil {
		return err
	}
	s.Height = heights.Height

	s.Shown = []Moment{{"when the rain ends", end}}
	for _, days := range []float64{1, 2, 4, 8} {
		name := fmt.Sprintf("%g days after", days)
		if days == 1 {
			name = "1 day after"
		}
		s.Shown = append(s.Shown, Moment{name, end + 24*days})
	}
	r.Storm = s
	r.Assumptions = append(r.Assumptions,
		fmt.Sprintf("Of %s of rain %s run off by the curve number %.0f; the rest soaks in where it falls.", quantity.FormatRain(s.Rain, r.Units), quantity.FormatRain(s.Runoff, r.Units), curve.CN),
		fmt.Sprintf("Standing water soaks in at %s (%s). One time in ten it is slower than %s, and one in ten faster than %s: a dry-out date you have seen says more than any map.",
			quantity.FormatRate(s.Soaking, r.Units), rate.Source, quantity.FormatRate(s.Doubt[0], r.Units), quantity.FormatRate(s.Doubt[1], r.Units)),
		fmt.Sprintf("After the rain %g mm a day evaporate from standing water, and the roots of a tree stay wet until %s of soil have drained (%.0f %% of its volume; %s).",
			float64(openWater), quantity.FormatDepth(rootZone, r.Units), 100*drainable.Likely, drainable.Source),
		fmt.Sprintf("The drying was followed for %d days after the rain.", dryDown),
	)
	return nil
}

// sentence makes one of words that begin small and end without a stop.
func sentence(words string) string {
	return strings.ToUpper(words[:1]) + words[1:] + "."
}

// weather is the storm and the soil of a plan, and what was taken for what it
// does not say.
func (p Plan) weather() (rain weather.Storm, known soil.Known, assumed []string, err error) {
	rain, known = p.Rain, p.Soil
	if rain.Rain == 0 {
		rain.Rain = defaultRain
		assumed = append(assumed, fmt.Sprintf("No storm was given: %s of rain in %d hours were taken. Ask for the rain your place sees once in ten years.", quantity.FormatRain(defaultRain, p.Units), defaultHours))
	}
	if rain.Duration == 0 {
		rain.Duration = defaultHours * time.Hour
		if p.Rain.Rain != 0 {
			assumed = append(assumed, fmt.Sprintf("The storm was taken to last %d hours.", defaultHours))
		}
	}
	if known.Texture == "" && known.Group == "" && known.Measured == 0 {
		known.Texture = defaultTexture
		assumed = append(assumed, "Nothing was said of the soil: loam was taken.")
	}
	if known.Cover == "" {
		known.Cover = defaultCover
		assumed = append(assumed, fmt.Sprintf("Nothing was said of what grows on the ground: %q was taken.", defaultCover))
	}
	if err := rain.Check(); err != nil {
		return rain, known, nil, fault.Input(err)
	}
	if bad := known.Check(); len(bad) > 0 {
		return rain, known, nil, fault.Input(errors.Join(bad...))
	}
	return rain, known, assumed, nil
}

// standing is the deepest water that stands at a cell in the storm, m, and
// how long the roots of a tree there are wet, h, on a mound of some height.
func (s *Storm) standing(d *hydro.Drainage, cell int, mound float64) (depth, hours float64) {
	roots := s.Roots
	roots.Crown = mound
	for _, span := range s.History.RootsWet(cell, roots) {
		hours += span.To - span.From
	}
	if hours == 0 {
		return 0, 0
	}
	leaf := int(d.Hollows.Inner[cell]) - 1
	if leaf < 0 {
		return 0, 0
	}
	depth = s.History.Peak(leaf).Level - float64(d.Ground.Cells[cell]) - mound
	return math.Max(0, depth), hours
}

// Words says the storm in a sentence.
func (s *Storm) Words(u quantity.Units) string {
	return fmt.Sprintf("The storm: %s of rain in %g hours, of which %s run off; standing water soaks in at %s.",
		quantity.FormatRain(s.Rain, u), s.Duration.Hours(), quantity.FormatRain(s.Runoff, u), quantity.FormatRate(s.Soaking, u))
}

// Spell writes a time of so many hours as people say it.
func Spell(hours float64) string {
	switch days := hours / 24; {
	case hours <= 0:
		return "never"
	case hours < 1:
		return "under 1 h"
	case hours < 36:
		return fmt.Sprintf("%.0f h", hours)
	case days < 10:
		return fmt.Sprintf("%.1f days", days)
	default:
		return fmt.Sprintf("%.0f days", days)
	}
}
