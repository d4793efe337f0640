package site

import (
	"cmp"
	"fmt"

	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Bounds of what is built of earth. One that is longer or wider was meant in
// another unit.
const (
	MaxWorks   = 1000
	MostHeight = 3  // m
	MostWidth  = 50 // m
)

// Kinds of earthwork.
const (
	Mound = "mound" // around a point
	Bed   = "bed"   // along a line, to plant on
	Wall  = "wall"  // along a line, with steep sides
)

// A Work is soil to be brought: the ground is raised by it before any water is
// sent over it.
type Work struct {
	Name  string
	Where string // in the file, for messages: `site.toml:12: work "Bed 1"`
	Kind  string // Mound, Bed or Wall

	Line   orb.LineString // in CRS; one point for a mound
	Height float64        // of its platform above the ground along the line, settled, m
	Width  float64        // of its platform, m
}

// UsualWidth is that of the platform of a work whose width nobody gave, m.
// Common practice, no source.
func UsualWidth(kind string) float64 {
	switch kind {
	case Mound:
		return 1
	case Bed:
		return 1.5
	}
	return 0.3
}

func (s *Site) works(n node) {
	first := map[string]int{}
	n.tables("work", MaxWorks, func(n node, i int) { s.work(n, i, first) })
}

func (s *Site) work(n node, i int, first map[string]int) {
	w := Work{Name: fmt.Sprintf("%d", i+1)}
	n.label = "work " + quote(n.named(&w.Name, first))
	w.Where = n.where()
	var at *orb.Point
	known := false
	n.table([]field{
		{"name", func(node) {}},
		{"kind", func(n node) {
			w.Kind = choose(n, map[string]string{Mound: Mound, Bed: Bed, Wall: Wall})
			known = w.Kind != ""
		}},
		{"at", func(n node) {
			if p, ok := n.point(); ok {
				at = &p
			}
		}},
		{"line", func(n node) { w.Line = n.polyline() }},
		{"height", func(n node) { w.Height = n.upTo(MostHeight, "40 cm") }},
		{"width", func(n node) { w.Width = n.upTo(MostWidth, "1.5 m") }},
	})
	table, ok := n.value.(map[string]any)
	if !ok || !n.needs("every work is a mound, a bed or a wall, and so high", "kind", "height") || !known {
		return
	}
	switch has := func(key string) bool { return table[key] != nil }; {
	case w.Kind == Mound && (!has("at") || has("line")):
		n.fail("a mound lies around a place: give at = [x, y], and no line")
	case w.Kind != Mound && (!has("line") || has("at")):
		n.fail("a %s lies along a line: give line = [[x, y], [x, y]], and no at", w.Kind)
	}
	if at != nil {
		w.Line = orb.LineString{*at}
	}
	w.Width = cmp.Or(w.Width, UsualWidth(w.Kind))
	s.Works = append(s.Works, w)
}

// upTo reads a length that is not larger than anyone builds, m.
func (n node) upTo(most float64, example string) float64 {
	v, ok := n.positive(quantity.Length, example)
	if ok && v > most {
		n.fail("%s is more than the %s that are taken; a length such as %q is needed", quantity.FormatLength(v, n.units), quantity.FormatLength(most, n.units), example)
		return 0
	}
	return v
}
