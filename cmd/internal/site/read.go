package site

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/quantity"

	"github.com/BurntSushi/toml"
)

const maxBytes = 1 << 20 // of a site file

// Read reads a site file. Names of files in it are taken from its own folder
// and must be there. All mistakes come as one error, marked as the fault of an
// input; an error that is not so marked is the machine's.
func Read(path string) (*Site, error) {
	file, err := Find(".", path)
	if err != nil {
		return nil, err
	}
	f, err := os.Open(file.Path)
	if errors.Is(err, fs.ErrPermission) {
		return nil, fault.Input(fmt.Errorf("%s may not be read", quote(path)))
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file.Name, err)
	}
	s, err := parse(string(data), file)
	if err != nil {
		return nil, err
	}
	return s, nil
}

// parse reads the text of a site file.
func parse(text string, file File) (*Site, error) {
	r := &reading{name: file.Name, folder: filepath.Dir(file.Path)}
	if len(text) > maxBytes {
		return nil, fault.Input(fmt.Errorf("%s: is larger than %d MiB; is this a site file?", r.name, maxBytes>>20))
	}
	text = strings.TrimPrefix(text, "\ufeff")
	var err error
	if r.lines, err = locate(text); err != nil {
		return nil, fault.Input(fmt.Errorf("%s: %w; at most %d deep is read", r.name, err, maxDepth))
	}
	values := map[string]any{}
	if _, err := toml.Decode(text, &values); err != nil {
		if wrong, ok := errors.AsType[toml.ParseError](err); ok {
			// Counted here: for a line that ends too early the library's own
			// count is one too many.
			line := 1 + strings.Count(text[:max(0, min(wrong.Position.Start, len(text)))], "\n")
			err = fmt.Errorf("%s:%d: %s", r.name, line, shorten(strings.TrimSuffix(wrong.Message, ".")))
		} else {
			err = fmt.Errorf("%s: %w", r.name, err)
		}
		return nil, fault.Input(err)
	}
	s := &Site{File: file}
	s.read(node{r, "", "", values})
	if err := r.bad.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// tables is every key by the table it belongs in, for advice on a key that
// stands in the wrong one. A test holds it to what the readers below read.
var tables = []struct {
	where string // completes `the nearest is "cell" ...`
	keys  []string
}{
	{" at the top of the file", []string{"name", "invented", "units", "crs", "origin", "ground", "soil", "storm", "season", "trees", "species", "row"}},
	{" in [ground]", []string{"dem", "spot_heights", "cell", "boundary", "vertical_error", "error_range"}},
	{" in [soil]", []string{"texture", "hydrologic_group", "infiltration", "cover", "water_table", "water_table_at"}},
	{" in [storm]", []string{"rain", "duration"}},
	{" in [season]", []string{"rain"}},
	{" in [trees]", []string{"positions"}},
	{" in [species]", []string{"table"}},
	{" in [[row]]", []string{"name", "line", "spacing", "pattern", "gaps"}},
}

// system is an authority code, such as EPSG:32614 or EPSG:32614+5703, or the
// first word of a coordinate system written out as WKT.
var system = regexp.MustCompile(`(?s)^([A-Za-z][A-Za-z0-9]*:[0-9A-Za-z.+]+|[A-Z]+(CRS|CS)\[.*\])$`)

// read takes the top of the file, units, crs and origin first, since the rest
// is read by them.
func (s *Site) read(n node) {
	n.lonLat = true
	n.table([]field{
		{"units", func(n node) {
			if t, ok := n.text(`"metric" or "feet" is needed`); ok {
				u, err := quantity.ParseUnits(t)
				n.failed(err)
				s.Units, n.units = u, u
			}
		}},
		{"crs", func(n node) {
			n.reading.lonLat = false // whatever it is, it is not nothing
			c, ok := n.value.(string)
			if c = strings.TrimSpace(c); !ok || !system.MatchString(c) || len(c) > 16<<10 {
				n.fail(`found %s; a code such as "EPSG:32614" is needed, or nothing for longitude and latitude`, describe(n.value))
				return
			}
			s.CRS = c
		}},
		{"origin", func(n node) {
			n.reading.lonLat = true // of the origin itself
			p, ok := n.point()
			n.reading.lonLat, n.reading.scale = false, s.Units.Metres() // of all that is measured from it
			if !ok {
				return
			}
			if s.CRS != "" {
				n.fail(`a site has either a crs or an origin; coordinates measured from an origin need no crs`)
				return
			}
			s.Origin = &p
		}},
		{"name", func(n node) { s.Name, _ = n.text("the name of the site is needed") }},
		{"invented", func(n node) {
			ok := false
			if s.Invented, ok = n.value.(bool); !ok {
				n.fail("found %s; true or false is needed, without quotes", describe(n.value))
			}
		}},
		{"ground", s.Ground.read},
		{"soil", s.Soil.read},
		{"storm", func(n node) {
			n.table([]field{
				{"rain", func(n node) { s.Storm.Rain, _ = n.positive(quantity.Rain, "150 mm") }},
				{"duration", func(n node) { s.Storm.Duration, _ = n.duration() }},
			})
		}},
		{"season", func(n node) { n.table([]field{{"rain", func(n node) { s.Season.Rain = n.file() }}}) }},
		{"trees", func(n node) { n.table([]field{{"positions", func(n node) { s.Trees.Positions = n.file() }}}) }},
		{"species", func(n node) { n.table([]field{{"table", func(n node) { s.Species.Table = n.file() }}}) }},
		{"row", s.rows},
	})
}

func (g *Ground) read(n node) {
	n.table([]field{
		{"dem", func(n node) { g.DEM = n.file() }},
		{"spot_heights", func(n node) { g.SpotHeights = n.file() }},
		{"boundary", func(n node) { g.Boundary = n.file() }},
		{"cell", func(n node) { g.Cell, _ = n.positive(quantity.Length, "0.5 m") }},
		{"vertical_error", func(n node) { g.VerticalError, _ = n.positive(quantity.Length, "5 cm") }},
		{"error_range", func(n node) { g.ErrorRange, _ = n.positive(quantity.Length, "15 m") }},
	})
}

// textures are the twelve classes of the USDA texture triangle.
var textures = []string{
	"sand", "loamy sand", "sandy loam", "loam", "silt loam", "silt",
	"sandy clay loam", "clay loam", "silty clay loam", "sandy clay", "silty clay", "clay",
}

// Texture is the class of soil texture that a person named, in any case. The
// error offers the nearest.
func Texture(s string) (string, error) {
	t := strings.Join(strings.Fields(strings.ToLower(s)), " ")
	if slices.Contains(textures, t) {
		return t, nil
	}
	near, _ := nearest(t, textures)
	return "", fmt.Errorf("%s is not a soil texture; the nearest is %s, and known are %s", quote(s), quote(near), list(textures, "and"))
}

var groups = []string{"A", "B", "C", "D", "A/D", "B/D", "C/D"}

func (soil *Soil) read(n node) {
	n.table([]field{
		{"texture", func(n node) {
			if t, ok := n.text(`the name of a soil texture is needed, such as "sandy loam"`); ok {
				var err error
				soil.Texture, err = Texture(t)
				n.failed(err)
			}
		}},
		{"hydrologic_group", func(n node) {
			g, _ := n.value.(string)
			if g = strings.ToUpper(strings.TrimSpace(g)); !slices.Contains(groups, g) {
				n.fail("found %s; one of %s is needed", describe(n.value), list(groups, "or"))
				return
			}
			soil.HydrologicGroup = g
		}},
		{"infiltration", func(n node) { soil.Infiltration, _ = n.positive(quantity.Rate, "12 mm/h") }},
		{"cover", func(n node) { soil.Cover, _ = n.text(`words are needed, such as "orchard, grassed, good"`) }},
		{"water_table", func(n node) {
			if d, ok := n.quantity(quantity.Length, "0.9 m"); ok {
				soil.WaterTable = &d
			}
		}},
		{"water_table_at", func(n node) {
			if p, ok := n.point(); ok {
				soil.WaterTableAt = &p
			}
		}},
	})
	if t, ok := n.value.(map[string]any); ok && t["water_table_at"] != nil && t["water_table"] == nil {
		n.fail("says where the water table was seen but not how deep; give water_table too")
	}
}
