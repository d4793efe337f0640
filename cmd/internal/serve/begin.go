package serve

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"wetfeet/cmd/internal/begin"
	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/soil"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Answers are what the grower answers to the four questions. What is left out
// is taken.
type answers struct {
	Folder string `json:"folder"` // to be made, where the page may say it
	Name   string `json:"name"`
	Units  string `json:"units"` // "metric" or "feet"

	Lon *float64 `json:"lon"` // of the peg that heights were taped from
	Lat *float64 `json:"lat"`
	CRS string   `json:"crs"`

	Soil  string  `json:"soil"`
	Rain  float64 `json:"rain"` // mm
	Hours float64 `json:"hours"`

	Plants  []string `json:"plants"`  // along the rows
	Spacing float64  `json:"spacing"` // m
	Apart   float64  `json:"apart"`   // of the rows, m
	Rows    int      `json:"rows"`
}

func (a answers) read() (begin.Answers, error) {
	var bad fault.List
	units, err := quantity.ParseUnits(a.Units)
	if err != nil {
		bad.Add(0, "%v", err)
	}
	out := begin.Answers{
		Name: a.Name, Units: units, CRS: strings.TrimSpace(a.CRS), Soil: strings.TrimSpace(a.Soil), Rain: a.Rain,
		Spacing: a.Spacing, Apart: a.Apart, Rows: a.Rows, Plants: a.Plants,
	}
	if !(math.Abs(a.Hours) <= mostHours) {
		bad.Add(0, "storm: found %g hours; up to %d are taken", a.Hours, mostHours)
	} else {
		out.Duration = time.Duration(a.Hours * float64(time.Hour))
	}
	switch {
	case a.Lon != nil && a.Lat != nil:
		out.Origin = &orb.Point{*a.Lon, *a.Lat}
	case a.Lon != nil || a.Lat != nil:
		bad.Add(0, "where: both longitude and latitude are needed")
	}
	if len(a.Plants) > mostPattern {
		bad.Add(0, "trees: %d species in turn; up to %d are taken", len(a.Plants), mostPattern)
	}
	return out, bad.Err()
}

const mostPattern = 500

// An opening is what the page for a new site begins with.
type opening struct {
	Folder   string             `json:"folder"` // of the new site; empty where it is asked for
	Parent   string             `json:"parent"` // name of the folder it will be in
	Files    []given            `json:"files"`
	Textures []string           `json:"textures"`
	Handfuls []begin.Handful    `json:"handfuls"`
	Species  []plant            `json:"species"`
	Rain     map[string]float64 `json:"rain"` // taken, mm, by units
	Hours    float64            `json:"hours"`
	Most     int64              `json:"most"` // bytes of an upload
	Writable string             `json:"writable"`
}

// opening tells what was given already and what may be answered.
func (d *desk) opening(w http.ResponseWriter, _ *http.Request) error {
	if err := d.beginning(); err != nil {
		return err
	}
	where, err := filepath.Abs(d.o.Dir)
	if err != nil {
		return err
	}
	o := opening{
		Files: []given{}, Handfuls: begin.Handfuls(), Hours: begin.DefaultDuration.Hours(), Most: mostUpload,
		Rain: map[string]float64{"metric": begin.DefaultRain(quantity.Metric), "feet": begin.DefaultRain(quantity.Feet)},
	}
	if d.o.Name != "" {
		where = filepath.Join(where, d.o.Name)
		o.Folder = d.o.Name
	} else {
		where = filepath.Join(where, "new")
	}
	o.Parent = filepath.Base(filepath.Dir(where))
	if why := writable(where); why != "" {
		o.Writable = "The folder " + o.Parent + " cannot be written to, so no site can be begun in it: start wetfeet in a folder of your own."
	}
	d.saving.Lock()
	for _, f := range d.stage.files {
		o.Files = append(o.Files, tell(f))
	}
	d.saving.Unlock()
	for _, t := range soil.Textures() {
		o.Textures = append(o.Textures, t.Name)
	}
	for _, e := range species.BuiltIn().All() {
		o.Species = append(o.Species, plant{Species: e.Scientific, Common: e.Name(), Stratum: e.Stratum})
	}
	answer(w, http.StatusOK, o)
	return nil
}

