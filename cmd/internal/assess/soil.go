package assess

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro/season"
	"wetfeet/hydro/soil"
	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
)

const (
	// defaultTexture lies in the middle of the textures.
	defaultTexture = "loam"

	// defaultCover is what most orchards of mixed rows are.
	defaultCover = "orchard, grassed, good"

	// rootZone is the depth of soil most feeder roots of young trees are in,
	// m; common practice, no source.
	rootZone = 0.3

	// seasonRoots is the depth of the root zone whose soil moisture is
	// accounted through the years, m: that of a young orchard under grass;
	// common practice, no source.
	seasonRoots = 0.6
)

// A Soil is the soil of the site, or of one of its zones, as the storm and the
// seasons take it.
type Soil struct {
	Name      string // of the zone; empty for the rest of the site
	Known     soil.Known
	Rate      soil.Rate // at which standing water soaks in
	Drainable soil.Drainable
	Curve     soil.Curve
	GreenAmpt *soil.GreenAmpt // nil where the curve number tells what runs off
	Rot       bool            // root rot is known in it

	said []string // what was assumed, in words without capital and stop
}

// soils are the soil of the site and of each of its zones, in that order, and
// the sentences of what was taken for what nobody said.
func (p Plan) soils() ([]Soil, []string, error) {
	var assumed []string
	rest := p.Soil
	if rest.Texture == "" && rest.Group == "" && rest.Measured == 0 && len(p.Tests) == 0 {
		rest.Texture = defaultTexture
		assumed = append(assumed, "Nothing was said of the soil: loam was taken.")
	}
	if rest.Cover == "" {
		rest.Cover = defaultCover
	}
	if p.Soil.Cover == "" && p.Curve == 0 && !p.GreenAmpt {
		assumed = append(assumed, fmt.Sprintf("Nothing was said of what grows on the ground: %q was taken.", defaultCover))
	}
	zones := append([]Zone{{Soil: rest, Tests: p.Tests, Curve: p.Curve, Rot: p.Conditions.Rot}}, p.Zones...)
	var soils []Soil
	var bad []error
	for _, z := range zones {
		s := Soil{Name: z.Name, Known: z.Soil, Rot: z.Rot}
		if s.Known.Cover == "" {
			s.Known.Cover = rest.Cover
		}
		if s.Known.Texture == "" && s.Known.Group == "" && s.Known.Measured == 0 && len(z.Tests) == 0 {
			s.Known.Texture, s.Known.Group, s.Known.Measured, z.Tests = rest.Texture, rest.Group, rest.Measured, p.Tests
		}
		if len(z.Tests) > 0 {
			s.Rate = tested(z.Tests)
			s.Known.Measured = s.Rate.Median
		}
		if wrong := s.Known.Check(); len(wrong) > 0 {
			bad = append(bad, wrong...)
			continue
		}
		if len(z.Tests) == 0 {
			s.Rate = s.Known.Rate()
		}
		s.Drainable = s.Known.Drainable()
		if s.Curve, s.said = s.Known.Curve(); z.Curve != 0 {
			s.Curve.CN, s.said = z.Curve, []string{fmt.Sprintf("curve number %g, as given", z.Curve)}
			if err := s.Curve.Check(); err != nil {
				bad = append(bad, err)
				continue
			}
		}
		if p.GreenAmpt {
			var g soil.GreenAmpt
			g, s.said = s.Known.GreenAmpt()
			s.GreenAmpt = &g
		}
		soils = append(soils, s)
	}
	if len(bad) > 0 {
		return nil, nil, fault.Input(errors.Join(bad...))
	}
	p.learnedSoaking(soils)
	return soils, assumed, nil
}

// tested is what several field tests say together: their geometric mean, with
// the doubt of soil.Measured widened by what each method leaves open.
func tested(tests []soil.Rate) soil.Rate {
	var medians []float64
	wider := 0.0
	for _, t := range tests {
		medians = append(medians, t.Median)
		wider += max(0, t.Spread*t.Spread-math.Pow(soil.Measured(1).Spread, 2))
	}
	r := soil.Measured(medians...)
	n := float64(len(tests))
	r.Spread = math.Sqrt(r.Spread*r.Spread + wider/(n*n))
	var sources []string
	for _, t := range tests {
		if !slices.Contains(sources, t.Source) {
			sources = append(sources, t.Source)
		}
	}
	if n > 1 {
		r.Source = fmt.Sprintf("the geometric mean of %d tests: %s", len(tests), strings.Join(sources, "; "))
	} else {
		r.Source = sources[0]
	}
	return r
}

