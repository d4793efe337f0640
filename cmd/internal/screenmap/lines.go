package screenmap

import (
	"math"

	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/simplify"
)

// A Line is a drawn line of the map.
type Line struct {
	At     []float64 `json:"at"` // x and y by turns
	Closed bool      `json:"closed,omitempty"`
	Level  float64   `json:"level,omitempty"` // of a contour, m
	Label  string    `json:"label,omitempty"` // of it, in the units of the site
	Index  bool      `json:"index,omitempty"` // one of those drawn thicker
	Class  int       `json:"class,omitempty"` // of a flow line, in look.Flows
}

// flat writes points from the corner, to a centimetre, leaving out those that
// do not bend a line by more than an eighth of a shown cell.
func (m *Map) flat(points orb.LineString) []float64 {
	kept := simplify.DouglasPeucker(m.CellSize / 8).LineString(points.Clone())
	out := make([]float64, 0, 2*len(kept))
	cm := func(v float64) float64 { return math.Round(v*100) / 100 }
	for _, p := range kept {
		out = append(out, cm(p[0]-m.West), cm(m.North-p[1]))
	}
	return out
}

// Lines are those of one kind.
type Lines struct {
	Every float64 `json:"every,omitempty"` // between contours, m
	Lines []Line  `json:"lines"`
}

// Contours are lines of equal elevation on the smoothed ground, no closer than
// its error bears.
func (m *Map) Contours() Lines {
	z := m.of.Drain.Smoothed
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range z.Cells {
		if v == v {
			lo, hi = min(lo, float64(v)), max(hi, float64(v))
		}
	}
	spacing := contour.Interval(lo, hi, 0.02, m.of.Units)
	levels := spacing.Levels(lo, hi)
	zs := make([]float64, len(levels))
	for i, v := range levels {
		zs[i] = v.Z
	}
	out := Lines{Every: spacing.Metres(), Lines: []Line{}}
	i := 0
	for _, c := range contour.Lines(z, zs) {
		for levels[i].Z != c.Level {
			i++
		}
		if len(c.Points) < 8 {
			continue // a knob of noise
		}
		out.Lines = append(out.Lines, Line{
			At: m.flat(contour.Round(c.Points, 2)), Closed: c.Closed,
			Level: c.Level, Label: levels[i].Label, Index: levels[i].Index,
		})
	}
	return out
}

// Flow are the lines water runs along.
func (m *Map) Flow() Lines {
	classes := look.Flows(m.of.Units)
	out := Lines{Lines: []Line{}}
	for _, f := range m.of.Drain.FlowLines {
		k := len(classes) - 1
		for k > 0 && f.Catchment <= classes[k].From {
			k--
		}
		for _, part := range m.dryParts(f.Course()) {
			out.Lines = append(out.Lines, Line{At: m.flat(part), Class: k})
		}
	}
	return out
}

// dryParts are the parts of a line outside hollows and away from the end of the
// known ground: through a full hollow water has no line to run along, and along
// the rim it leaves everywhere.
func (m *Map) dryParts(points orb.LineString) []orb.LineString {
	const least = 6 // points
	var parts []orb.LineString
	from := 0
	for i := 0; i <= len(points); i++ {
		if i < len(points) && m.dry(points[i]) {
			continue
		}
		if i-from >= least {
			parts = append(parts, points[from:i])
		}
		from = i + 1
	}
	return parts
}

func (m *Map) dry(p orb.Point) bool {
	g := m.of.Drain.Ground
	row, col, ok := g.Locate(p)
	return ok && m.of.Drain.Hollows.Outer[g.Index(row, col)] == 0 && brim.Inland(g, p)
}

// Outline are the lines where a grid over the ground of the site has a value.
func (m *Map) Outline(g *terrain.Grid[float32], value float64) []Line {
	var out []Line
	for _, c := range contour.Lines(g, []float64{value}) {
		if len(c.Points) < 8 {
			continue // no more than a cell or two
		}
		out = append(out, Line{At: m.flat(contour.Round(c.Points, 2)), Closed: c.Closed})
	}
	return out
}
