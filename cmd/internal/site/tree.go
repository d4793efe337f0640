package site

import (
	"fmt"

	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

const maxTrees = 1_000_000 // [[tree]] tables

// highestMound bounds the height of a mound that is typed, m: above it someone
// meant another unit.
const highestMound = 3

// A Tree is what is said of one planted position beside its row or file.
type Tree struct {
	ID    string // as in the answer: "E-10"
	Where string // in the file, for messages: `site.toml:12: tree "E-10"`

	Species string  // planted instead; empty leaves what the row or file says
	Mound   float64 // height of its root crown above the ground, after settling, m; 0 for none
	Trial   bool    // tried out knowingly: shown as a trial, never as a mistake
	Fixed   bool    // stays where it is when others are arranged anew

	At *orb.Point // planted here instead, in CRS; nil leaves its place

	Age       *float64 // years since planting; nil leaves what its row, file or [trees] says
	Rootstock string   // what it is grafted on; empty leaves what its file or [species] says
}

// trees reads every [[tree]].
func (s *Site) trees(n node) {
	first := map[string]int{}
	n.tables("tree", maxTrees, func(n node, i int) { s.tree(n, i, first) })
}

func (s *Site) tree(n node, i int, first map[string]int) {
	t := Tree{}
	n.label = fmt.Sprintf("tree %d", i+1)
	if table, ok := n.value.(map[string]any); ok {
		if id, ok := table["id"].(string); ok {
			n.label = "tree " + quote(id)
		}
	}
	t.Where = n.where()
	n.table([]field{
		{"id", func(n node) { t.ID, _ = n.text("the id of a tree is needed, such as \"E-10\"") }},
		{"species", func(n node) { t.Species, _ = n.text("the name of a species is needed") }},
		{"mound", func(n node) {
			h, ok := n.positive(quantity.Length, "25 cm")
			if ok && h > highestMound {
				n.fail("a mound of %s is higher than any tree is planted on; heights up to %d m are taken, such as \"25 cm\"", quantity.FormatLength(h, n.units), highestMound)
				return
			}
			t.Mound = h
		}},
		{"trial", func(n node) { t.Trial = n.flag() }},
		{"fixed", func(n node) { t.Fixed = n.flag() }},
		{"at", func(n node) {
			if p, ok := n.point(); ok {
				t.At = &p
			}
		}},
		{"age", func(n node) { t.Age = n.age() }},
		{"rootstock", func(n node) { t.Rootstock, _ = n.text("the name of a rootstock is needed") }},
	})
	if !n.needs("it says which tree is meant, such as id = \"E-10\"", "id") {
		return
	}
	if before, taken := first[t.ID]; taken {
		n.fail("is named in line %d already; say all of a tree in one place", before)
		return
	}
	first[t.ID] = n.line()
	s.Told = append(s.Told, t)
}
