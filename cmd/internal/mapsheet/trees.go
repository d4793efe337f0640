package mapsheet

import (
	"cmp"
	"math"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/paint"
	"wetfeet/species"
)

// layers is what a panel draws, in px of the sheet.
type layers struct {
	trees   []tree
	curves  []curve
	courses []course
	leads   []lead
	labels  []label
	leaders paint.Path
	spills  paint.Path
}

// A tree is a planned position on a panel.
type tree struct {
	index int // in Result.Trees
	class int // of its symbol
	x, y  float64
}

// A label is a piece of text and where it stands.
type label struct {
	text string
	size float64
	bold bool
	ink  colour
	halo float64
	box  drafting.Box
}

// unknown is the class of a position about which the ground says nothing.
const unknown = int(species.Severe) + 1

// class is the place of a tree's symbol in look.Symbols.
func class(t *assess.Tree) int {
	if !t.OnGround {
		return unknown
	}
	return int(t.Risk)
}

// Limits of a symbol's half side, px of a sheet 2400 wide. Below the least
// its shape cannot be told.
const (
	leastRadius = 8
	mostRadius  = 15
)

// symbolRadius fits symbols to how close the trees stand: nine in ten of them
// clear of their nearest neighbour, within the limits.
func (s *sheet) symbolRadius() float64 {
	var gaps []float64
	for i, d := range Nearest(s.r.Trees) {
		if s.near().Contains(s.r.Trees[i].Point) {
			gaps = append(gaps, d)
		}
	}
	r := mostRadius * s.u
	if len(gaps) > 0 {
		slices.Sort(gaps)
		r = gaps[len(gaps)/10] * s.panels[0].scale * 0.44
	}
	return min(max(r, leastRadius*s.u), mostRadius*s.u)
}

// Nearest is the distance from each tree to its nearest neighbour, m: found by
// walking outwards from it in the order of eastings.
func Nearest(trees []assess.Tree) []float64 {
	order := make([]int, len(trees))
	d := make([]float64, len(trees))
	for i := range order {
		order[i] = i
		d[i] = math.Inf(1)
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(trees[i].Point[0], trees[j].Point[0]), cmp.Compare(i, j))
	})
	for a, i := range order {
		look := func(j int) bool { // whether one further off could still be nearer
			east := math.Abs(trees[j].Point[0] - trees[i].Point[0])
			d[i] = min(d[i], math.Hypot(east, trees[j].Point[1]-trees[i].Point[1]))
			return east < d[i]
		}
		for b := a + 1; b < len(order) && look(order[b]); b++ {
		}
		for b := a - 1; b >= 0 && look(order[b]); b-- {
		}
	}
	return d
}

// placeTrees puts the trees of a panel in their places, those at least risk
// first so that the worst lie on top.
func (p *panel) placeTrees() {
	for i := range p.r.Trees {
		t := &p.r.Trees[i]
		if !p.bound.Contains(t.Point) {
			continue
		}
		x, y := p.at(t.Point)
		k := class(t)
		p.layers.trees = append(p.layers.trees, tree{i, k, x, y})
		r := (p.symbols[k].Reach() + 1) / 10 * p.radius
		p.places.Take(drafting.Box{X: x, Y: y, W: r, H: r})
	}
	slices.SortStableFunc(p.layers.trees, func(a, b tree) int { return cmp.Compare(a.class, b.class) })
}

func (p *panel) drawTrees() {
	pane := p.pane()
	for _, t := range p.layers.trees {
		p.symbols[t.class].Draw(pane, t.x, t.y, p.radius, true)
	}
}

// count tells the trees on the sheet by class, and the hollows; one on two
// strips counts once.
func (s *sheet) count() {
	on := make([]bool, len(s.r.Trees))
	for _, p := range s.panels {
		for _, t := range p.layers.trees {
			on[t.index] = true
		}
	}
	for _, i := range s.outermost() {
		if s.sees(&s.r.Drain.Hollows.All[i]) {
			s.shown.outermost++
			if s.numbered[i] {
				s.shown.numbered++
			}
		}
	}
	for i := range s.r.Trees {
		t := &s.r.Trees[i]
		if !on[i] {
			s.shown.beyond++
			continue
		}
		s.shown.trees[class(t)]++
		if t.Flagged {
			s.shown.flagged++
			if s.named[i] {
				s.shown.labelled++
			}
		}
	}
}
