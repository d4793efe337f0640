package serve

import (
	"image/color"
	"maps"
	"net/http"
	"os"
	"path/filepath"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/terrain/quantity"
	"wetfeet/terrain/raster"
)

// A description is all a page begins with.
type description struct {
	Name     string    `json:"name"`
	Invented bool      `json:"invented"`
	Units    string    `json:"units"` // "metric" or "feet", of the file
	File     string    `json:"file"`
	Hash     string    `json:"hash"`
	Path     string    `json:"path"`     // digest of the file's, which the page keeps unsaved work under
	Writable string    `json:"writable"` // empty, or why the file cannot be saved
	Ground   area      `json:"ground"`
	Document document  `json:"document"`
	Reply    reply     `json:"reply"`
	Species  []plant   `json:"species"`
	Looks    looks     `json:"looks"`
	Cautions []string  `json:"cautions"`
	Odds     bool      `json:"odds"`            // can be asked for
	Shots    []float64 `json:"shots,omitempty"` // spot heights, x and y by turns
}

// An area is the ground a page draws.
type area struct {
	ID      string  `json:"id"`
	West    float64 `json:"west"`
	North   float64 `json:"north"`
	Cell    float64 `json:"cell"`
	Rows    int     `json:"rows"`
	Cols    int     `json:"cols"`
	System  string  `json:"system"`
	Error   float64 `json:"error"`
	Thinned int     `json:"thinned"` // cells of the ground to one shown
	Soften  float64 `json:"soften"`  // m
	Table   bool    `json:"table"`   // the water table is known
}

type plant struct {
	Species string     `json:"species"`
	Common  string     `json:"common"`
	Days    [3]float64 `json:"days"` // of waterlogging borne: low, likely, high
	Stratum string     `json:"stratum,omitempty"`
	Planned bool       `json:"planned,omitempty"`
}

// looks are the colours and marks of package look, for the page to draw with.
type looks struct {
	Risks   []screenmap.Symbol `json:"risks"`
	Depths  map[string][]tint  `json:"depths"` // by units
	Flows   map[string][]tint  `json:"flows"`
	Wet     []tint             `json:"wet"`
	Odds    []tint             `json:"odds"`
	Stages  []string           `json:"stages"`
	Dashes  []string           `json:"dashes"` // of the lines of the stages
	Colours map[string]string  `json:"colours"`
}

type tint struct {
	From  float64 `json:"from"`
	Fill  string  `json:"fill"`
	Label string  `json:"label"`
	Width float64 `json:"width,omitempty"`
}

func (d *desk) describe(w http.ResponseWriter, r *http.Request, s *sheet) error {
	out, err := describe(s)
	if err != nil {
		return err
	}
	if out.Reply.Works, err = s.works.reply(r.Context(), s.result); err != nil {
		return err
	}
	answer(w, http.StatusOK, out)
	return nil
}

func describe(s *sheet) (description, error) {
	r, l := s.result, s.layers
	out := description{
		Name: r.Name, Invented: r.Invented, File: filepath.Base(s.path), Hash: s.hash, Path: digest([]byte(s.path))[:24], Writable: writable(s.path),
		Ground: area{
			ID: l.id, West: l.Frame.West, North: l.Frame.North, Cell: l.Frame.CellSize, Rows: l.Frame.Rows, Cols: l.Frame.Cols,
			System: l.Frame.CRS, Error: r.Drain.Error, Thinned: l.Step, Soften: brim.Soften(r.Drain), Table: r.WaterTable != nil,
		},
		Reply: full(r), Looks: lookOf(), Cautions: assess.Cautions,
	}
	if info, err := raster.Describe(l.Frame.CRS); err == nil {
		out.Ground.System = info.Name
	}
	out.Document, out.Units, out.Odds = documentOf(r), r.Units.String(), !s.odds.Off
	out.Reply.Effort = "likely"
	out.Reply.lie(s, r)
	planned := map[string]bool{}
	for _, e := range r.Species {
		planned[e.Scientific] = true
	}
	for _, e := range r.Table().All() {
		out.Species = append(out.Species, plant{
			Species: e.Scientific, Common: e.Name(), Stratum: e.Stratum,
			Days: [3]float64{e.Days.Low, e.Days.Likely, e.Days.High}, Planned: planned[e.Scientific],
		})
	}
	if r.Survey != nil {
		for _, p := range r.Survey.Points {
			out.Shots = append(out.Shots, round(p[0], 2), round(p[1], 2))
		}
	}
	return out, nil
}

// writable says why a site file cannot be saved, or nothing. The new file is
// made in the folder of the old one.
func writable(path string) string {
	f, err := os.CreateTemp(filepath.Dir(path), ".wetfeet-*")
	if err != nil {
		return "The folder of the site file cannot be written to, so nothing can be saved there."
	}
	f.Close()
	os.Remove(f.Name())
	return ""
}

func lookOf() looks {
	out := looks{Risks: screenmap.Symbols(), Depths: map[string][]tint{}, Flows: map[string][]tint{}, Colours: screenmap.Colours()}
	for _, u := range []quantity.Units{quantity.Metric, quantity.Feet} {
		for _, c := range look.Depths(u) {
			out.Depths[u.String()] = append(out.Depths[u.String()], tint{From: c.From, Fill: look.Hex(c.Fill), Label: c.Label})
		}
		for _, c := range look.Flows(u) {
			out.Flows[u.String()] = append(out.Flows[u.String()], tint{From: c.From, Fill: look.Hex(look.Flow), Label: c.Label, Width: c.Width})
		}
	}
	for _, c := range look.Wetness() {
		out.Wet = append(out.Wet, tint{From: c.From, Fill: look.Hex(c.Fill), Label: c.Label})
	}
	for _, c := range look.Odds() {
		out.Odds = append(out.Odds, tint{From: c.From, Fill: look.Hex(c.Fill), Label: c.Label})
	}
	for _, s := range look.Stages() {
		out.Stages, out.Dashes = append(out.Stages, look.Hex(s.Fill)), append(out.Dashes, s.Dash)
	}
	maps.Copy(out.Colours, screenmap.Hex(map[string]color.RGBA{ // of what is on this page alone
		"grid": look.Grid, "shot": look.Shot, "light": look.GroundLight, "dark": look.GroundDark, "unknownLine": look.UnknownLine,
		"soil": look.SectionSoil, "soilLine": look.SoilLine, "soilDetail": look.SoilDetail,
	}))
	return out
}
