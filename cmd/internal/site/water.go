package site

import (
	"fmt"
	"time"

	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// Bounds of what holds and leads the water of a site.
const (
	maxLinks = 10_000
	maxWells = 10_000
)

// A Link is a pipe, culvert or ditch that lets water out of a hollow.
type Link struct {
	Name  string
	Where string // in the file, for messages: `site.toml:12: link "Culvert"`
	Ditch bool   // open all along, so that it also holds the water table

	// Line is its course in CRS, downstream: its two ends at least, or the
	// upper end alone where the lower one lies off the site.
	Line orb.LineString

	Invert   *float64 // level of its bottom at the upper end, m; nil where Depth is given
	Depth    float64  // of its bottom below the brim of the hollow at its upper end, m
	Outlet   *float64 // level of its bottom at the lower end, m; nil where unknown
	Capacity float64  // m³/s; 0 is whatever comes
}

// A Well is a place where someone saw the water table.
type Well struct {
	Name  string
	Where string    // in the file, for messages
	At    orb.Point // in CRS
	Depth float64   // below the ground, m
	When  time.Time // zero where unknown
}

func (s *Site) links(n node) {
	first := map[string]int{}
	n.tables("link", maxLinks, func(n node, i int) { s.link(n, i, first) })
}

func (s *Site) link(n node, i int, first map[string]int) {
	l := Link{Name: fmt.Sprintf("%d", i+1)}
	n.label = "link " + quote(n.named(&l.Name, first))
	l.Where = n.where()
	var from, to []orb.Point
	end := func(at *[]orb.Point) func(node) {
		return func(n node) {
			if p, ok := n.point(); ok {
				*at = []orb.Point{p}
			}
		}
	}
	n.table([]field{
		{"name", func(node) {}},
		{"kind", func(n node) {
			l.Ditch = choose(n, map[string]bool{"pipe": false, "culvert": false, "ditch": true})
		}},
		{"line", func(n node) { l.Line = n.polyline() }},
		{"from", end(&from)},
		{"to", func(n node) {
			if n.value != "off the site" {
				end(&to)(n)
			}
		}},
		{"invert", func(n node) {
			if v, ok := n.quantity(quantity.Elevation, "95.40 m"); ok {
				l.Invert = &v
			}
		}},
		{"outlet", func(n node) {
			if v, ok := n.quantity(quantity.Elevation, "95.20 m"); ok {
				l.Outlet = &v
			}
		}},
		{"depth", func(n node) { l.Depth, _ = n.positive(quantity.Length, "30 cm") }},
		{"capacity", func(n node) {
			l.Capacity, _ = n.positive(func(s string, _ quantity.Units) (float64, error) { return quantity.Flow(s) }, "20 l/s")
		}},
	})
	table, ok := n.value.(map[string]any)
	if !ok {
		return
	}
	has := func(key string) bool { return table[key] != nil }
	switch {
	case has("line") && (has("from") || has("to")):
		n.fail("has a line and ends; give the line, or from and to")
	case !has("line") && !(has("from") && has("to")):
		n.fail(`has no course; give a line, or from = [x, y] and to = [x, y] (or to = "off the site")`)
	}
	if has("invert") == has("depth") {
		n.fail(`give either invert, the level of its bottom where water enters, or depth, how far that lies below the brim of the hollow`)
	}
	if l.Invert != nil && l.Outlet != nil && *l.Outlet > *l.Invert {
		n.fail("runs uphill, from %s to %s", quantity.FormatLength(*l.Invert, n.units), quantity.FormatLength(*l.Outlet, n.units))
	}
	if !has("line") {
		l.Line = append(from, to...)
	}
	s.Links = append(s.Links, l)
}

func (s *Site) wells(n node) {
	first := map[string]int{}
	n.tables("well", maxWells, func(n node, i int) { s.well(n, i, first) })
}

func (s *Site) well(n node, i int, first map[string]int) {
	w := Well{Name: fmt.Sprintf("%d", i+1)}
	n.label = "well " + quote(n.named(&w.Name, first))
	w.Where = n.where()
	n.table([]field{
		{"name", func(node) {}},
		{"at", func(n node) { w.At, _ = n.point() }},
		{"depth", func(n node) { w.Depth, _ = n.waterTable() }},
		{"date", func(n node) { w.When = n.day() }},
	})
	n.needs("every well needs a place and a depth", "at", "depth")
	s.Wells = append(s.Wells, w)
}

// day is a day, zero where it is none.
func (n node) day() (day time.Time) {
	const wanted = "a day is needed, such as 2024-03-01"
	switch v := n.value.(type) {
	case time.Time:
		return time.Date(v.Year(), v.Month(), v.Day(), 0, 0, 0, 0, time.UTC)
	case string:
		day, err := time.Parse(time.DateOnly, v)
		if err != nil {
			n.fail("found %s; %s", quote(v), wanted)
			return time.Time{}
		}
		return day
	}
	n.fail("found %s; %s", describe(n.value), wanted)
	return time.Time{}
}

// waterTable is a depth below the ground.
func (n node) waterTable() (float64, bool) {
	d, ok := n.quantity(quantity.Elevation, "0.9 m")
	if ok && d < 0 {
		n.fail("puts the water table %s above the ground; its depth below the ground is needed, and 0 where it stands at the surface", quantity.FormatLength(-d, n.units))
		return 0, false
	}
	return d, ok
}
