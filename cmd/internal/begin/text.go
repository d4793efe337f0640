package begin

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/tomledit"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// A page is the text of a site file as it grows.
type page struct {
	strings.Builder
	units quantity.Units
}

// say writes a remark, a line for each line of text.
func (p *page) say(format string, args ...any) {
	for line := range strings.Lines(fmt.Sprintf(format, args...)) {
		fmt.Fprintf(p, "# %s\n", strings.TrimSpace(line))
	}
}

// key writes a key, its value and a remark behind it.
func (p *page) key(key, value, remark string) {
	fmt.Fprintf(p, "%s = %s", key, value)
	if remark != "" {
		fmt.Fprintf(p, "  # %s", remark)
	}
	p.WriteByte('\n')
}

// could writes a key that is not in use.
func (p *page) could(key, value, remark string) {
	p.WriteString("# ")
	p.key(key, value, remark)
}

// by is the one of two texts that has the grower's units.
func (p *page) by(metric, feet string) string {
	if p.units == quantity.Feet {
		return feet
	}
	return metric
}

func length(m float64, u quantity.Units) string {
	if u == quantity.Feet {
		return decimal(m/0.3048, 1) + " ft"
	}
	return decimal(m, 2) + " m"
}

// written is a length in metres as length writes it, so that what is laid by
// it is what the site file says.
func written(m float64, u quantity.Units) float64 {
	if u == quantity.Feet {
		return math.Round(m/0.3048*10) / 10 * 0.3048
	}
	return math.Round(m*100) / 100
}

// write is the text of the site file: said is what was answered, a what that
// and what was taken come to.
func (l *Land) write(d *Draft, said, a Answers) (string, error) {
	p := &page{units: a.Units}
	var names []string
	for _, f := range append(d.files, l.lists...) {
		names = append(names, f.Name)
	}
	p.say("%s: a site for wetfeet, begun from %s.", d.Name, strings.Join(names, ", "))
	p.say("Change what you know better and save. Text behind a # is a remark; take the # away\nfrom before a key to use it. Lengths carry a unit: \"4.5 m\", \"15 ft\", \"150 mm\", \"6 in\".\n")
	p.say("  wetfeet serve site.toml             the map to plan on, in the browser\n  wetfeet assess site.toml --out DIR  the report, sheets to carry, files for the telephone")
	p.WriteByte('\n')
	p.key("name", tomledit.Quote(d.Name), "")
	p.key("units", tomledit.Quote(a.Units.String()), "of bare numbers and of all that is shown; "+p.by(`or "feet"`, `or "metric"`))

	p.where(l)
	p.ground(l)
	p.soil(d, said, a)
	p.storm(d, said, a)
	if err := p.trees(l, d, said, a); err != nil {
		return "", err
	}
	return p.String(), nil
}

func (p *page) heading(n int, question, about string) {
	fmt.Fprintf(p, "\n# %d. %s\n", n, question)
	p.say("%s", about)
}

func (p *page) where(l *Land) {
	p.heading(1, "Where is it?", "The system that x and y in this file are in.")
	switch {
	case l.origin != nil:
		p.key("origin", fmt.Sprintf("[%.7f, %.7f]", l.origin[0], l.origin[1]), "longitude and latitude of the peg that x (east) and y (north) are measured from")
	case l.crs != "":
		remark := systemName(l.crs)
		if !l.named {
			remark += ", the system of the ground"
		}
		p.key("crs", tomledit.Quote(l.crs), plain(remark))
	default:
		p.say("Places are longitude and latitude, WGS 84, since the system of the ground has no code.")
	}
}

func (p *page) ground(l *Land) {
	p.WriteString("\n[ground]\n")
	if f := l.files[Raster]; f != nil {
		p.key("dem", tomledit.Quote(f.Name), f.Words)
	}
	if f := l.heights(); f != nil {
		remark := f.Words
		if l.files[Raster] != nil {
			remark += ", which correct the raster"
		}
		p.key("spot_heights", tomledit.Quote(f.Name), remark)
	}
	if f := l.files[Boundary]; f != nil {
		p.key("boundary", tomledit.Quote(f.Name), f.Words)
	} else {
		p.say("All ground that is known is the site. An outline in GeoJSON would cut it to yours: boundary = \"FILE\".")
	}
	p.could("cell", tomledit.Quote(length(l.ground.Grid.CellSize, p.units)), "side of a cell; this is what was taken")
	p.could("vertical_error", p.by(`"3 cm"`, `"1.2 in"`), "of the heights, one standard deviation; read off them unless you say it")
}

func (p *page) soil(d *Draft, said, a Answers) {
	p.heading(2, "Which soil?", "How fast standing water soaks in. A texture tells it to a factor of ten at best; a hole filled\nwith water and timed says more, and a dry-out date you have seen says most: wetfeet log.")
	p.WriteString("[soil]\n")
	switch {
	case said.Soil == "":
		a.Soil = DefaultTexture
		d.Told = append(d.Told, "The soil is taken as loam, since nothing was said of it.")
		p.key("texture", tomledit.Quote(a.Soil), "TAKEN, since nothing was said")
	case said.Soil != a.Soil:
		p.key("texture", tomledit.Quote(a.Soil), "a moist handful: "+plain(said.Soil))
	default:
		p.key("texture", tomledit.Quote(a.Soil), "")
	}
	p.could("infiltration", p.by(`"12 mm/h"`, `"0.5 in/h"`), "measured with a ring or a hole: wins over the texture")
	p.could("water_table", p.by(`"0.9 m"`, `"3 ft"`), "depth to the water table in the wet season, where you know it")
	p.could("cover", `"orchard, grassed, good"`, "what grows there: how much runs off")
	p.could("root_rot", "true", "known in this soil: trees bear half the days")
}

