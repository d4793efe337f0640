// Package report writes report.html: one self-contained page with the map,
// the long section of every row, the table of trees, what was assumed and
// what to mind before digging. It needs no network and prints.
package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"io"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/hydro"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

var (
	//go:embed report.gohtml
	pageText string
	//go:embed report.css
	pageCSS string
	//go:embed table.js
	tableJS string
	//go:embed measure.js
	measureJS string
	//go:embed map.js
	mapJS string
	//go:embed move.js
	moveJS string
	//go:embed legend.js
	legendJS string
	//go:embed live.js
	liveJS string

	pageTemplate = template.Must(template.New("report").Funcs(template.FuncMap{"keep": keep, "either": either}).Parse(pageText))

	// pageScript is all the page runs: each file sees those before it.
	pageScript = "(() => {\n\"use strict\";\n" + strings.Join([]string{tableJS, measureJS, mapJS, moveJS, legendJS, liveJS}, "\n") + "})();\n"

	// scriptHash lets that and no other script run: Content Security Policy
	// Level 3 (W3C), section 6.7.3.
	scriptHash = hashOf(pageScript)
)

func hashOf(script string) string {
	sum := sha256.Sum256([]byte(script))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Write writes the page. The map is drawn elsewhere and carried inside; without
// odds there is no advice.
func Write(w io.Writer, r *assess.Result, a *advise.Advice, mapPNG []byte) error {
	p, err := compose(r, a, mapPNG)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, p); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

type page struct {
	Name, Lead          string
	Invented            bool
	CSS                 template.CSS
	JS                  template.JS
	Policy              string // what the page may load and run
	Live                *liveMap
	Marks               template.HTML
	Counts, Key         []count
	First               []string
	Map                 template.URL
	MapWidth, MapHeight int
	MapAlt, MapCaption  string
	MapTall             bool // higher than wide: on paper it has a page to itself
	Rows                []rowView
	RowsNote            string
	WaterKey            []keyView
	Storm, Sure         string
	Next                []nextView
	Advice              *adviceView
	Trust               *trustView
	Charts              []chartView
	ChartsNote          string
	Calendar            *calendarView
	NoSeason            string
	TableCaption        string
	HasYears            bool   // there is a column of the median year
	HasOdds             bool   // the table tells odds, and bars in place of single figures
	OnPaper             string // which trees a printed table leaves out
	Trees               []treeView
	Ponds               []pondView
	PondsNote           string
	PondsSure           bool // their odds are known
	Species             []speciesView
	Assumptions         []string
	Remarks             []string
	Cautions            []string
	Inputs              []assess.Input
	Sources             []species.Source
}

type count struct {
	Mark template.HTML
	N    int
	Word string
}

type rowView struct {
	Name, Note   string
	Wide, Narrow []pictureView
	WideTimes    string // how many times heights are drawn larger than lengths
	NarrowTimes  string
}

// A pictureView is one picture, or what is said instead of one.
type pictureView struct {
	SVG   template.HTML
	Words string
}

type treeView struct {
	Mark                                                           template.HTML
	Risk                                                           string
	RiskRank                                                       int
	ID, Common, Species                                            string
	Along, Ground, Deepest, Roots, Year, Brim, Why, Do             string
	AlongSort, GroundSort, DeepSort, RootsSort, YearSort, BrimSort string
	Class                                                          string    // how the row is set
	Index                                                          int       // in the list of trees
	Other                                                          *treeView // in the units the site is not in

	Lost, LostSort, Water, WaterSort string // odds, where they were worked out
	Deep, Long                       barView
	Usual                            string // roots wet in the median year, on the draws
}

type pondView struct {
	ID, Trees                                       int
	PartOf                                          string
	Real                                            string // odds that it is one; empty without odds
	Depth, Area, Volume, Catchment, Spill, SpillsTo string
	Between                                         barView
	Other                                           *pondView // in the units the site is not in
}

type speciesView struct {
	Common, Scientific, Class, Days, Basis, Clash string
	Facts                                         []factView
}

type factView struct{ Text, Source, Basis string }

func compose(r *assess.Result, a *advise.Advice, mapPNG []byte) (*page, error) {
	size, err := png.DecodeConfig(bytes.NewReader(mapPNG))
	if err != nil {
		return nil, fmt.Errorf("the map: %w", err)
	}
	p := &page{
		Name: r.Name, Invented: r.Invented,
		Lead:   r.Lead(),
		CSS:    template.CSS(look.PageStyle + pageCSS),
		JS:     template.JS(pageScript),
		Policy: "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src " + scriptHash + "; base-uri 'none'; form-action 'none'",
		Marks:  marks(),
		First:  r.First(),
		Map:    template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(mapPNG)),

		MapWidth: size.Width, MapHeight: size.Height, MapTall: float64(size.Height) > 1.15*float64(size.Width),
		MapAlt:     "Map of the ground, its hollows and flow lines, with every planned tree marked by risk. The table below says the same in words.",
		MapCaption: mapCaption(r),

		TableCaption: tableCaption(r),
		HasYears:     r.Season != nil,
		HasOdds:      r.Odds != nil,
		PondsSure:    r.Odds != nil,
		PondsNote: hollowCount(r) + "Each is full to its spill level, the largest first; its number is the one on the map. One that lies in another is part of it once both are full. " +
			noiseNote(r),
		Assumptions: r.Assumptions,
		Remarks:     r.Remarks,
		Cautions:    assess.Cautions,
		Inputs:      r.Inputs,
		Sources:     r.Sources,
	}
	p.Counts, p.Key = counts(r)
	p.Rows, p.RowsNote, p.WaterKey = rowViews(r)
	if r.Storm != nil {
		p.Storm, p.Sure = r.Storm.Words(r.Units), sure(r)
	}
	p.Next = next(r)
	p.Charts, p.ChartsNote = hydrographViews(r)
	if p.Calendar = calendar(r); p.Calendar == nil {
		p.NoSeason = noSeason
	}
	p.Advice, p.Trust = adviceViewOf(r, a), trustViewOf(r)
	p.Trees = inBothUnits(r)
	if p.Live, err = liveMapOf(r); err != nil {
		return nil, fmt.Errorf("the map to move about in: %w", err)
	}
	if low := r.Counts()[species.Low.String()]; low > 0 {
		p.OnPaper = fmt.Sprintf("On paper this table leaves out the trees at low risk, %d of %d; stakes.csv lists every tree.", low, len(r.Trees))
	}
	p.Ponds = pondsInBothUnits(r)
	for _, e := range r.Species {
		p.Species = append(p.Species, viewOf(e))
	}
	return p, nil
}

