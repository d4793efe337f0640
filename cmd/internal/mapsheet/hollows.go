package mapsheet

import (
	"fmt"
	"math"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/hydro"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
)

// spillReach is half the width of the mark where a hollow spills, px of a sheet
// 2400 wide.
const spillReach = 15

// spillMark is two wedges that meet point to point, as at the notch of a weir.
func spillMark(x, y, r float64) paint.Path {
	h := 0.72 * r
	return paint.Polygon(
		paint.Point{X: x - r, Y: y - h}, paint.Point{X: x, Y: y - 0.12*h}, paint.Point{X: x + r, Y: y - h},
		paint.Point{X: x + r, Y: y + h}, paint.Point{X: x, Y: y + 0.12*h}, paint.Point{X: x - r, Y: y + h},
	)
}

// planted says which outermost hollows hold a planned tree.
func planted(r *assess.Result) []bool {
	hs := r.Drain.Hollows
	if hs == nil {
		return nil
	}
	out := make([]bool, len(hs.All))
	for i := range r.Trees {
		if row, col, ok := hs.Locate(r.Trees[i].Point); ok {
			if k := hs.Outer[hs.Index(row, col)]; k != 0 {
				out[k-1] = true
			}
		}
	}
	return out
}

// outermost are the hollows that lie in no other, those with planned trees
// first, then the larger first.
func (s *sheet) outermost() []int {
	var with, without []int
	for i, planted := range s.planted {
		switch {
		case s.r.Drain.Hollows.All[i].Parent != hydro.Outside:
		case planted:
			with = append(with, i)
		default:
			without = append(without, i)
		}
	}
	return append(with, without...)
}

// spill is where a hollow spills on the panel, and whether that is on it.
func (p *panel) spill(i int) (paint.Point, bool) {
	hs := p.r.Drain.Hollows
	q := hs.Centre(hs.Cell(hs.All[i].SpillCell))
	x, y := p.at(q)
	return paint.Point{X: x, Y: y}, p.bound.Contains(q)
}

// keepSpills keeps room for the marks where hollows spill.
func (p *panel) keepSpills() {
	for _, i := range p.outermost() {
		if q, ok := p.spill(i); ok {
			p.places.Take(drafting.Box{X: q.X, Y: q.Y, W: (spillReach + 3) * p.u, H: (0.72*spillReach + 3) * p.u})
		}
	}
}

// placeHollows labels the hollows whose deepest place is on the panel with
// their number and depth: the outermost in the pool or beside it on a leader,
// those within them in the pool or not at all.
func (p *panel) placeHollows() {
	hs := p.r.Drain.Hollows
	if hs == nil {
		return
	}
	floor := func(i int) (paint.Point, bool) {
		q := hs.Centre(hs.Cell(hs.All[i].FloorCell))
		x, y := p.at(q)
		return paint.Point{X: x, Y: y}, p.bound.Contains(q)
	}
	for _, i := range p.outermost() {
		h := &hs.All[i]
		at, ok := floor(i)
		if !ok {
			continue
		}
		pool := pool{at: at, within: p.sheetBox(p.pools[i]), holds: func(q paint.Point) bool { return p.inPool(q, hs.Outer, i) }}
		number := fmt.Sprint(h.ID)
		full := number + ": " + p.depthWord(i, " deep")
		if p.labelInside(full, pool) || p.labelBeside(full, pool, true, 90) || p.labelBeside(full, pool, false, 90) ||
			p.labelInside(number, pool) || p.labelBeside(full, pool, false, 220) || p.labelBeside(number, pool, false, 220) {
			p.numbered[i] = true
			if q, ok := p.spill(i); ok {
				p.layers.spills.Append(spillMark(q.X, q.Y, spillReach*p.u))
				p.shown.spills = true
			}
		}
	}
	for i := range hs.All {
		h := &hs.All[i]
		at, ok := floor(i)
		if h.Parent == hydro.Outside || !h.IsLeaf() || !ok {
			continue
		}
		around := drafting.Box{X: at.X, Y: at.Y, W: 130 * p.u, H: 70 * p.u}
		pool := pool{at: at, within: around, holds: func(q paint.Point) bool { return p.inPool(q, hs.Inner, i) }}
		p.labelInside(fmt.Sprintf("%d: %s", h.ID, p.depthWord(i, "")), pool)
	}
}

