package report

import (
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/hydro"

	"github.com/paulmach/orb"
)

// What the page carries of a large site is bounded: past these it is thinned.
const (
	mostCells   = 1 << 20   // of the pictures
	mostLevels  = 160 << 10 // of the levels read under the pointer, two bytes each
	mostSharper = 4         // pixels of a picture of water to a cell, each way
)

// A liveMap is what the page draws a map from. Places are whole numbers of
// Unit east and south of the north-west corner of the ground, x and y by
// turns; those of a line but the first are steps from the one before.
type liveMap struct {
	Units  string     `json:"units"` // of the site, "metric" or "feet"
	System string     `json:"system"`
	West   float64    `json:"west"`
	North  float64    `json:"north"`
	Wide   float64    `json:"wide"` // m
	High   float64    `json:"high"`
	Unit   float64    `json:"unit"`   // m
	Extent [4]float64 `json:"extent"` // of the known ground: west, north, east and south, m

	Shade    string       `json:"shade"` // pictures of all the ground, as data addresses
	Odds     string       `json:"odds,omitempty"`
	Storm    string       `json:"storm,omitempty"`
	Levels   levels       `json:"levels"`
	Every    float64      `json:"every"` // between contours, m
	Contours []liveLine   `json:"contours"`
	Flow     []liveLine   `json:"flow"`
	Shores   []liveLine   `json:"shores"`
	Hollows  []liveHollow `json:"hollows"`
	Rows     []liveRow    `json:"rows"`
	Links    []liveLink   `json:"links,omitempty"`
	Trees    []liveTree   `json:"trees"`
	Looks    liveLooks    `json:"looks"`
}

// levels is the ground in steps above its lowest: an unsigned 16-bit number a
// cell, little-endian; the largest is a void.
type levels struct {
	Rows   int     `json:"rows"`
	Cols   int     `json:"cols"`
	Cell   float64 `json:"cell"`
	Lowest float64 `json:"lowest"`
	Step   float64 `json:"step"`
	Cells  string  `json:"cells"`
}

type liveLine struct {
	At     []int   `json:"d"`
	Closed bool    `json:"c,omitempty"`
	Index  bool    `json:"i,omitempty"`
	Level  float64 `json:"z,omitempty"`
	Class  int     `json:"k,omitempty"`
}

type liveHollow struct {
	ID     int     `json:"id"`
	X      int     `json:"x"` // of its deepest place
	Y      int     `json:"y"`
	Depth  float64 `json:"depth"` // full, m
	Within bool    `json:"within,omitempty"`
}

type liveRow struct {
	Name    string       `json:"name"`
	At      []int        `json:"d"`
	Spacing float64      `json:"spacing"` // m
	Gaps    [][2]float64 `json:"gaps,omitempty"`
}

// A liveLink is a pipe or ditch, downstream.
type liveLink struct {
	Name  string `json:"name"`
	Ditch bool   `json:"ditch,omitempty"`
	At    []int  `json:"d"`
}

// A liveTree says the rest in its row of the table, which names it by its place
// in the list of trees.
type liveTree struct {
	ID   string `json:"id"`
	X    int    `json:"x"`
	Y    int    `json:"y"`
	Risk string `json:"risk"`
}

func liveMapOf(r *assess.Result) (*liveMap, error) {
	g := r.Drain.Ground
	m := screenmap.Of(r, mostCells)
	v := &liveMap{
		Units: r.Units.String(), System: drafting.SystemName(g.CRS), West: g.West, North: g.North,
		Wide: float64(g.Cols) * g.CellSize, High: float64(g.Rows) * g.CellSize, Unit: m.CellSize / 16,
		Extent: known(g), Levels: levelsOf(r), Trees: make([]liveTree, 0, len(r.Trees)),
	}
	at := func(p orb.Point) (x, y int) {
		return int(math.Round((p[0] - g.West) / v.Unit)), int(math.Round((g.North - p[1]) / v.Unit))
	}
	contours, flow := m.Contours(), m.Flow()
	v.Every, v.Contours, v.Flow = contours.Every, v.lines(contours), v.lines(flow)
	v.Shores = v.lines(screenmap.Lines{Lines: m.Outline(fullDepths(r), 0)})
	for i := range r.Drain.Hollows.All {
		h := &r.Drain.Hollows.All[i]
		x, y := at(g.Centre(g.Cell(h.FloorCell)))
		if h.Parent == hydro.Outside || h.IsLeaf() {
			v.Hollows = append(v.Hollows, liveHollow{h.ID, x, y, h.Depth(), h.Parent != hydro.Outside})
		}
	}
	for i := range r.Rows {
		row := &r.Rows[i]
		v.Rows = append(v.Rows, liveRow{row.Name, steps(row.Line, at), row.Spacing, row.Gaps})
	}
	for _, l := range r.Links {
		v.Links = append(v.Links, liveLink{l.Name, l.Ditch, steps(l.Line, at)})
	}
	for i := range r.Trees {
		t := &r.Trees[i]
		x, y := at(t.Point)
		v.Trees = append(v.Trees, liveTree{t.ID, x, y, symbolOf(t).Name})
	}
	var stormSeen, oddsSeen []bool
	var err error
	if v.Shade, err = address(m.Shade()); err != nil {
		return nil, err
	}
	if r.Storm != nil {
		var fills []look.Tint
		for _, c := range look.Depths(r.Units) {
			fills = append(fills, look.Tint{From: c.From, Fill: c.Fill})
		}
		wet := depths(r, brim.At(r.Storm.Site.Hollows(), r.Storm.History, rainEnds(r)))
		if v.Storm, stormSeen, err = tinted(m, wet, fills); err != nil {
			return nil, err
		}
	}
	if r.Odds != nil {
		if v.Odds, oddsSeen, err = tinted(m, r.Odds.Ponding, look.Odds()); err != nil {
			return nil, err
		}
	}
	v.Looks = liveLooksOf(v, stormSeen, oddsSeen)
	return v, nil
}

// lines writes lines in whole units.
func (v *liveMap) lines(in screenmap.Lines) []liveLine {
	out := make([]liveLine, 0, len(in.Lines))
	for _, l := range in.Lines {
		w := liveLine{At: make([]int, 0, len(l.At)), Closed: l.Closed, Index: l.Index, Level: l.Level, Class: l.Class}
		x, y := 0, 0
		for i := 0; i < len(l.At); i += 2 {
			nx, ny := int(math.Round(l.At[i]/v.Unit)), int(math.Round(l.At[i+1]/v.Unit))
			w.At = append(w.At, nx-x, ny-y)
			x, y = nx, ny
		}
		out = append(out, w)
	}
	return out
}

func steps(l orb.LineString, at func(orb.Point) (x, y int)) []int {
	var out []int
	x, y := 0, 0
	for _, p := range l {
		nx, ny := at(p)
		out = append(out, nx-x, ny-y)
		x, y = nx, ny
	}
	return out
}