func counts(r *assess.Result) (all, key []count) {
	n := make(map[string]int)
	for i := range r.Trees {
		n[symbolOf(&r.Trees[i]).Name]++
	}
	for _, s := range look.Symbols() {
		item := count{Mark: inlineMark(s), N: n[s.Name], Word: s.Name + " risk"}
		if s.Name == look.NotKnown().Name {
			if item.N == 0 {
				continue
			}
			item.Word = "unknown: off the ground"
		}
		all = append(all, item)
		item.Word += ": " + s.Shape
		key = append(key, item)
	}
	return all, key
}

// mapCaption says what water the map shows.
func mapCaption(r *assess.Result) string {
	s := "Hollows are shown full to the brim."
	if r.Storm != nil {
		rain := quantity.FormatRain(r.Storm.Rain, r.Units)
		s = "Hollows are drawn as deep as they stand when the rain of " + rain + " ends, dashes show how far they can fill."
		if brim.At(r.Storm.Site.Hollows(), r.Storm.History, rainEnds(r)).Dry() {
			s = "All hollows are dry when the rain of " + rain + " ends; dashes show how far they can fill."
		}
	}
	return s + " The legend says what each mark means; the same map is in map.png."
}

// hollowCount says how many hollows there are, as the map does.
func hollowCount(r *assess.Result) string {
	within := 0
	for i := range r.Drain.Hollows.All {
		if r.Drain.Hollows.All[i].Parent != hydro.Outside {
			within++
		}
	}
	n := len(r.Drain.Hollows.All)
	switch {
	case n == 0:
		return ""
	case n == 1:
		return "One hollow. "
	case within == 0:
		return fmt.Sprintf("%d hollows. ", n)
	}
	return fmt.Sprintf("%d hollows, %d of them inside others. ", n, within)
}