// loss is what the ground keeps of a storm.
func (s *Soil) loss() soil.Loss {
	if s.GreenAmpt != nil {
		return s.Known.Loss(*s.GreenAmpt)
	}
	return s.Known.Loss(s.Curve)
}

// runoff is how much of so much rain runs off, mm, where it falls as a storm
// does.
func (s *Soil) runoff(rain weather.Hyetograph, mm float64) float64 {
	if s.GreenAmpt == nil {
		return (1-s.Known.Impervious)*s.Curve.Runoff(mm) + s.Known.Impervious*mm
	}
	scaled := rain.Scale(mm)
	sum := 0.0
	for _, e := range s.loss().Excess(nil, scaled.Rain, scaled.Hours) {
		sum += e
	}
	return sum
}

// soaking is how fast standing water sinks, mm/h: nothing soaks in through a
// roof or a pavement.
func (s *Soil) soaking() float64 { return s.Rate.Median * (1 - s.Known.Impervious) }

// quantile is the rate below which that of soaking lies with a probability.
func (s *Soil) quantile(p float64) float64 { return s.Rate.Quantile(p) * (1 - s.Known.Impervious) }

// roots are those of a tree on the level.
func (s *Soil) roots() storm.Roots { return s.rootsOf(s.Rate.Median) }

// season is the soil as a bucket. Green-Ampt minds how hard it rains, which a
// day's sum does not say.
func (s *Soil) season(hourly bool) (season.Zone, []string) {
	z, said := season.ZoneOf(s.Known, seasonRoots)
	z.Drainage = s.Rate.Median
	if z.Curve.CN != s.Curve.CN { // as given
		z.Curve.CN = s.Curve.CN
		said = said[len(said)-1:] // what was taken for the moisture
	}
	if s.GreenAmpt != nil && hourly {
		z.GreenAmpt = s.GreenAmpt
	}
	return z, said
}

// sentence makes one of words that begin small and end without a stop, and
// says of which zone they are.
func (s *Soil) sentence(words string) string {
	if s.Name != "" {
		return "Zone " + s.Name + ": " + words + "."
	}
	return sentence(words)
}

// told is all that is to be said of the soil in a storm of so much rain, in
// words without capital and stop.
func (s *Soil) told(rain, runoff float64, u quantity.Units) []string {
	out := slices.Clone(s.said)
	if before := s.Known.Before; s.GreenAmpt == nil && before != soil.AverageBefore {
		name, way := "dry", "down"
		if before == soil.WetBefore {
			name, way = "wet", "up"
		}
		out = append(out, fmt.Sprintf("the ground was said to be %s before the storm, which brings the curve number %s from %.0f to %.0f (antecedent condition %v)", name, way, s.Curve.CN, soil.Antecedent(s.Curve.CN, before), before))
	}
	if s.Known.Impervious > 0 {
		out = append(out, fmt.Sprintf("%.0f %% of the ground is roofed or paved, and all rain on that runs off", 100*s.Known.Impervious))
	}
	return append(out,
		fmt.Sprintf("standing water soaks in at %s: %s. One time in ten it is slower than %s, and one in ten faster than %s. A dry-out date you have seen says more than any map",
			quantity.FormatRate(s.soaking(), u), s.Rate.Source, quantity.FormatRate(s.quantile(0.1), u), quantity.FormatRate(s.quantile(0.9), u)),
		fmt.Sprintf("once the water is off the ground, roots stay wet until the top %s of soil have drained; %.2g %% of its volume is water that drains (%s)",
			quantity.FormatDepth(rootZone, u), 100*s.Drainable.Likely, s.Drainable.Source),
		fmt.Sprintf("of %s of rain %s; the rest soaks in where it falls or is caught by leaves and litter",
			quantity.FormatRain(rain, u), runsOff(runoff, u)))
}

// sentence makes one of words that begin small and end without a stop.
func sentence(words string) string {
	return wording.Capital(words) + "."
}

// zones is in which soil every cell lies; of zones that overlap the last
// counts. It is nil where the site has one soil.
func (p Plan) zones(f terrain.Frame) (*terrain.Grid[uint8], error) {
	if len(p.Zones) == 0 {
		return nil, nil
	}
	g := terrain.NewGrid[uint8](f)
	for i, z := range p.Zones {
		in, err := ground.Within(f, z.Area)
		if err != nil {
			return nil, fault.Input(fmt.Errorf("soil zone %q: %w", z.Name, err))
		}
		any := false
		for k, yes := range in.Cells {
			if yes {
				g.Cells[k] = uint8(i + 1)
				any = true
			}
		}
		if !any {
			return nil, fault.Input(fmt.Errorf("soil zone %q: its area covers no cell of the ground; is it in longitude and latitude?", z.Name))
		}
	}
	return g, nil
}
