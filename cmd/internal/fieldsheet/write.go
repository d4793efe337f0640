package fieldsheet

import (
	"cmp"
	"io"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/terrain/quantity"
)

// PaperFor is the paper usual where such units are.
func PaperFor(u quantity.Units) plansheet.Paper {
	if u == quantity.Feet {
		return plansheet.Letter
	}
	return plansheet.A4
}

// Write writes the sheets of an assessment on a size of paper. The same result
// gives the same bytes.
func Write(w io.Writer, r *assess.Result, paper plansheet.Paper) error {
	s := compose(r, paper)
	doc := paint.NewPage(s.pages[0].wide, s.pages[0].high, r.Name+": field sheets")
	for i, p := range s.pages {
		if i > 0 {
			doc.Next(p.wide, p.high)
		}
		for _, draw := range p.draw {
			draw(doc)
		}
	}
	return doc.Write(w)
}

// Sheets are the pages of a site being made. Tests look at what is where.
type sheets struct {
	r             *assess.Result
	paper         plansheet.Paper
	regular, bold *paint.Face
	squares       squares
	pages         []*page
	maps          []*view
	crowded       bool // there are more trees than paper is for: only flagged ones are shown
}

// mostTrees are shown one by one; they fill some six hundred pages.
const mostTrees = 20_000

// shows reports whether a tree is on the sheets.
func (s *sheets) shows(t *assess.Tree) bool { return !s.crowded || t.Flagged }

func compose(r *assess.Result, paper plansheet.Paper) *sheets {
	s := &sheets{r: r, paper: paper, regular: paint.Regular(), bold: paint.Bold(), crowded: len(r.Trees) > mostTrees}
	s.addMaps()
	s.addStakes()
	s.addShopping()
	s.addCautions()
	for i, p := range s.pages {
		s.head(p, i+1)
	}
	return s
}

// symbol is the mark of a tree.
func symbol(t *assess.Tree) look.Symbol { return look.Spot(t.OnGround, t.Risk) }

// A group is a run of stakes that are walked together.
type group struct {
	row    *assess.Row // nil for positions near no row
	beside bool        // single positions, measured from the row
	stakes []stake
}

// A stake is where a tree stands from the row it is measured from.
type stake struct {
	tree   *assess.Tree
	along  float64 // m from the row's start
	offset float64 // m to the right of the row as seen from its start; below 0 to the left
}

// groups are all trees in walking order: each row as the site has them with the
// single positions that are nearest to it behind it, then those near none.
func (s *sheets) groups() []group {
	r := s.r
	in := make([]bool, len(r.Trees))
	out := make([]group, 0, len(r.Rows))
	for k := range r.Rows {
		row := &r.Rows[k]
		g := group{row: row}
		for _, i := range row.Trees {
			in[i] = true
			if !s.shows(&r.Trees[i]) {
				continue
			}
			_, offset, _ := beside(row.Line, r.Trees[i].Point)
			g.stakes = append(g.stakes, stake{&r.Trees[i], r.Trees[i].Along, offset})
		}
		out = append(out, g)
	}
	singles := make([]group, len(r.Rows))
	var alone group
	for i := range r.Trees {
		if in[i] || !s.shows(&r.Trees[i]) {
			continue
		}
		t := &r.Trees[i]
		near, along, offset := nearestRow(r.Rows, t.Point)
		if near < 0 || s.squares.name(t.Point) == "" { // far off: a slip in its coordinates
			alone.stakes = append(alone.stakes, stake{tree: t})
			continue
		}
		singles[near].stakes = append(singles[near].stakes, stake{t, along, offset})
	}
	var all []group
	for k, g := range out {
		if len(g.stakes) > 0 {
			all = append(all, g)
		}
		if single := singles[k]; len(single.stakes) > 0 {
			single.row, single.beside = g.row, true
			slices.SortStableFunc(single.stakes, func(a, b stake) int { return cmp.Compare(a.along, b.along) })
			all = append(all, single)
		}
	}
	if len(alone.stakes) > 0 {
		all = append(all, alone)
	}
	return all
}

// count writes a number of things.