// depthWord is how deep water stands in a hollow, as drawn.
func (s *sheet) depthWord(i int, deep string) string {
	h := &s.r.Drain.Hollows.All[i]
	depth := h.Depth()
	if s.r.Storm != nil {
		row, col := s.r.Drain.Hollows.Cell(h.FloorCell)
		level, wet := s.water.Level(row, col)
		if !wet {
			return "dry"
		}
		depth = level - h.Floor
	}
	return quantity.FormatDepth(depth, s.r.Units) + deep
}

// A pool is the water of a full hollow on a panel.
type pool struct {
	at     paint.Point // its deepest place
	within drafting.Box
	holds  func(paint.Point) bool
}

// inPool reports whether a point of the sheet lies in a hollow that is full, by
// what hollow each cell is of.
func (p *panel) inPool(q paint.Point, of []int32, hollow int) bool {
	at := p.onGround(q)
	if !p.holdsWater(q) {
		return false
	}
	hs := p.r.Drain.Hollows
	row, col, ok := hs.Locate(at)
	return ok && of[hs.Index(row, col)] == int32(hollow)+1
}

// sheetBox is the part of a bound of the ground that is on the panel.
func (p *panel) sheetBox(b orb.Bound) drafting.Box {
	b = meet(b, p.bound)
	x0, y0 := p.at(orb.Point{b.Min[0], b.Max[1]})
	x1, y1 := p.at(orb.Point{b.Max[0], b.Min[1]})
	return drafting.Box{X: (x0 + x1) / 2, Y: (y0 + y1) / 2, W: (x1 - x0) / 2, H: (y1 - y0) / 2}
}

// every reports whether a box has some property all over: at points a tenth of
// its length apart, in five rows.
func every(b drafting.Box, has func(paint.Point) bool) bool {
	for i := range 11 {
		for j := range 5 {
			if !has(paint.Point{X: b.X + b.W*float64(i-5)/5, Y: b.Y + b.H*float64(j-2)/2}) {
				return false
			}
		}
	}
	return true
}

func (p *panel) hollowLabel(text string, b drafting.Box) {
	p.places.Take(b)
	p.layers.labels = append(p.layers.labels, label{text: text, size: labelSize * p.u, bold: true, ink: look.Shore, halo: 3.5 * p.u, box: b})
}

// labelInside puts a label in the water, as near to the deepest place as there
// is room.
func (p *panel) labelInside(text string, w pool) bool {
	half := p.textBox(p.bold, text, labelSize*p.u, 0, 0)
	if half.W > w.within.W || half.H > w.within.H {
		return false
	}
	step := 10 * p.u
	best, far := half, math.Inf(1)
	for y := w.within.Y - w.within.H + half.H; y <= w.within.Y+w.within.H-half.H; y += step {
		for x := w.within.X - w.within.W + half.W; x <= w.within.X+w.within.W-half.W; x += step {
			b := half
			b.X, b.Y = x, y
			d := math.Hypot(x-w.at.X, y-w.at.Y)
			if d < far && p.holds(b.Grow(4*p.u)) && p.places.Free(b.Grow(2*p.u)) && every(b.Grow(5*p.u), w.holds) && every(b, w.holds) && p.even(b) {
				best, far = b, d
			}
		}
	}
	if math.IsInf(far, 1) {
		return false
	}
	p.hollowLabel(text, best)
	return true
}

