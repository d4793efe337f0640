package serve

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/cmd/internal/ground"
	"wetfeet/cmd/internal/planting"
	"wetfeet/cmd/internal/rewrite"
	"wetfeet/cmd/internal/tomledit"
	"wetfeet/hydro/soil"
	"wetfeet/species"
	"wetfeet/terrain"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// Answers are what the grower answers to the four questions, and the files
// given before.
type answers struct {
	Name  string `json:"name"`
	Units string `json:"units"` // "metric" or "feet"

	Ground    string `json:"ground"`    // elevation raster
	Heights   string `json:"heights"`   // spot heights or a field book
	Positions string `json:"positions"` // planned trees
	Species   string `json:"species"`   // the grower's own table

	Lon *float64 `json:"lon"` // of the peg that heights were taped from
	Lat *float64 `json:"lat"`
	CRS string   `json:"crs"`

	Texture string  `json:"texture"` // empty where it is not known
	Rain    float64 `json:"rain"`    // mm; 0 where it is not known
	Hours   float64 `json:"hours"`

	Plants  []string `json:"plants"`  // along the rows
	Spacing float64  `json:"spacing"` // m
	Apart   float64  `json:"apart"`   // of the rows, m
}

// An opening is what the page for a new site begins with.
type opening struct {
	Folder   string   `json:"folder"`
	Files    []upload `json:"files"`
	Unread   []string `json:"unread"` // why files of the folder cannot be used
	Textures []string `json:"textures"`
	Species  []plant  `json:"species"`
	Writable string   `json:"writable"`
}

// opening tells what the folder of the new site holds already.
func (d *desk) opening(w http.ResponseWriter, _ *http.Request) error {
	if d.o.Dir == "" {
		return statusError{http.StatusNotFound, "", errors.New("no site is begun here")}
	}
	o := opening{Folder: filepath.Base(d.o.Dir), Files: []upload{}, Unread: []string{}, Writable: writable(filepath.Join(d.o.Dir, siteName))}
	there, err := os.ReadDir(d.o.Dir)
	if err != nil {
		return err
	}
	for _, f := range there[:min(len(there), mostFiles)] {
		ext := strings.ToLower(filepath.Ext(f.Name()))
		if !f.Type().IsRegular() || strings.HasPrefix(f.Name(), ".") || ext == ".toml" {
			continue
		}
		u, err := d.lookInto(filepath.Join(d.o.Dir, f.Name()), ext == ".csv" || ext == ".txt")
		if err != nil {
			o.Unread = append(o.Unread, f.Name()+": "+rename(err, filepath.Join(d.o.Dir, f.Name()), f.Name()).Error())
			continue
		}
		u.Name = f.Name()
		o.Files = append(o.Files, u)
	}
	for _, t := range soil.Textures() {
		o.Textures = append(o.Textures, t.Name)
	}
	for _, e := range species.BuiltIn().All() {
		o.Species = append(o.Species, plant{Species: e.Scientific, Common: assess.CommonName(e), Stratum: e.Stratum})
	}
	answer(w, http.StatusOK, o)
	return nil
}

// siteName is the name of a site file that the page begins.
const siteName = "site.toml"

// begin writes the site file of a new site and opens it.
func (d *desk) begin(w http.ResponseWriter, r *http.Request) error {
	if d.o.Dir == "" || d.sheet() != nil {
		return statusError{http.StatusConflict, "", errors.New("a site is open here already")}
	}
	var a answers
	if err := readJSON(r, &a); err != nil {
		return err
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	text, err := d.siteText(r, a)
	if err != nil {
		return err
	}
	path := filepath.Join(d.o.Dir, d.freeName(siteName))
	temp, err := os.CreateTemp(d.o.Dir, ".wetfeet-*.toml")
	if err != nil {
		return unwritable(err)
	}
	defer os.Remove(temp.Name())
	_, err = temp.WriteString(text)
	if err = errors.Join(err, temp.Chmod(0o644), temp.Sync(), temp.Close()); err != nil {
		return unwritable(err)
	}
	done, err := d.turn(r.Context())
	if err != nil {
		return err
	}
	defer done()
	if _, err := d.read(r.Context(), temp.Name()); err != nil {
		return rename(err, temp.Name(), filepath.Base(path))
	}
	if err := os.Rename(temp.Name(), path); err != nil {
		return unwritable(err)
	}
	s, err := d.read(r.Context(), path)
	if err != nil {
		return err
	}
	d.put(s)
	answer(w, http.StatusOK, map[string]string{"file": filepath.Base(path)})
	return nil
}

// inFolder is the path of a file of the folder, which must be there.
func (d *desk) inFolder(name string) (string, error) {
	if name == "" {
		return "", nil
	}
	if name != filepath.Base(name) || strings.HasPrefix(name, ".") {
		return "", fault.Input(fmt.Errorf("%q is not the name of a file of the folder", name))
	}
	path := filepath.Join(d.o.Dir, name)
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return "", fault.Input(fmt.Errorf("there is no file %q in the folder", name))
	}
	return path, nil
}

