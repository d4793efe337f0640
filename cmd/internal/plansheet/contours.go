package plansheet

import (
	"math"
	"slices"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain"
	"wetfeet/terrain/contour"
)

// errorsOf is the error of the ground in figures, m.
type errorsOf struct {
	known              bool
	best, middle, most float64 // a quarter, half and nine tenths of the ground are at least as good
}

// measure finds the extremes of the ground, its error and the interval.
func (s *sheet) measure() {
	s.lo, s.hi = math.Inf(1), math.Inf(-1)
	var sd []float64
	for i, v := range s.p.Ground.Cells {
		if v != v {
			continue
		}
		s.lo, s.hi = min(s.lo, float64(v)), max(s.hi, float64(v))
		if s.p.Error != nil {
			if e := s.p.Error.Cells[i]; e == e {
				sd = append(sd, float64(e))
			}
		}
	}
	if len(sd) > 0 {
		slices.Sort(sd)
		s.errors = errorsOf{true, sd[len(sd)/4], sd[len(sd)/2], sd[(len(sd)*9)/10]}
	}
	// What the better parts can bear: where the ground is worse, contours are
	// broken lines. Taking the interval from the worse parts would leave the
	// better ones bare.
	s.spacing = contour.Interval(s.lo, s.hi, contour.Trust*s.errors.best, s.p.Units)
	if s.p.Interval > 0 {
		unit, _ := s.p.unit()
		s.spacing = contour.Spacing{Step: tidyStep(s.p.Interval / unit), Units: s.p.Units}
	}
}

// tidyStep takes off what an interval has gained on its way through metres.
func tidyStep(v float64) float64 {
	if r := math.Round(v*1e6) / 1e6; r > 0 {
		return r
	}
	return v
}

// A curve is a contour on a panel.
type curve struct {
	points []paint.Point
	closed bool
	level  contour.Level
	walk   drafting.Walk
	length float64      // mm
	rough  [][2]float64 // lengths along it where the ground is worse than the interval asks for
	gaps   [][2]float64 // lengths along it that labels break
	labels []item
}

// leastCurve is the shortest contour that is drawn, mm: shorter ones are knobs
// of noise.
const leastCurve = 6

// leastStub is the least that is left of an open contour beside a label, mm.
const leastStub = 4

// findContours makes the curves of a panel.
func (s *sheet) findContours(p *panel) []*curve {
	levels := s.spacing.Levels(s.lo, s.hi)
	const mostLevels = 2000 // of an interval that was asked for
	curves := findCurves(p, s.p.Ground, levels[:min(len(levels), mostLevels)])
	for _, c := range curves {
		c.rough = s.roughParts(p, c)
	}
	return curves
}

// findCurves makes the curves of any grid.
func findCurves(p *panel, z *terrain.Grid[float32], levels []contour.Level) []*curve {
	zs := make([]float64, len(levels))
	for i, l := range levels {
		zs[i] = l.Z
	}
	passes := 1
	if z.CellSize*p.scale < 0.5 {
		passes = 0 // finer than a pen
	}
	var out []*curve
	i := 0
	for _, l := range contour.Lines(z, zs) {
		for levels[i].Z != l.Level {
			i++
		}
		c := &curve{closed: l.Closed, level: levels[i]}
		const least = 0.12 // mm between points
		round := contour.Round(l.Points, passes)
		inside := false
		for k, q := range round {
			x, y := p.at(q)
			if n := len(c.points); n > 0 && k < len(round)-1 && math.Hypot(x-c.points[n-1].X, y-c.points[n-1].Y) < least {
				continue
			}
			inside = inside || x > p.x0 && x < p.x1 && y > p.y0 && y < p.y1
			c.points = append(c.points, paint.Point{X: x, Y: y})
		}
		c.length = drafting.Length(c.points)
		if !inside || c.length < leastCurve {
			continue
		}
		c.walk = drafting.NewWalk(c.points)
		out = append(out, c)
	}
	return out
}

// roughParts are the parts of a contour where nine levels in ten would not be
// within half an interval.
func (s *sheet) roughParts(p *panel, c *curve) [][2]float64 {
	if s.p.Error == nil {
		return nil
	}
	const step = 1.5 // mm
	most := s.spacing.Metres() / contour.Trust
	var out [][2]float64
	for at := 0.0; at < c.length; at += step {
		q := c.walk.At(at + step/2)
		e, ok := terrain.AtPoint(s.p.Error, p.ground(q.X, q.Y))
		if ok && float64(e) <= most {
			continue
		}
		to := min(at+step, c.length)
		if n := len(out); n > 0 && at-out[n-1][1] < 2*step { // no single dashes between
			out[n-1][1] = to
		} else {
			out = append(out, [2]float64{at, to})
		}
	}
	return slices.DeleteFunc(out, func(r [2]float64) bool { return r[1]-r[0] < 2*step && r[1]-r[0] < c.length })
}

