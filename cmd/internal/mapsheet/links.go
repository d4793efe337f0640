package mapsheet

import (
	"math"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
)

// Measures of pipes and ditches, px of a sheet 2400 wide.
const (
	bankApart = 10.0 // the banks of a ditch, outside to outside
	bankWidth = 2.6  // of each
	pipeWidth = 6.0
	pipeLong  = 15.0 // its dashes and what is between them
	pipeApart = 9.0
)

// A lead is a pipe or ditch on a panel, downstream.
type lead struct {
	ditch  bool
	points []paint.Point
}

// placeLinks finds the pipes and ditches of a panel and puts their names at
// their upper ends, where there is room.
func (p *panel) placeLinks() {
	for _, l := range p.r.Links {
		if !touches(l.Line, p.bound) {
			continue
		}
		points := p.toSheet(l.Line, 0)
		p.layers.leads = append(p.layers.leads, lead{l.Ditch, points})
		p.shown.ditches, p.shown.pipes = p.shown.ditches || l.Ditch, p.shown.pipes || !l.Ditch
		p.keepClear(points, bankApart*p.u)
		start, next, ok := p.entry(l.Line)
		if !ok || l.Name == "" {
			continue
		}
		size := labelSize * p.u
		text := p.bold.Fit(l.Name, size, 360*p.u)
		half := p.textBox(p.bold, text, size, 0, 0)
		if b, ok := p.around(half, start, math.Atan2(start.Y-next.Y, start.X-next.X), 8*p.u); ok {
			p.places.Take(b)
			p.layers.labels = append(p.layers.labels, label{text: text, size: size, bold: true, ink: look.Shore, halo: 4 * p.u, box: b})
		}
	}
}

// drawLinks draws ditches as two banks and pipes as dashes, with arrows
// downstream.
func (p *panel) drawLinks() {
	pane := p.pane()
	for _, l := range p.layers.leads {
		drawLead(pane, l, p.u)
		var arrows paint.Path
		p.arrows(&arrows, l.points, 2)
		pane.Stroke(arrows, paint.Pen{Width: 3 * p.u}, look.Paper)
		pane.Fill(arrows, look.Shore)
	}
}

// drawLead draws one, u px a unit of the sheet.
func drawLead(c *paint.Canvas, l lead, u float64) {
	line := paint.Polyline(l.points...)
	c.Stroke(line, paint.Pen{Width: (bankApart + 4) * u}, look.Paper)
	if l.ditch {
		c.Stroke(line, paint.Pen{Width: bankApart * u}, look.Shore)
		c.Stroke(line, paint.Pen{Width: (bankApart - 2*bankWidth) * u}, look.Paper)
		return
	}
	c.Stroke(dashed(l.points, pipeLong*u, pipeApart*u), paint.Pen{Width: pipeWidth * u}, look.Shore)
}

// linkEntries are those of the legend.
func (s *sheet) linkEntries(sh shown) (out []entry) {
	sample := func(ditch bool) func(c *paint.Canvas, x, y float64) {
		return func(c *paint.Canvas, x, y float64) {
			drawLead(c, lead{ditch, []paint.Point{{X: x - 34*s.u, Y: y}, {X: x + 34*s.u, Y: y}}}, s.u)
			c.Fill(drafting.ArrowHead(19*s.u, 0, x, y), look.Shore)
		}
	}
	if sh.ditches {
		out = append(out, entry{text: "ditch of the plan", sample: sample(true)})
	}
	if sh.pipes {
		out = append(out, entry{text: "pipe of the plan", sample: sample(false)})
	}
	return out
}