func noiseNote(r *assess.Result) string {
	h := r.Drain.Hollows
	if h.Noise == 0 {
		return ""
	}
	return fmt.Sprintf("%d smaller ones are left out: they are no deeper than the error of the ground.", h.Noise)
}

func pondViews(r *assess.Result) []pondView {
	h := r.Drain.Hollows
	inside := make(map[int]int)
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround && t.Pond > 0 {
			inside[t.Pond]++
		}
	}
	sure, most := r.Sureties(), 0.0
	for i := range sure {
		most = max(most, sure[i].Volume.High)
	}
	out := make([]pondView, 0, len(h.All))
	for i := range h.All {
		p := &h.All[i]
		v := pondView{
			ID: p.ID, Trees: inside[p.ID],
			Depth: quantity.FormatDepth(p.Depth(), r.Units), Area: quantity.FormatArea(p.Area, r.Units),
			Volume: quantity.FormatVolume(p.Volume, r.Units), Catchment: quantity.FormatArea(p.Catchment, r.Units),
			Spill: quantity.FormatLevel(p.Spill, 0.01, r.Units), SpillsTo: "off the site",
		}
		if p.SpillsTo != hydro.Outside {
			v.SpillsTo = fmt.Sprintf("hollow %d", h.All[p.SpillsTo].ID)
		}
		if p.Parent != hydro.Outside {
			v.PartOf = fmt.Sprint(h.All[p.Parent].ID)
		}
		if sure != nil {
			s := &sure[i]
			text := assess.VolumeSpan(s.Volume, r.Units)
			v.Real, v.Volume = species.Tenths(s.Real), quantity.FormatVolume(s.Expected, r.Units)
			v.Between = barView{SVG: bar(s.Volume, most, text), Text: text}
		}
		out = append(out, v)
	}
	return out
}

func viewOf(e *species.Entry) speciesView {
	v := speciesView{
		Scientific: e.Scientific, Class: e.Class.String(), Basis: string(e.DaysBasis), Clash: e.Clash,
		Days: fmt.Sprintf("%s to %s days, likely %s", plainDays(e.Days.Low), plainDays(e.Days.High), plainDays(e.Days.Likely)),
	}
	if len(e.Common) > 0 {
		v.Common = e.Common[0]
	}
	for _, f := range e.Facts {
		if !slices.Contains(shownFacts, f.Attribute) {
			continue
		}
		text := strings.ReplaceAll(f.Attribute, "_", " ") + ": " + f.Value
		if f.Unit != "" {
			text += " " + f.Unit
		}
		if f.Note != "" {
			text += " (" + f.Note + ")"
		}
		v.Facts = append(v.Facts, factView{Text: text, Source: f.Source, Basis: string(f.Basis)})
	}
	return v
}

// shownFacts are the attributes that bear on wet feet; the rest of what is
// known of a species is shown by `wetfeet species`.
var shownFacts = []string{
	"flood_tolerance_class", "max_flood_days", "max_ponding_depth", "min_water_table_depth",
	"soil_drainage_tolerated", "flood_mortality", "note_season", "note_disease", "note_temperature",
}

func plainDays(d float64) string {
	if d == math.Trunc(d) {
		return fmt.Sprintf("%.0f", d)
	}
	return fmt.Sprintf("%.1f", d)
}