// labelBeside puts a label on dry ground with a leader into the water, as short
// as can be and no longer than so many px of a sheet 2400 wide, and clear of
// flow lines if asked to.
func (p *panel) labelBeside(text string, w pool, clear bool, most float64) bool {
	const directions = 32
	half := p.textBox(p.bold, text, labelSize*p.u, 0, 0)
	var best drafting.Box
	var from, to paint.Point
	short := math.Inf(1)
	for k := range directions {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / directions)
		shore := w.at // where this way leaves the water
		for d := 0.0; d <= 2*(w.within.W+w.within.H); d += 4 * p.u {
			if q := (paint.Point{X: w.at.X + cos*d, Y: w.at.Y + sin*d}); w.holds(q) {
				shore = q
			}
		}
		reach := math.Abs(cos)*half.W + math.Abs(sin)*half.H
		for far := 18 * p.u; far < min(short, most*p.u); far += 10 * p.u {
			b := half
			b.X, b.Y = shore.X+cos*(far+reach), shore.Y+sin*(far+reach)
			foot := paint.Point{X: shore.X - cos*8*p.u, Y: shore.Y - sin*8*p.u}
			end := touch(b, foot)
			if p.holds(b.Grow(4*p.u)) && p.places.Free(b.Grow(2*p.u)) && every(b, p.ashore) && (!clear || p.flowing.Free(b)) &&
				p.places.Free(drafting.Span(foot.X, foot.Y, end.X, end.Y, 2*p.u)) && p.ownWater(w, foot, end) {
				best, from, to, short = b, foot, end, far
			}
		}
	}
	if math.IsInf(short, 1) {
		return false
	}
	p.hollowLabel(text, best)
	p.places.Take(drafting.Span(from.X, from.Y, to.X, to.Y, 2*p.u))
	p.layers.leaders.MoveTo(from.X, from.Y)
	p.layers.leaders.LineTo(to.X, to.Y)
	return true
}

// ownWater reports whether a straight line crosses no water but that of a pool.
func (p *panel) ownWater(w pool, from, to paint.Point) bool {
	n := int(math.Hypot(to.X-from.X, to.Y-from.Y)/(4*p.u)) + 1
	left := false
	for i := range n + 1 {
		t := float64(i) / float64(n)
		dry := p.ashore(paint.Point{X: from.X + t*(to.X-from.X), Y: from.Y + t*(to.Y-from.Y)})
		if left && !dry {
			return false
		}
		left = left || dry
	}
	return true
}

// holdsWater reports whether a point of the sheet lies in a full hollow.
func (p *panel) holdsWater(q paint.Point) bool { return p.depth(p.filled, q) > 0 }

// ashore reports whether a point of the sheet is out of any.
func (p *panel) ashore(q paint.Point) bool { return !p.holdsWater(q) }

// even reports whether a box lies all in the water or all out of it.
func (p *panel) even(b drafting.Box) bool {
	wet := func(q paint.Point) bool { return p.depth(p.wet, q) > 0 }
	return every(b, wet) || every(b, func(q paint.Point) bool { return !wet(q) })
}

// drawSpills marks where labelled hollows spill.
func (p *panel) drawSpills() {
	pane := p.pane()
	pane.Stroke(p.layers.spills, paint.Pen{Width: 6 * p.u}, look.Paper)
	pane.Fill(p.layers.spills, look.Shore)
}

// hollowCount says how many hollows there are, as the page and the summary
// count them, and how many of them the sheet shows.
func (s *sheet) hollowCount() string {
	var all, within, seen int
	if hs := s.r.Drain.Hollows; hs != nil {
		all = len(hs.All)
		for i := range hs.All {
			h := &hs.All[i]
			if h.Parent != hydro.Outside {
				within++
			}
			if s.sees(h) {
				seen++
			}
		}
	}
	var text string
	switch all {
	case 0:
		return "no hollow to be seen above the error of the ground"
	case 1:
		text = "one hollow"
	default:
		text = fmt.Sprintf("%d hollows", all)
	}
	if within > 0 {
		text += fmt.Sprintf(", %d of them inside others", within)
	}
	if seen < all {
		text += fmt.Sprintf(", %d on this map", seen)
	}
	if s.r.Storm == nil {
		return text + ", drawn full to the brim"
	}
	rain := "when the rain of " + quantity.FormatRain(s.r.Storm.Rain, s.r.Units) + " ends"
	switch {
	case s.water.Dry() && all == 1:
		return text + ", dry " + rain
	case s.water.Dry():
		return text + ", all dry " + rain
	case all == 1:
		return text + ", drawn as deep as it stands " + rain
	}
	return text + ", drawn as deep as they stand " + rain
}

// sees reports whether the deepest place of a hollow is on the sheet.
func (s *sheet) sees(h *hydro.Hollow) bool {
	q := s.r.Drain.Hollows.Centre(s.r.Drain.Hollows.Cell(h.FloorCell))
	return slices.ContainsFunc(s.panels, func(p *panel) bool { return p.bound.Contains(q) })
}
