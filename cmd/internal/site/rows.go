package site

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/cmd/internal/planting"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
)

// Bounds of the rows of a site.
const (
	maxRows    = 10_000
	maxPoints  = 10_000 // of a line
	maxPattern = 10_000
	maxGaps    = 1_000
)

// rows reads every [[row]].
func (s *Site) rows(n node) {
	if _, single := n.value.(map[string]any); single {
		n.fail("a row is headed [[row]], with two brackets on each side")
		return
	}
	rows, ok := n.list("rows are tables headed [[row]]")
	if !ok {
		return
	}
	if len(rows) > maxRows {
		n.fail("found %d rows; at most %d are read", len(rows), maxRows)
		return
	}
	first := map[string]int{}
	var places float64
	for i, row := range rows {
		r, line := s.row(row, i)
		if before, taken := first[r.Name]; taken {
			row.label = fmt.Sprintf("row %s", quote(r.Name))
			row.fail("has the name of the row of line %d; every row needs its own", before)
		} else {
			first[r.Name] = line
		}
		s.Rows = append(s.Rows, r)
		// Metres in the longest unit a system of coordinates may have, the
		// foot being the shortest: only what is too much by any measure is
		// told here. Lay counts again, in metres.
		length := planting.Length(r.Line) * 0.3048
		if n.lonLat {
			length = geo.Length(r.Line)
		}
		if r.Spacing > 0 && length > 0 && !math.IsInf(length, 0) {
			before := places
			if places += planting.Places(length, r.Spacing); places > planting.MaxPositions && before <= planting.MaxPositions {
				row.label = fmt.Sprintf("row %s", quote(r.Name))
				row.fail("the rows up to this one have more than %d places; is its spacing right?", planting.MaxPositions)
			}
		}
	}
}

// row reads one row, and says on which line it begins.
func (s *Site) row(n node, i int) (planting.Row, int) {
	r := planting.Row{Name: planting.RowName(i)}
	table, ok := n.value.(map[string]any)
	if !ok {
		n.fail("found %s; a row is a table headed [[row]]", describe(n.value))
		return r, n.line()
	}
	n.label = ""
	if child, ok := n.under("name"); ok {
		child.label = fmt.Sprintf("row %d, name", i+1)
		if name, ok := child.text("a name is needed, or none for " + quote(r.Name)); ok {
			r.Name = name
		}
	}
	n.label = "row " + quote(r.Name)
	for _, must := range []string{"line", "spacing", "pattern"} {
		if _, ok := table[must]; !ok {
			n.fail("has no %s; every row needs line, spacing and pattern", must)
		}
	}
	n.table([]field{
		{"name", func(node) {}},
		{"line", func(n node) { r.Line = n.polyline() }},
		{"spacing", func(n node) { r.Spacing, _ = n.positive(quantity.Length, "2.5 m") }},
		{"pattern", func(n node) { r.Pattern = n.pattern() }},
		{"gaps", func(n node) { r.Gaps = n.gaps() }},
		{"age", func(n node) { r.Age = n.age() }},
	})
	return r, n.line()
}

func (n node) polyline() orb.LineString {
	points, ok := n.list("a list of points is needed, [[x, y], [x, y]]")
	switch {
	case !ok:
		return nil
	case len(points) > maxPoints:
		n.fail("found %d points; at most %d are read", len(points), maxPoints)
		return nil
	}
	var line orb.LineString
	apart := false
	for i, p := range points {
		p.label = fmt.Sprintf("%s, point %d", n.label, i+1)
		at, ok := p.point()
		if !ok {
			return nil // one is enough: the others are likely wrong in the same way
		}
		apart = apart || i > 0 && at != line[0]
		line = append(line, at)
	}
	if !apart {
		n.fail("found %s; two points apart from each other are needed, [[x, y], [x, y]]", describe(n.value))
	}
	return line
}

func (n node) pattern() []string {
	const wanted = `a list of species is needed, such as ["Carya illinoinensis", "Sambucus canadensis"]`
	entries, ok := n.list(wanted)
	switch {
	case !ok:
		return nil
	case len(entries) > maxPattern:
		n.fail("found %d entries; at most %d are read", len(entries), maxPattern)
		return nil
	}
	var pattern []string
	planted := false
	for i, e := range entries {
		e.label = fmt.Sprintf("%s, entry %d", n.label, i+1)
		if s, ok := e.value.(string); ok && planting.Empty(strings.TrimSpace(s)) {
			pattern = append(pattern, "")
			continue
		}
		if s, ok := e.text(`the name of a species is needed, or "-" for an empty place`); ok {
			pattern = append(pattern, s)
		}
		planted = true
	}
	if !planted {
		n.fail("names no species; %s", wanted)
	}
	return pattern
}

func (n node) gaps() [][2]float64 {
	const wanted = `from and to are needed, such as ["20 m", "24 m"]`
	list, ok := n.list(`a list of gaps is needed, such as [["20 m", "24 m"]]`)
	switch {
	case !ok:
		return nil
	case len(list) > maxGaps:
		n.fail("found %d gaps; at most %d are read", len(list), maxGaps)
		return nil
	}
	var gaps [][2]float64
	for i, g := range list {
		g.label = fmt.Sprintf("%s, gap %d", n.label, i+1)
		ends, ok := g.value.([]any)
		if !ok || len(ends) != 2 {
			g.fail("found %s; %s", describe(g.value), wanted)
			continue
		}
		from, okFrom := node{n.reading, g.path, g.label, ends[0]}.quantity(quantity.Length, "20 m")
		to, okTo := node{n.reading, g.path, g.label, ends[1]}.quantity(quantity.Length, "24 m")
		if !okFrom || !okTo {
			continue
		}
		if from >= to {
			g.fail("ends where it begins or before, at %s; %s", quantity.FormatLength(to, n.units), wanted)
			continue
		}
		gaps = append(gaps, [2]float64{from, to})
	}
	return gaps
}