// between are the lengths from 0 to the whole that are not in parts, which rise
// and do not overlap.
func others(parts [][2]float64, whole float64) [][2]float64 {
	var out [][2]float64
	at := 0.0
	for _, r := range parts {
		if r[0] > at {
			out = append(out, [2]float64{at, r[0]})
		}
		at = r[1]
	}
	if at < whole {
		out = append(out, [2]float64{at, whole})
	}
	return out
}

// joined is two lists of parts as one that rises and does not overlap.
func joined(a, b [][2]float64) [][2]float64 {
	all := slices.Concat(a, b)
	slices.SortFunc(all, func(x, y [2]float64) int { return slices.Compare(x[:], y[:]) })
	var out [][2]float64
	for _, r := range all {
		if n := len(out); n > 0 && r[0] <= out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], r[1])
			continue
		}
		out = append(out, r)
	}
	return out
}

// Pens of contours, mm: thin enough for two a millimetre, thick enough for a
// copier.
const (
	thinPen  = 0.2
	thickPen = 0.42
)

// addContours draws the curves, broken where their labels stand.
func (s *sheet) addContours(p *panel, curves []*curve) {
	var drawn [2][2]paint.Path // by index, then by rough
	for _, c := range curves {
		k := 0
		if c.level.Index {
			k = 1
			s.shown.index = true
		}
		s.shown.contours = true
		gaps := joined(nil, c.gaps)
		if len(gaps) == 0 && len(c.rough) == 0 {
			drawn[k][0].Append(drafting.Outline(c.points, c.closed))
			continue
		}
		drawn[k][0].Append(drafting.Broken(c.points, joined(c.rough, gaps)))
		if len(c.rough) > 0 {
			s.shown.rough = true
			drawn[k][1].Append(drafting.Broken(c.points, joined(others(c.rough, c.length), gaps)))
		}
	}
	for k, width := range [...]float64{thinPen, thickPen} {
		s.stroke(p, drawn[k][0], paint.Pen{Width: width}, look.ContourText)
		s.stroke(p, drawn[k][1], paint.Pen{Width: width, Dash: roughDash}, look.ContourText)
	}
}

var roughDash = []float64{1.8, 1.1}

// labelContours finds places for the levels of contours: a hand apart on those
// the others are counted from, two on the others, at the straightest free
// places.
func (s *sheet) labelContours(p *panel, curves []*curve, index bool) {
	apart := 150.0
	if index {
		apart = 75
	}
	for _, c := range curves {
		if c.level.Index != index {
			continue
		}
		half := s.face(index).Width(c.level.Label, labelSize)/2 + 0.7
		if c.length < 6*half {
			continue
		}
		count := max(1, int(c.length/apart))
		for k := range count {
			from, to := c.length*float64(k)/float64(count), c.length*float64(k+1)/float64(count)
			if !c.closed { // no stubs beyond the first and the last
				from, to = max(from, leastStub), min(to, c.length-leastStub)
			}
			rest, ok := c.walk.Straightest(from, to, 1.5, half, half-0.2, labelSize*0.52, 0.1, func(at drafting.Box) bool {
				return p.holds(at.Grow(0.6)) && s.places.Free(at.Grow(0.3))
			})
			if !ok {
				continue
			}
			s.places.Take(rest.Box)
			c.gaps = append(c.gaps, [2]float64{rest.From, rest.To})
			c.labels = append(c.labels, s.label(p, c.level.Label, index, labelSize, rest.Box, look.ContourText, 0.25))
		}
	}
}

// keepClear marks where contours run, in short straight pieces.
func (s *sheet) keepClear(p *panel, curves []*curve) {
	for _, c := range curves {
		s.along(&s.lines, p, c.points, 0.3)
	}
	for _, l := range s.p.Breaklines {
		for _, points := range p.onSheet(l.Points, l.Closed) {
			s.along(&s.places, p, points, 1.2)
		}
	}
}

func (s *sheet) along(to *drafting.Placement, p *panel, points []paint.Point, width float64) {
	if len(points) == 0 {
		return
	}
	from := points[0]
	for i, q := range points[1:] {
		d := math.Hypot(q.X-from.X, q.Y-from.Y)
		if d < 2 && i < len(points)-2 || d == 0 {
			continue
		}
		// Long segments in pieces, so that the index holds small boxes.
		n := max(1, int(d/8))
		for k := range n {
			a := paint.Point{X: from.X + (q.X-from.X)*float64(k)/float64(n), Y: from.Y + (q.Y-from.Y)*float64(k)/float64(n)}
			b := paint.Point{X: from.X + (q.X-from.X)*float64(k+1)/float64(n), Y: from.Y + (q.Y-from.Y)*float64(k+1)/float64(n)}
			if box := drafting.Span(a.X, a.Y, b.X, b.Y, width); near(box, p) {
				to.Take(box)
			}
		}
		from = q
	}
}

func near(b drafting.Box, p *panel) bool {
	return b.X+b.W > p.x0 && b.X-b.W < p.x1 && b.Y+b.W > p.y0 && b.Y-b.W < p.y1
}
