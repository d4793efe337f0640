package mapsheet

import (
	"cmp"
	"image/color"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"

	"github.com/paulmach/orb"
)

type colour = color.RGBA

// textBox is the box of a label of that text with its middle at (x, y).
func (p *panel) textBox(f *paint.Face, text string, size, x, y float64) drafting.Box {
	return drafting.Box{X: x, Y: y, W: f.Width(text, size)/2 + 3*p.u, H: size * 0.52}
}

// placeRowNames puts the name of each row before its first tree on the panel,
// or as near as it can.
func (p *panel) placeRowNames() {
	for _, row := range p.r.Rows {
		start, next, ok := p.entry(row.Line)
		if !ok || row.Name == "" {
			continue
		}
		lines, size := p.nameLines(row.Name)
		half := drafting.Box{H: size * (0.52 + 0.6*float64(len(lines)-1))}
		for _, text := range lines {
			half.W = max(half.W, p.textBox(p.bold, text, size, 0, 0).W)
		}
		d := math.Atan2(next.Y-start.Y, next.X-start.X)
		gap := p.radius + 14*p.u
		b, ok := p.around(half, start, d+math.Pi, gap)
		if !ok {
			continue
		}
		p.places.Take(b)
		for i, text := range lines {
			at := drafting.Box{X: b.X, Y: b.Y + 1.2*size*(float64(i)-float64(len(lines)-1)/2), W: b.W, H: size * 0.52}
			p.layers.labels = append(p.layers.labels, label{text: text, size: size, bold: true, ink: look.Ink, halo: 4 * p.u, box: at})
		}
	}
}

// nameLines is the name of a row, over several lines and smaller where it is
// long. Only what three lines do not hold is cut.
func (p *panel) nameLines(name string) (lines []string, size float64) {
	size, room := headSize*p.u, 360*p.u
	if lines = p.bold.Wrap(name, size, room); len(lines) > 1 {
		size = labelSize * p.u
		lines = p.bold.Wrap(name, size, room)
	}
	if len(lines) > 3 {
		lines = append(lines[:2], p.bold.Fit(strings.Join(lines[2:], " "), size, room))
	}
	for i := range lines { // a single long word
		lines[i] = p.bold.Fit(lines[i], size, room)
	}
	return lines, size
}

// around is the first free place for a box about a point: in a given direction
// and clear of flow lines if there is one, else as near and as nearly in that
// direction as can be.
func (p *panel) around(half drafting.Box, at paint.Point, direction, gap float64) (drafting.Box, bool) {
	try := func(far, turn float64) (drafting.Box, bool) {
		sin, cos := math.Sincos(direction + turn*math.Pi)
		// The box touches a circle around the point.
		reach := gap + far*p.u + math.Abs(cos)*half.W + math.Abs(sin)*half.H
		b := half
		b.X, b.Y = at.X+cos*reach, at.Y+sin*reach
		return b, p.holds(b.Grow(6*p.u)) && p.places.Free(b)
	}
	far := [...]float64{0, 12, 30, 50, 80}
	for _, f := range far {
		if b, ok := try(f, 0); ok && p.flowing.Free(b) {
			return b, true
		}
	}
	for _, f := range far {
		for _, turn := range [...]float64{0, 0.2, -0.2, 0.4, -0.4, 0.5, -0.5, 0.75, -0.75} {
			if b, ok := try(f, turn); ok {
				return b, true
			}
		}
	}
	return drafting.Box{}, false
}

// entry is where a row comes onto the panel and a point further along it.
func (p *panel) entry(row orb.LineString) (start, next paint.Point, ok bool) {
	for i := 1; i < len(row); i++ {
		x0, y0 := p.at(row[i-1])
		x1, y1 := p.at(row[i])
		n := max(1, int(math.Hypot(x1-x0, y1-y0)/(8*p.u)))
		for k := range n {
			t := float64(k) / float64(n)
			q := paint.Point{X: x0 + t*(x1-x0), Y: y0 + t*(y1-y0)}
			if p.holds(drafting.Box{X: q.X, Y: q.Y}) {
				return q, paint.Point{X: x1, Y: y1}, true
			}
		}
	}
	return start, next, false
}