// A preview is the site as it would be written.
type preview struct {
	Trees   int            `json:"trees"`
	Told    []string       `json:"told"`
	Text    string         `json:"text"`
	Spacing float64        `json:"spacing"` // m; 0 without rows
	Apart   float64        `json:"apart"`
	Outline [][2]float64   `json:"outline"` // m, from the south-west corner
	Shots   [][2]float64   `json:"shots"`
	Single  [][2]float64   `json:"single"`
	Rows    [][][2]float64 `json:"rows"`
}

// preview tells what would come of the answers.
func (d *desk) preview(w http.ResponseWriter, r *http.Request) error {
	var a answers
	if err := readJSON(r, &a); err != nil {
		return err
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	draft, err := d.draft(r.Context(), a)
	if err != nil {
		return err
	}
	out := preview{Trees: draft.Trees, Told: draft.Told, Text: draft.Text, Spacing: draft.Spacing, Apart: draft.Apart, Rows: [][][2]float64{}}
	if out.Told == nil {
		out.Told = []string{}
	}
	corner := orb.MultiPoint(draft.Outline).Bound().Min
	from := func(points []orb.Point) [][2]float64 {
		step := 1 + len(points)/2000 // more dots than that no one tells apart
		at := [][2]float64{}
		for i := 0; i < len(points); i += step {
			at = append(at, [2]float64{round(points[i][0]-corner[0], 1), round(points[i][1]-corner[1], 1)})
		}
		return at
	}
	out.Outline, out.Shots, out.Single = from(draft.Outline), from(draft.Shots), from(draft.Single)
	for _, row := range draft.Rows {
		out.Rows = append(out.Rows, from(row.Line))
	}
	answer(w, http.StatusOK, out)
	return nil
}

// draft is the site of the files given and of the answers.
func (d *desk) draft(ctx context.Context, a answers) (*begin.Draft, error) {
	if err := d.beginning(); err != nil {
		return nil, err
	}
	said, err := a.read()
	if err != nil {
		return nil, err
	}
	st := &d.stage
	var names []string
	for _, f := range st.files {
		names = append(names, f.Path)
	}
	key, _ := json.Marshal([]any{names, said.CRS, said.Origin}) // of strings and finite numbers
	if st.land == nil || st.landFor != string(key) {
		done, err := d.turn(ctx)
		if err != nil {
			return nil, err
		}
		defer done()
		st.land = nil
		land, err := begin.Survey(ctx, st.files, said)
		if err != nil {
			return nil, err
		}
		st.land, st.landFor = land, string(key)
	}
	return st.land.Draft(said)
}

// begin writes the folder of the new site and opens it.
func (d *desk) begin(w http.ResponseWriter, r *http.Request) error {
	var a answers
	if err := readJSON(r, &a); err != nil {
		return err
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	name := d.o.Name
	if name == "" {
		name = strings.TrimSpace(a.Folder)
		if !plainName(name) {
			return fault.Input(fmt.Errorf("the folder: found %q; a name is needed for the folder of the site, such as south-field, without / or \\ and not hidden", name))
		}
	}
	draft, err := d.draft(r.Context(), a)
	if err != nil {
		return err
	}
	dir := filepath.Join(d.o.Dir, name)
	if err := draft.Write(dir); err != nil {
		return shorten(err, dir, name)
	}
	done, err := d.turn(r.Context())
	if err != nil {
		return err
	}
	defer done()
	s, err := d.read(r.Context(), filepath.Join(dir, begin.SiteName))
	if err != nil {
		return fmt.Errorf("the site was written to %s, but cannot be opened: %w", name, err)
	}
	d.stage.clear()
	d.put(s)
	answer(w, http.StatusOK, map[string]string{"file": begin.SiteName})
	return nil
}

// plainName reports whether a name is one of a folder right here.
func plainName(name string) bool {
	return name != "" && len(name) <= 100 && name == filepath.Base(name) && filepath.IsLocal(name) &&
		name[0] != '.' && name[0] != '-' && !strings.ContainsAny(name, `/\:*?"<>|`) && strings.Map(printable, name) == name
}

// shorten tells an error without the path of a folder, which is nobody else's
// business.
func shorten(err error, path, to string) error {
	told := fmt.Errorf("%s", strings.ReplaceAll(err.Error(), path, to))
	if fault.IsInput(err) {
		return fault.Input(told)
	}
	return told
}
