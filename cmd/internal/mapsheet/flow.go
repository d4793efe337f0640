package mapsheet

import (
	"math"

	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
)

// flowWidth is the width of the thinnest flow line, px of a sheet 2400 wide.
const flowWidth = 2.4

// A course is a part of a flow line that is drawn.
type course struct {
	points []paint.Point
	class  int // in look.Flows
}

// findFlow makes the courses of a panel.
func (p *panel) findFlow() {
	classes := look.Flows(p.r.Units)
	p.flowing = drafting.Placement{Cell: 64 * p.u}
	for _, f := range p.r.Drain.FlowLines {
		if !touches(f.Line, p.bound) {
			continue
		}
		k := len(classes) - 1
		for k > 0 && f.Catchment <= classes[k].From {
			k--
		}
		for _, points := range p.dryParts(p.toSheet(f.Course(), 2)) {
			if drafting.Length(points) < 70*p.u { // too short to show which way
				continue
			}
			p.layers.courses = append(p.layers.courses, course{points, k})
			p.shown.flows[k] = true
			p.keepClear(points, 4*p.u)
		}
	}
}

// keepClear marks where a line runs, in short straight pieces.
func (p *panel) keepClear(points []paint.Point, width float64) {
	from := points[0]
	for i, q := range points {
		if d := math.Hypot(q.X-from.X, q.Y-from.Y); d > 10*p.u || d > 0 && i == len(points)-1 {
			p.flowing.Take(drafting.Span(from.X, from.Y, q.X, q.Y, width))
			from = q
		}
	}
}

// drawFlow draws the lines water runs along, wider for more ground behind
// them, with arrows downstream.
func (p *panel) drawFlow() {
	classes := look.Flows(p.r.Units)
	lines := make([]paint.Path, len(classes))
	arrows := make([]paint.Path, len(classes))
	for _, c := range p.layers.courses {
		lines[c.class].Append(paint.Polyline(c.points...))
		p.arrows(&arrows[c.class], c.points, classes[c.class].Width)
	}
	pane := p.pane()
	for k, c := range classes {
		pane.Stroke(lines[k], paint.Pen{Width: (c.Width*flowWidth + 3) * p.u, Round: true}, look.Paper)
	}
	for k, c := range classes {
		pane.Stroke(lines[k], paint.Pen{Width: c.Width * flowWidth * p.u, Round: true}, look.Flow)
		pane.Stroke(arrows[k], paint.Pen{Width: 3 * p.u}, look.Paper)
		pane.Fill(arrows[k], look.Flow)
	}
}

// dryParts are the parts of a line on the panel and out of the water. Through
// a full hollow water has no line to run along, and what stands in it is to be
// seen.
func (p *panel) dryParts(points []paint.Point) [][]paint.Point {
	var parts [][]paint.Point
	from := 0
	for i := 0; i <= len(points); i++ {
		if i < len(points) && p.dry(points[i]) {
			continue
		}
		if i-from > 1 {
			parts = append(parts, points[from:i])
		}
		from = i + 1
	}
	return parts
}

// dry reports whether a point lies on the panel, out of the water and away from
// the rim.
func (p *panel) dry(q paint.Point) bool {
	at := p.onGround(q)
	row, col, ok := p.filled.Locate(at)
	return ok && brim.Inland(p.r.Drain.Ground, at) && p.filled.At(row, col) <= 0
}

// arrows adds arrow heads a hand apart, clear of trees and labels where the
// line leaves a choice.
func (p *panel) arrows(to *paint.Path, points []paint.Point, width float64) {
	const apart = 260
	w := drafting.NewWalk(points)
	total := drafting.Length(points)
	long := (13 + 3*width) * p.u
	count := max(1, int(total/(apart*p.u)))
	if total < 3*long {
		return
	}
	for k := range count {
		middle := total * (float64(k) + 0.5) / float64(count)
		for _, shift := range [...]float64{0, 30, -30, 60, -60, 90, -90} {
			s := middle + shift*p.u
			if s < long || s > total-long {
				continue
			}
			tail, tip := w.At(s-long/2), w.At(s+long/2)
			turn := math.Atan2(tip.Y-tail.Y, tip.X-tail.X)
			at := drafting.Box{X: (tail.X + tip.X) / 2, Y: (tail.Y + tip.Y) / 2, W: long / 2, H: long / 2, Turn: turn}
			if !p.holds(at) || !p.places.Free(at) {
				continue
			}
			p.places.Take(at)
			to.Append(drafting.ArrowHead(long, turn, at.X, at.Y))
			break
		}
	}
}

func touches(l orb.LineString, b orb.Bound) bool { return len(l) > 1 && l.Bound().Intersects(b) }

// drawRows draws the planting rows, broken at their gaps.
func (p *panel) drawRows() {
	var all paint.Path
	for _, row := range p.r.Rows {
		if !touches(row.Line, p.bound) {
			continue
		}
		points := p.toSheet(row.Line, 0)
		p.shown.rows = true
		var gaps [][2]float64
		for _, g := range row.Gaps {
			gaps = append(gaps, [2]float64{g[0] * p.scale, g[1] * p.scale})
			p.shown.gaps = true
		}
		all.Append(drafting.Broken(points, gaps))
	}
	p.pane().Stroke(all, paint.Pen{Width: 2 * p.u}, look.RowLine)
}

// drawShots marks the spot heights a ground was made from.
func (p *panel) drawShots() {
	if p.r.Survey == nil {
		return
	}
	var all paint.Path
	for _, q := range p.r.Survey.Points {
		if !p.bound.Contains(q) {
			continue
		}
		x, y := p.at(q)
		all.Append(drafting.Cross(x, y, 6*p.u))
		p.shown.shots++
	}
	p.pane().Stroke(all, paint.Pen{Width: 2.4 * p.u}, look.Shot)
}

// commonSpacing is the interval of all panels, so that they read alike.
func (s *sheet) commonSpacing() contour.Spacing {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range s.panels {
		lo, hi = min(lo, p.lo), max(hi, p.hi)
	}
	return contour.Interval(lo, hi, contour.Trust*s.r.Drain.Error, s.r.Units)
}