// siteText is a site file that says what was answered. Whatever was not, it
// names as taken.
func (d *desk) siteText(r *http.Request, a answers) (string, error) {
	var paths [4]string
	var bad []error
	for i, name := range []string{a.Ground, a.Heights, a.Positions, a.Species} {
		var err error
		paths[i], err = d.inFolder(name)
		bad = append(bad, err)
	}
	units, err := quantity.ParseUnits(a.Units)
	if err != nil {
		bad = append(bad, fault.Input(err))
	}
	if a.Ground == "" && a.Heights == "" {
		bad = append(bad, fault.Input(errors.New("where is it? An elevation raster or spot heights are needed")))
	}
	if a.Positions == "" && len(a.Plants) == 0 {
		bad = append(bad, fault.Input(errors.New("which trees? Choose at least one species, or give a file of positions")))
	}
	if a.Texture != "" {
		if _, err := soil.FindTexture(a.Texture); err != nil {
			bad = append(bad, fault.Input(err))
		}
	}
	if a.Rain < 0 || a.Rain > mostRain || a.Rain > 0 && !(a.Hours >= 0.25 && a.Hours <= mostHours) {
		bad = append(bad, fault.Input(fmt.Errorf("a storm of %g mm in %g hours is none that is assessed", a.Rain, a.Hours)))
	}
	if a.Positions == "" && !(a.Spacing >= 0.3 && a.Spacing <= 100 && a.Apart >= 0.5 && a.Apart <= 500) {
		bad = append(bad, fault.Input(fmt.Errorf("plants %g m apart in rows %g m apart cannot be laid out; from 0.3 to 100 m and from 0.5 to 500 m can", a.Spacing, a.Apart)))
	}
	if err := errors.Join(bad...); err != nil {
		return "", err
	}
	source := ground.Source{DEM: paths[0], SpotHeights: paths[1], CRS: a.CRS}
	origin := a.Lon != nil && a.Lat != nil
	if origin {
		if !(math.Abs(*a.Lon) <= 180 && math.Abs(*a.Lat) <= 85) {
			return "", fault.Input(fmt.Errorf("%g, %g is no longitude and latitude", *a.Lon, *a.Lat))
		}
		source.CRS = raster.LocalCRS(*a.Lon, *a.Lat)
	}
	g, err := ground.Load(r.Context(), source)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	line := func(key, value, note string) {
		if note != "" {
			note = "  # " + note
		}
		fmt.Fprintf(&b, "%-12s = %s%s\n", key, value, note)
	}
	name := a.Name
	if name = strings.TrimSpace(name); name == "" {
		name = filepath.Base(d.o.Dir)
	}
	line("name", tomledit.Quote(name), "")
	line("units", tomledit.Quote(units.String()), "")
	switch {
	case origin:
		line("origin", fmt.Sprintf("[%.7f, %.7f]", *a.Lon, *a.Lat), "longitude and latitude of the peg")
	case a.CRS != "":
		line("crs", tomledit.Quote(a.CRS), "")
	default:
		line("crs", tomledit.Quote(g.Grid.CRS), "")
	}
	b.WriteString("\n[ground]\n")
	if a.Ground != "" {
		line("dem", tomledit.Quote(a.Ground), "")
	}
	if a.Heights != "" {
		line("spot_heights", tomledit.Quote(a.Heights), "")
	}
	b.WriteString("\n[soil]\n")
	if a.Texture != "" {
		line("texture", tomledit.Quote(a.Texture), "")
	} else {
		line("texture", `"loam"`, "taken, since nothing was said; a dry-out date you have seen says more")
	}
	b.WriteString("\n[storm]\n")
	rain, hours, note := a.Rain, a.Hours, ""
	if rain == 0 {
		rain, hours, note = 100, 24, "taken, since nothing was said: ask for the rain your place sees once in ten years"
	}
	if units == quantity.Feet {
		line("rain", tomledit.Quote(decimal(rain/25.4, 2)+" in"), note)
	} else {
		line("rain", tomledit.Quote(decimal(rain, 1)+" mm"), note)
	}
	line("duration", tomledit.Quote(decimal(hours, 2)+" h"), "")
	if a.Species != "" {
		b.WriteString("\n[species]\n")
		line("table", tomledit.Quote(a.Species), "")
	}
	if a.Positions != "" {
		b.WriteString("\n[trees]\n")
		line("positions", tomledit.Quote(a.Positions), "")
		return b.String(), nil
	}
	rows := layRows(g.Grid, a.Spacing, a.Apart)
	if len(rows) == 0 {
		return "", fault.Input(errors.New("no row fits on the known ground; bring plants and rows closer together"))
	}
	if !origin && a.CRS != "" {
		for _, row := range rows {
			if err := assess.Move(g.Grid.CRS, a.CRS, row); err != nil {
				return "", err
			}
		}
	}
	was := assess.Plan{Units: units, CRS: a.CRS}
	if was.CRS == "" {
		was.CRS = g.Grid.CRS
	}
	now := was
	for i, row := range rows {
		now.Rows = append(now.Rows, planting.Row{Name: letters(i), Line: row, Spacing: a.Spacing, Pattern: a.Plants})
	}
	return rewrite.Site(b.String(), was, now)
}