// A naming is one label for one flagged tree or a run of neighbours.
type naming struct {
	text   string
	trees  []int // in Result.Trees
	worst  int   // class
	middle paint.Point
	turn   float64 // direction of the row; NaN for a single tree
	ends   [2]paint.Point
}

// placeTreeLabels labels flagged trees. Neighbours in a row with no room for a
// label each share one, "12–18", with a bar beside them.
func (p *panel) placeTreeLabels() {
	names := p.namings()
	slices.SortStableFunc(names, func(a, b naming) int { return cmp.Compare(b.worst, a.worst) })
	for _, n := range names {
		p.placeNaming(n)
	}
}

func (p *panel) namings() []naming {
	size := labelSize * p.u
	here := make(map[int]paint.Point, len(p.layers.trees))
	for _, t := range p.layers.trees {
		here[t.index] = paint.Point{X: t.x, Y: t.y}
	}
	var names []naming
	inRow := make(map[int]bool)
	for _, row := range p.r.Rows {
		for _, i := range row.Trees {
			inRow[i] = true
		}
		names = append(names, p.rowNamings(row.Trees, here, size)...)
	}
	for i := range p.r.Trees {
		at, ok := here[i]
		if t := &p.r.Trees[i]; ok && t.Flagged && !inRow[i] {
			names = append(names, naming{text: t.ID, trees: []int{i}, worst: class(t), middle: at, turn: math.NaN(), ends: [2]paint.Point{at, at}})
		}
	}
	return names
}

// rowNamings names the flagged trees of one row.
func (p *panel) rowNamings(trees []int, here map[int]paint.Point, size float64) []naming {
	var names []naming
	for a := 0; a < len(trees); a++ {
		from, ok := here[trees[a]]
		t := &p.r.Trees[trees[a]]
		if !ok || !t.Flagged {
			continue
		}
		n := naming{text: t.Place(), trees: []int{trees[a]}, worst: class(t), ends: [2]paint.Point{from, from}}
		last := a
		for b := a + 1; b < len(trees); b++ {
			at, ok := here[trees[b]]
			u := &p.r.Trees[trees[b]]
			if !ok || !u.Flagged {
				break
			}
			if math.Hypot(at.X-n.ends[1].X, at.Y-n.ends[1].Y) > p.regular.Width("000", size)+14*p.u {
				break // room for a label each
			}
			n.trees = append(n.trees, trees[b])
			n.worst = max(n.worst, class(u))
			n.ends[1] = at
			last = b
		}
		if last > a {
			n.text = t.Place() + "–" + p.r.Trees[trees[last]].Place()
		}
		if t.Place() != t.ID {
			p.shown.short = true
		}
		n.middle = paint.Point{X: (n.ends[0].X + n.ends[1].X) / 2, Y: (n.ends[0].Y + n.ends[1].Y) / 2}
		n.turn = p.direction(trees, a, last, here)
		names = append(names, n)
		a = last
	}
	return names
}

// direction is that of a row at trees a to b, NaN for a tree with no
// neighbours here.
func (p *panel) direction(trees []int, a, b int, here map[int]paint.Point) float64 {
	from, ok := here[trees[max(a-1, 0)]]
	if !ok {
		from = here[trees[a]]
	}
	to, ok := here[trees[min(b+1, len(trees)-1)]]
	if !ok {
		to = here[trees[b]]
	}
	if from == to {
		return math.NaN()
	}
	return math.Atan2(to.Y-from.Y, to.X-from.X)
}

// placeNaming tries places beside the row, nearest first, then around; a label
// that is not beside its tree gets a leader. Near the tree it first looks for
// a place clear of flow lines.
func (p *panel) placeNaming(n naming) {
	far := [...]float64{0, 10, 24, 40, 58, 78, 100}
	for _, f := range far[:2] {
		if p.tryNaming(n, f*p.u, true) {
			return
		}
	}
	for _, f := range far {
		if p.tryNaming(n, f*p.u, false) {
			return
		}
	}
}

