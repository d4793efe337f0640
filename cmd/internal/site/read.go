package site

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
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
	{" at the top of the file", []string{"name", "invented", "units", "crs", "origin", "ground", "soil", "storm", "season", "odds", "learned", "link", "well", "work", "trees", "tree", "species", "row"}},
	{" in [ground]", []string{"dem", "spot_heights", "later", "lines", "surface", "cell", "boundary", "vertical_error", "error_range"}},
	{" in [soil]", []string{"texture", "hydrologic_group", "infiltration", "cover", "curve_number", "impervious", "test", "moisture", "drained", "model", "zone", "water_table", "water_table_at", "root_rot"}},
	{" in [[soil.zone]]", []string{"name", "area", "texture", "hydrologic_group", "infiltration", "cover", "curve_number", "impervious", "test", "root_rot"}},
	{" in [[soil.test]]", []string{"kind", "diameter", "depth", "drop", "time", "insertion", "rate", "water"}},
	{" in [storm]", []string{"rain", "duration", "distribution", "hyetograph", "gauge", "frequency", "return_period", "month", "soil_temperature", "dormant", "moving_water"}},
	{" in [season]", []string{"rain", "growing", "gaps", "return_period"}},
	{" in [odds]", []string{"draws", "seed", "target", "season"}},
	{" in [learned]", []string{"book", "soaking", "soaking_spread", "water_table", "datum", "datum_error", "well", "species", "ground"}},
	{" in [[learned.well]]", []string{"at", "depth", "date"}},
	{" in [[learned.species]]", []string{"name", "factor"}},
	{" in [[learned.ground]]", []string{"at", "z", "error"}},
	{" in [[link]]", []string{"name", "kind", "line", "from", "to", "invert", "outlet", "depth", "capacity"}},
	{" in [[well]]", []string{"name", "at", "depth", "date"}},
	{" in [[work]]", []string{"name", "kind", "at", "line", "height", "width"}},
	{" in [trees]", []string{"positions", "age"}},
	{" in [[tree]]", []string{"id", "species", "mound", "trial", "fixed", "at", "age", "rootstock"}},
	{" in [species]", []string{"table", "rootstock"}},
	{" in [[row]]", []string{"name", "line", "spacing", "pattern", "gaps", "age"}},
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
		{"invented", func(n node) { s.Invented = n.flag() }},
		{"ground", s.Ground.read},
		{"soil", s.Soil.read},
		{"storm", s.Storm.read},
		{"season", s.Season.read},
		{"odds", s.Odds.read},
		{"learned", s.Learned.read},
		{"link", s.links},
		{"well", s.wells},
		{"work", s.works},
		{"trees", func(n node) {
			n.table([]field{
				{"positions", func(n node) { s.Trees.Positions = n.file() }},
				{"age", func(n node) { s.Trees.Age = n.age() }},
			})
		}},
		{"tree", s.trees},
		{"species", func(n node) {
			n.table([]field{
				{"table", func(n node) { s.Species.Table = n.file() }},
				{"rootstock", func(n node) { s.Species.Rootstocks = n.rootstocks() }},
			})
		}},
		{"row", s.rows},
	})
}

func (g *Ground) read(n node) {
	n.table([]field{
		{"dem", func(n node) { g.DEM = n.file() }},
		{"spot_heights", func(n node) { g.SpotHeights = n.file() }},
		{"later", func(n node) {
			later, ok := n.list("a list of files is needed, later surveys in their order, such as [\"after-mounds.csv\"]")
			if !ok {
				return
			}
			for _, file := range later {
				g.Later = append(g.Later, file.file())
			}
		}},
		{"lines", func(n node) { g.Lines = n.file() }},
		{"surface", func(n node) {
			switch t, ok := n.text(`"kriging" or "triangles" is needed`); {
			case !ok, t == "kriging":
			case t == "triangles":
				g.Triangles = true
			default:
				n.fail(`%q is no kind of surface; "kriging" or "triangles" is needed`, t)
			}
		}},
		{"boundary", func(n node) { g.Boundary = n.file() }},
		{"cell", func(n node) { g.Cell, _ = n.positive(quantity.Length, "0.5 m") }},
		{"vertical_error", func(n node) { g.VerticalError, _ = n.positive(quantity.Length, "5 cm") }},
		{"error_range", func(n node) { g.ErrorRange, _ = n.positive(quantity.Length, "15 m") }},
	})
}