// decimal writes a figure with no more decimals than so many.
func decimal(v float64, digits int) string {
	return strconv.FormatFloat(round(v, digits), 'f', -1, 64)
}

// letters names the rows A, B, ... Z, AA, AB and so on.
func letters(i int) string {
	name := ""
	for i++; i > 0; i = (i - 1) / 26 {
		name = string(rune('A'+(i-1)%26)) + name
	}
	return name
}

// mostLaid is how many rows are laid for a grower to begin with.
const mostLaid = 60

// layRows lays rows along the longer side of the known ground, each over the
// longest stretch of it that is known, a spacing away from its end.
func layRows(g *terrain.Grid[float32], spacing, apart float64) []orb.LineString {
	north, south, west, east := g.Rows, -1, g.Cols, -1
	for r := range g.Rows {
		if first, last, ok := terrain.KnownSpan(g.Row(r)); ok {
			north, south = min(north, r), r
			west, east = min(west, first), max(east, last)
		}
	}
	if south < 0 {
		return nil
	}
	wide, high := float64(east-west+1)*g.CellSize, float64(south-north+1)*g.CellSize
	x0, y1 := g.West+float64(west)*g.CellSize, g.North-float64(north)*g.CellSize
	along, across := wide, high
	at := func(s, t float64) orb.Point { return orb.Point{x0 + s, y1 - t} }
	if high > wide {
		along, across = high, wide
		at = func(s, t float64) orb.Point { return orb.Point{x0 + t, y1 - s} }
	}
	n := min(int(across/apart), mostLaid)
	var rows []orb.LineString
	for k := range n {
		t := (across-float64(n-1)*apart)/2 + float64(k)*apart
		best, from, begun := [2]float64{}, 0.0, false
		for s := 0.0; s <= along+g.CellSize; s += g.CellSize {
			row, col, ok := g.Locate(at(s, t))
			known := ok && s <= along && !terrain.IsVoid(g.At(row, col))
			if known && !begun {
				from, begun = s, true
			}
			if !known && begun {
				if s-from > best[1]-best[0] {
					best = [2]float64{from, s}
				}
				begun = false
			}
		}
		a, b := best[0]+spacing, best[1]-spacing
		if b-a >= spacing {
			rows = append(rows, orb.LineString{at(a, t), at(b, t)})
		}
	}
	return rows
}
