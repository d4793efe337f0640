package mapsheet

import (
	"wetfeet/cmd/internal/drafting"
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
		if drafting.Length(points) < 60*p.u {
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
			to.Append(drafting.Outline(c.points, c.closed))
			continue
		}
		to.Append(drafting.Broken(c.points, c.gaps))
	}
	pane := p.pane()
	pane.Stroke(thin, paint.Pen{Width: 1.7 * p.u}, look.ContourLine)
	pane.Stroke(thick, paint.Pen{Width: 3.4 * p.u}, look.ContourLine)
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
	total := drafting.Length(c.points)
	if total < 5*half {
		return
	}
	walk := drafting.NewWalk(c.points)
	step := 24 * p.u
	count := max(1, int(total/apart))
	for k := range count {
		from, to := total*float64(k)/float64(count), total*float64(k+1)/float64(count)
		rest, ok := walk.Straightest(from, to, step, half, half-3*p.u, size*0.55, 0.12, func(at drafting.Box) bool {
			return p.holds(at.Grow(8*p.u)) && p.places.Free(at.Grow(3*p.u)) && p.flowing.Free(at)
		})
		if !ok {
			continue
		}
		p.places.Take(rest.Box)
		c.gaps = append(c.gaps, [2]float64{rest.From, rest.To})
		p.layers.labels = append(p.layers.labels, label{text: c.level.Label, size: size, box: rest.Box, ink: look.ContourText, halo: 2 * p.u})
	}
}
