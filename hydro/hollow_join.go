package hydro

import (
	"cmp"
	"slices"
)

// A Cut is a way for water through the ground from one hollow to another, or
// off the site, that carries whatever comes: a ditch, or a pipe wide enough.
// Above its level the two hollows hold their water in common.
type Cut struct {
	From  int     // index of a leaf
	To    int     // index of another leaf, or Outside
	Level float64 // of the bottom of the cut where it is highest, m
	Cell  int     // where that is
}

// Join gives the tree of the hollows as cuts make it. A hollow with a cut to
// the outside spills at the level of the cut; two hollows with a cut between
// them spill to each other there and are one above. A cut that lies higher
// than where the water has another way already changes nothing, nor does one
// below a floor.
//
// The cells stay as they are: the ground at the cut itself is not lowered and
// sends its water where it always did. Levels are rounded to float32, as the
// ground is.
func (h *Hollows) Join(cuts []Cut) *Hollows {
	if len(cuts) == 0 || len(h.All) == 0 {
		return h
	}
	// The saddles that the tree was made of, one for each pair of children and
	// one for each outermost hollow, and the cuts among them, make a new tree.
	b := &basins{pits: make([]int32, 1)}
	basin := make([]int32, len(h.All)) // of the leaves
	for i := range h.All {
		if h.All[i].IsLeaf() {
			basin[i] = int32(len(b.pits))
			b.pits = append(b.pits, int32(h.All[i].FloorCell))
		}
	}
	number := func(leaf int) int32 {
		if leaf == Outside {
			return 0
		}
		return basin[leaf]
	}
	for i := range h.All {
		a := &h.All[i]
		if a.Parent == Outside {
			leaf := int(h.Inner[a.FloorCell]) - 1
			b.saddles = append(b.saddles, saddle{rank(float32(a.Spill)), int32(a.SpillCell), number(leaf), number(a.SpillsTo)})
		} else if p := &h.All[a.Parent]; p.Children[0] == i {
			to := h.All[p.Children[1]].SpillsTo
			b.saddles = append(b.saddles, saddle{rank(float32(a.Spill)), int32(a.SpillCell), number(to), number(a.SpillsTo)})
		}
	}
	slices.SortStableFunc(b.saddles, func(a, b saddle) int { return cmp.Compare(a.cell, b.cell) })
	for _, c := range cuts {
		if c.Level > h.All[c.From].Floor && (c.To == Outside || c.Level > h.All[c.To].Floor) {
			b.saddles = append(b.saddles, saddle{rank(float32(c.Level)), int32(c.Cell), number(c.From), number(c.To)})
		}
	}
	t := growTree(h.ground, b)
	label, runsTo, wetBy := h.labels(basin, t.nodes)
	joined := measure(h.ground, t.nodes, label, runsTo, wetBy)
	joined.Noise = h.Noise
	return joined
}

// labels gives every cell a number, and for each number the leaf its water
// runs to and the node from which on upwards hollows may wet it. These are
// the same but where hollows were left out of the tree: a cell of such a one
// may belong to no hollow that is left, or to one that is no leaf and lie
// deeper than where that begins.
func (h *Hollows) labels(basin []int32, nodes []node) (label, runsTo, wetBy []int32) {
	n := int32(len(h.All))
	runsTo, wetBy = make([]int32, 2*n+1), make([]int32, 2*n+1)
	for i := range n {
		if h.All[i].IsLeaf() {
			runsTo[i+1], wetBy[i+1] = basin[i], basin[i]
			runsTo[n+i+1] = basin[i]
		}
	}
	label = slices.Clone(h.Inner)
	for c, in := range h.Inner {
		if in > 0 && h.Outer[c] == 0 {
			label[c] = n + in
		}
	}
	type pair struct{ in, owner int32 }
	deep := map[pair]int32{}
	for i := range h.All {
		a := &h.All[i]
		if a.IsLeaf() {
			continue
		}
		base := float32(h.All[a.Children[0]].Spill)
		for _, c := range h.own(i) {
			if h.ground.Cells[c] >= base {
				continue
			}
			in := h.Inner[c]
			number, known := deep[pair{in, int32(i)}]
			if !known {
				number = int32(len(runsTo))
				deep[pair{in, int32(i)}] = number
				holder := basin[h.Inner[a.FloorCell]-1]
				for holder != 0 && nodes[holder].spill <= rank(base) {
					holder = nodes[holder].parent
				}
				runsTo, wetBy = append(runsTo, runsTo[in]), append(wetBy, holder)
			}
			label[c] = number
		}
	}
	return label, runsTo, wetBy
}
