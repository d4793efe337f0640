package report

import (
	"cmp"
	"math"
	"slices"
	"unicode/utf8"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
)

// A mark is a tree in a section.
type mark struct {
	tree      int // in Result.Trees
	x, y      float64
	base      float64 // the ground under it
	reach     drafting.Box
	neighbour bool // the tree before it in the picture is the one before it in the row
}

// A label names a flagged tree or a run of them.
type label struct {
	text   string
	trees  []int // in Result.Trees
	box    drafting.Box
	leader *drafting.Box // from the mark to the label, where that is not next to it
	foot   [2]float64    // of the leader
	bar    [2]float64    // from and to, x; equal for a single tree
	barY   float64
}

// lay puts trees in their places and finds places for labels. The last piece
// of a row takes the tree at its very end.
//
// Labels lie above the marks and clear of water, ground and each other, the
// trees at most risk first, each as low as it can: the picture grows upwards
// with what it has to say.
func (p *piece) lay(last bool) {
	p.solid, p.lines = drafting.Placement{Cell: 40}, drafting.Placement{Cell: 40}
	p.layMarks(last)
	p.layLines()
	p.layDryTimes()
	p.top = 0
	for _, m := range p.marks {
		p.top = min(p.top, m.y-p.radius-2)
	}
	names := p.names()
	slices.SortStableFunc(names, func(a, b label) int { return cmp.Compare(p.worst(b), p.worst(a)) })
	for _, n := range names {
		if !p.place(n) {
			p.unplaced += len(n.trees)
		}
	}
	p.layMoments()
	p.top -= 4
}

func (p *piece) worst(l label) int {
	worst := 0
	for _, i := range l.trees {
		worst = max(worst, int(p.result.Trees[i].Risk))
	}
	return worst
}

func (p *piece) layMarks(last bool) {
	before := -1
	for k, i := range p.row.Trees {
		t := &p.result.Trees[i]
		if !t.OnGround || t.Along < p.from-1e-9 || t.Along >= p.to && !last || t.Along > p.to+1e-6 {
			continue
		}
		z := p.Soft[p.index(t.Along)]
		if math.IsNaN(z) {
			z = t.Ground
		}
		m := mark{tree: i, x: p.x(t.Along), base: p.y(z), neighbour: before >= 0 && before == k-1}
		m.y = m.base - stem - p.radius
		m.reach = drafting.Box{X: m.x, Y: m.y, W: p.radius, H: p.radius}
		p.marks = append(p.marks, m)
		p.solid.Take(m.reach)
		before = k
	}
}

// layLines takes the room of what labels must not be struck by: the surface of
// the water, the ground, stems and the edges of gaps.
func (p *piece) layLines() {
	for _, m := range p.marks {
		p.lines.Take(drafting.Span(m.x, m.base, m.x, m.y, 2))
	}
	take := func(z []float64, width float64) {
		for i := p.lo; i < p.hi; i++ {
			if !math.IsNaN(z[i]) && !math.IsNaN(z[i+1]) {
				p.lines.Take(drafting.Span(p.x(p.Along[i]), p.y(z[i]), p.x(p.Along[i+1]), p.y(z[i+1]), width))
			}
		}
	}
	take(p.Soft, 4)
	take(p.Ground, 2)
	for k, level := range p.water {
		take(level, []float64{5, 3}[min(k, 1)])
	}
	take(p.brim, 3)
	for _, g := range p.row.Gaps {
		for _, at := range g {
			if at >= p.from && at <= min(p.to, p.row.Length) {
				p.lines.Take(drafting.Span(p.x(at), 0, p.x(at), p.high, 3))
			}
		}
	}
}

// wordWide is about how wide a word is in bold letters of a size: a page does
// not know what letters it will be shown in, so this leans to the wide side.
func wordWide(text string, size float64) float64 {
	return 0.64*size*float64(utf8.RuneCountInString(text)) + 4
}

// names are the labels to be placed: one for each flagged tree, or one for
// neighbours too near to each other.
func (p *piece) names() []label {
	var out []label
	for k := 0; k < len(p.marks); k++ {
		t := p.tree(k)
		if !t.Flagged {
			continue
		}
		first := k
		trees := []int{p.marks[k].tree}
		for k+1 < len(p.marks) && p.marks[k+1].neighbour && p.tree(k+1).Flagged {
			next := p.tree(k + 1)
			need := (wordWide(p.tree(k).Place(), p.text) + wordWide(next.Place(), p.text)) / 2
			if p.marks[k+1].x-p.marks[k].x > need+2 {
				break
			}
			k++
			trees = append(trees, p.marks[k].tree)
		}
		text := t.Place()
		if k > first {
			text += "–" + p.tree(k).Place()
		}
		out = append(out, label{text: text, trees: trees, bar: [2]float64{p.marks[first].x, p.marks[k].x}})
	}
	return out
}

func (p *piece) tree(k int) *assess.Tree { return &p.result.Trees[p.marks[k].tree] }

// place finds the lowest free place above a label's trees, a little to the
// side if need be.
func (p *piece) place(l label) bool {
	const step, most = 3, 900
	w, h := wordWide(l.text, p.text)/2, 0.5*p.text
	x := (l.bar[0] + l.bar[1]) / 2
	mark := math.Inf(1) // the highest of its marks
	for _, m := range p.marks {
		if slices.Contains(l.trees, m.tree) {
			mark = min(mark, m.y-p.radius-2)
		}
	}
	run := len(l.trees) > 1
	room := 2.0 // between mark and label
	if run {
		room = 9 // for the bar
	}
	for up := 0.0; up < most; up += step {
		for _, aside := range [...]float64{0, 5, -5, 10, -10, 16, -16} {
			b := drafting.Box{X: x + aside, Y: mark - room - h - up, W: w, H: h}
			b.X = min(max(b.X, w+1), p.width-w-1)
			if !p.solid.Free(b) || !p.lines.Free(b) {
				continue
			}
			l.box, l.leader = b, nil
			if run {
				l.barY = b.Y + h + 3
				bar := drafting.Box{X: x, Y: l.barY, W: (l.bar[1] - l.bar[0]) / 2, H: 2}
				if !p.solid.Free(bar) || math.Abs(b.X-x) > bar.W+w {
					continue
				}
				if up > 0 && !p.lines.Free(bar) {
					continue
				}
				p.solid.Take(bar)
			} else if math.Abs(b.X-x) > w-2 || up > 9 {
				leader := drafting.Span(x, mark, b.X, b.Y+h+1, 1.5)
				if !p.solid.Free(leader) {
					continue
				}
				p.solid.Take(leader)
				l.leader, l.foot = &leader, [2]float64{x, mark}
			}
			p.solid.Take(b)
			p.labels = append(p.labels, l)
			p.top = min(p.top, b.Y-h)
			return true
		}
	}
	return false
}
