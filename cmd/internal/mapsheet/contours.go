package mapsheet

import (
	"math"

	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/contour"
)

// A curve is a contour on the sheet.
type curve struct {
	points []paint.Point
	closed bool
	level  contour.Level
	gaps   [][2]float64 // lengths along it that labels break, px
}

// findContours makes the curves of a panel.
func (p *panel) findContours() {
	levels := p.spacing.Levels(p.lo, p.hi)
	zs := make([]float64, len(levels))
	for i, l := range levels {
		zs[i] = l.Z
	}
	i := 0
	for _, l := range contour.Lines(p.z, zs) {
		for levels[i].Z != l.Level {
			i++
		}
		points := p.toSheet(l.Points, 2)
		if length(points) < 60*p.u {
			continue // a knob of noise
		}
		p.layers.curves = append(p.layers.curves, curve{points: points, closed: l.Closed, level: levels[i]})
	}
}

// drawContours draws the curves, broken where their labels stand.
func (p *panel) drawContours() {
	var thin, thick paint.Path
	for _, c := range p.layers.curves {
		to := &thin
		if c.level.Index {
			to = &thick
			p.shown.index = true
		}
		p.shown.contours = true
		if len(c.gaps) == 0 {
			to.Append(outline(c.points, c.closed))
			continue
		}
		to.Append(broken(c.points, c.gaps))
	}
	pane := p.pane()
	pane.Stroke(thin, paint.Pen{Width: 1.7 * p.u}, look.ContourLine)
	pane.Stroke(thick, paint.Pen{Width: 3.4 * p.u}, look.ContourLine)
}

// broken is the line without the parts between the given lengths along it,
// which rise and do not overlap.
func broken(points []paint.Point, gaps [][2]float64) paint.Path {
	var out paint.Path
	at := 0.0
	drawing := false
	inside := func(s float64) bool {
		for _, g := range gaps {
			if s > g[0] && s < g[1] {
				return true
			}
		}
		return false
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		step := math.Hypot(b.X-a.X, b.Y-a.Y)
		// The lengths at which this segment meets the edge of a gap.
		cuts := []float64{at}
		for _, g := range gaps {
			for _, s := range g {
				if s > at && s < at+step {
					cuts = append(cuts, s)
				}
			}
		}
		cuts = append(cuts, at+step)
		for k := 1; k < len(cuts); k++ {
			from, to := cuts[k-1], cuts[k]
			if inside((from + to) / 2) {
				drawing = false
				continue
			}
			if !drawing {
				out.MoveTo(a.X+(b.X-a.X)*(from-at)/step, a.Y+(b.Y-a.Y)*(from-at)/step)
				drawing = true
			}
			out.LineTo(a.X+(b.X-a.X)*(to-at)/step, a.Y+(b.Y-a.Y)*(to-at)/step)
		}
		at += step
	}
	return out
}

// placeContourLabels finds places for the elevations of contours.
func (p *panel) placeContourLabels() {
	for i := range p.layers.curves {
		p.labelCurve(&p.layers.curves[i])
	}
}

// labelCurve puts labels a hand apart, two hands on lighter lines, at the
// straightest free places.
func (p *panel) labelCurve(c *curve) {
	apart := 1600 * p.u
	if c.level.Index {
		apart = 900 * p.u
	}
	size := smallSize * p.u
	half := p.regular.Width(c.level.Label, size)/2 + 7*p.u
	total := length(c.points)
	if total < 5*half {
		return
	}
	walk := newWalk(c.points)
	step := 24 * p.u
	count := max(1, int(total/apart))
	for k := range count {
		from, to := total*float64(k)/float64(count), total*float64(k+1)/float64(count)
		best, bend := -1.0, 0.12 // radians of the chord's fall-back per half label
		var where box
		for s := from + half + step/2; s < to-half-step/2; s += step {
			a, m, b := walk.at(s-half), walk.at(s), walk.at(s+half)
			chord := math.Hypot(b.X-a.X, b.Y-a.Y)
			if chord == 0 {
				continue
			}
			// How far the line leaves the chord, and how much longer it is.
			off := math.Abs((m.X-a.X)*(b.Y-a.Y)-(m.Y-a.Y)*(b.X-a.X))/chord/half + 1 - chord/(2*half)
			if off >= bend {
				continue
			}
			at := box{
				x: (a.X + 2*m.X + b.X) / 4, y: (a.Y + 2*m.Y + b.Y) / 4,
				w: half - 3*p.u, h: size * 0.55,
				turn: paint.Upright(math.Atan2(b.Y-a.Y, b.X-a.X)),
			}
			if p.holds(at.grow(8*p.u)) && p.places.free(at.grow(3*p.u)) && p.flowing.free(at) {
				best, bend, where = s, off, at
			}
		}
		if best < 0 {
			continue
		}
		p.places.take(where)
		c.gaps = append(c.gaps, [2]float64{best - half, best + half})
		p.layers.labels = append(p.layers.labels, label{text: c.level.Label, size: size, box: where, ink: look.ContourText, halo: 2 * p.u})
	}
}

// A walk finds points by their length along a line.
type walk struct {
	points []paint.Point
	along  []float64
}

func newWalk(points []paint.Point) walk {
	w := walk{points, make([]float64, len(points))}
	for i := 1; i < len(points); i++ {
		w.along[i] = w.along[i-1] + math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y)
	}
	return w
}

// at is the point at a length along the line, held to its ends.
func (w walk) at(s float64) paint.Point {
	lo, hi := 0, len(w.along)-1
	if s <= 0 {
		return w.points[0]
	}
	if s >= w.along[hi] {
		return w.points[hi]
	}
	for hi-lo > 1 { // along[lo] <= s < along[hi]
		if m := (lo + hi) / 2; w.along[m] <= s {
			lo = m
		} else {
			hi = m
		}
	}
	t := (s - w.along[lo]) / (w.along[hi] - w.along[lo])
	a, b := w.points[lo], w.points[hi]
	return paint.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}