// tryNaming puts a label so far beyond the nearest place, if any side is free
// there.
func (p *panel) tryNaming(n naming, far float64, dryShod bool) bool {
	size := labelSize * p.u
	half := p.textBox(p.bold, n.text, size, 0, 0)
	off := p.radius*1.25 + 5*p.u // of the bar beside a run
	gap := off
	bar := len(n.trees) > 1
	if bar {
		gap += 8 * p.u
	}
	across := -math.Pi / 2
	if !math.IsNaN(n.turn) {
		across = paint.Upright(n.turn) - math.Pi/2
	}
	for _, turn := range [...]float64{0, math.Pi, 0.5, -0.5, math.Pi + 0.5, math.Pi - 0.5, 0.95, -0.95, math.Pi + 0.95, math.Pi - 0.95} {
		sin, cos := math.Sincos(across + turn)
		reach := gap + far + math.Abs(cos)*half.W + math.Abs(sin)*half.H
		b := half
		b.X, b.Y = n.middle.X+cos*reach, n.middle.Y+sin*reach
		if !p.holds(b.Grow(4*p.u)) || !p.places.Free(b) || dryShod && !p.flowing.Free(b) {
			continue
		}
		start := paint.Point{X: n.middle.X + cos*p.radius*1.15, Y: n.middle.Y + sin*p.radius*1.15}
		var side paint.Point // from a tree of a run to the bar
		if bar {
			s := math.Copysign(off, math.Cos(turn))
			side = paint.Point{X: s * math.Cos(across), Y: s * math.Sin(across)}
			start = paint.Point{X: n.middle.X + side.X, Y: n.middle.Y + side.Y}
		}
		beside := drafting.Span(n.ends[0].X+side.X, n.ends[0].Y+side.Y, n.ends[1].X+side.X, n.ends[1].Y+side.Y, 4*p.u)
		if bar && !p.places.Free(beside) {
			continue
		}
		var path paint.Path
		end := touch(b, start)
		if math.Hypot(end.X-start.X, end.Y-start.Y) > 9*p.u {
			// A leader must not cross another tree or label; its own tree is at
			// its foot.
			if !p.places.Free(drafting.Span(start.X+(end.X-start.X)*0.15, start.Y+(end.Y-start.Y)*0.15, end.X, end.Y, 1)) {
				continue
			}
			p.places.Take(drafting.Span(start.X, start.Y, end.X, end.Y, 2*p.u))
			path.MoveTo(start.X, start.Y)
			path.LineTo(end.X, end.Y)
		}
		if bar {
			p.places.Take(beside)
			path.MoveTo(n.ends[0].X+side.X, n.ends[0].Y+side.Y)
			path.LineTo(n.ends[1].X+side.X, n.ends[1].Y+side.Y)
		}
		p.places.Take(b)
		p.layers.leaders.Append(path)
		p.layers.labels = append(p.layers.labels, label{text: n.text, size: size, bold: true, ink: look.Ink, halo: 3.5 * p.u, box: b})
		for _, i := range n.trees {
			p.named[i] = true
		}
		return true
	}
	return false
}

// touch is the point of an upright box nearest to q.
func touch(b drafting.Box, q paint.Point) paint.Point {
	return paint.Point{X: min(max(q.X, b.X-b.W), b.X+b.W), Y: min(max(q.Y, b.Y-b.H), b.Y+b.H)}
}

// drawLabels draws leaders, then every label over its halo.
func (p *panel) drawLabels() {
	pane := p.pane()
	pane.Stroke(p.layers.leaders, paint.Pen{Width: 5 * p.u}, look.Paper)
	pane.Stroke(p.layers.leaders, paint.Pen{Width: 2 * p.u}, look.Ink)
	for _, l := range p.layers.labels {
		f := p.regular
		if l.bold {
			f = p.bold
		}
		letters := f.Path(l.text, l.size)
		w := f.Width(l.text, l.size)
		// Middle the capitals on the middle of the box.
		sin, cos := math.Sincos(l.box.Turn)
		dx, dy := -w/2, paint.CapHeight*l.size/2
		pane.Words(letters.At(paint.Placing{
			Turn: l.box.Turn, X: l.box.X + cos*dx - sin*dy, Y: l.box.Y + sin*dx + cos*dy,
		}), l.ink, l.halo, look.Paper)
		p.note(l.text, l.size, l.box)
	}
}