func (p *page) storm(d *Draft, said, a Answers) {
	p.heading(3, "Which storm?", "Ask the local weather service for the rain your place sees in a day once in ten years.")
	p.WriteString("[storm]\n")
	remark := ""
	if said.Rain == 0 {
		a.Rain, remark = DefaultRain(a.Units), "TAKEN, since nothing was said"
	}
	rain := decimal(a.Rain, 1) + " mm"
	if a.Units == quantity.Feet {
		rain = decimal(a.Rain/25.4, 2) + " in"
	}
	if said.Rain == 0 {
		d.Told = append(d.Told, "The storm is taken as "+rain+" of rain, a round figure, since nothing was said of it.")
	}
	p.key("rain", tomledit.Quote(rain), remark)
	remark = ""
	if said.Duration == 0 {
		a.Duration, remark = DefaultDuration, "TAKEN, since nothing was said"
		d.Told = append(d.Told, "The rain is taken to fall evenly over 24 h.")
	}
	p.key("duration", tomledit.Quote(hours(a.Duration)), remark)
	p.could("distribution", `"type II"`, `how a storm of 24 h rises and falls; "even" unless you say it`)
	p.could("month", `"January"`, "when it comes: tells the soil's warmth and rest from a record of temperatures in [season]")
	p.could("soil_temperature", p.by(`"10 °C"`, `"50 °F"`), "around the roots then; taken as "+p.by("20 °C", "68 °F")+" unless you say it")
	p.could("dormant", "true", "it finds trees at rest; taken as in leaf unless you or the month say it")
	p.could("moving_water", "true", "it flows past the trees; taken as standing still unless you say it")
}

func hours(d time.Duration) string { return decimal(d.Hours(), 2) + " h" }

func (p *page) trees(l *Land, d *Draft, said, a Answers) error {
	p.heading(4, "Which trees?", "Each is held against what its species bears.")
	if f := l.files[Own]; f != nil {
		p.WriteString("[species]\n")
		p.key("table", tomledit.Quote(f.Name), f.Words+", before the built-in one")
		p.could("rootstock", `{ "Malus domestica" = "M16" }`, "what a species is grafted on")
		p.WriteByte('\n')
	}
	if f := l.files[Positions]; f != nil {
		p.WriteString("[trees]\n")
		p.key("positions", tomledit.Quote(f.Name), f.Words)
		p.could("age", `"5 years"`, "since planting; taken as newly planted unless you or a column age says it")
		return nil
	}
	p.say("These rows were laid for you to begin with: move, cut and change them, here or on the map.\nThe pattern repeats along the row; \"-\" leaves a place empty. Keep clear of buildings, lines\nover and under ground, and boundaries: nothing here knows of them.")
	for i, row := range d.Rows {
		if i > 0 {
			p.WriteByte('\n')
		}
		line, err := l.line(row.Line, a.Units)
		if err != nil {
			return err
		}
		p.WriteString("[[row]]\n")
		p.key("name", tomledit.Quote(row.Name), "")
		p.key("line", line, "")
		remark := ""
		if i == 0 && said.Spacing == 0 {
			remark = "TAKEN: any two neighbours have half of the room each wants"
		}
		p.key("spacing", tomledit.Quote(length(row.Spacing, a.Units)), remark)
		p.key("pattern", pattern(row.Pattern), "")
		if i == 0 {
			p.could("gaps", p.by(`[["20 m", "24 m"]]`, `[["60 ft", "75 ft"]]`), "a gate or a crossing, from and to along the row: nothing is planted there")
			p.could("age", `"5 years"`, "since planting; taken as newly planted unless you say it")
		}
	}
	return nil
}

// line is a line as the site file has coordinates.
func (l *Land) line(line orb.LineString, u quantity.Units) (string, error) {
	to, digits, unit := raster.LonLatCRS, 8, 1.0
	switch {
	case l.origin != nil:
		to, digits, unit = raster.LocalCRS(l.origin[0], l.origin[1]), 2, u.Metres()
	case l.crs != "":
		to = l.crs
		if info, err := raster.Describe(l.crs); err == nil && !info.Geographic {
			digits = 2
		}
	}
	at := line.Clone()
	if err := assess.Move(l.ground.Grid.CRS, to, at); err != nil {
		return "", err
	}
	var b []string
	for _, q := range at {
		b = append(b, fmt.Sprintf("[%s, %s]", strconv.FormatFloat(q[0]/unit, 'f', digits, 64), strconv.FormatFloat(q[1]/unit, 'f', digits, 64)))
	}
	return "[" + strings.Join(b, ", ") + "]", nil
}

func pattern(names []string) string {
	var b []string
	for _, n := range names {
		b = append(b, tomledit.Quote(n))
	}
	if s := strings.Join(b, ", "); len(s) <= 90 {
		return "[" + s + "]"
	}
	return "[\n  " + strings.Join(b, ",\n  ") + ",\n]"
}

// plain is text for a remark: one line.
func plain(s string) string {
	s = strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)), " ")
	if r := []rune(s); len(r) > 100 {
		s = string(r[:100]) + "…"
	}
	return s
}
