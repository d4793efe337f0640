package mapsheet

import (
	"image"
	"image/color"
	"math"

	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain"
	"wetfeet/terrain/contour"

	"github.com/paulmach/orb"
)

// drawGround tints every pixel of the panel: shade, water or nothing known.
func (p *panel) drawGround() {
	g := p.tone.Frame
	across := sampling(p.rect.Dx(), func(x float64) float64 {
		return (p.bound.Min[0]+x/p.scale-g.West)/g.CellSize - 0.5
	}, g.Cols)
	down := sampling(p.rect.Dy(), func(y float64) float64 {
		return (g.North-(p.bound.Max[1]-y/p.scale))/g.CellSize - 0.5
	}, g.Rows)
	tones := ramp()
	depths := look.Depths(p.r.Units)
	m := p.canvas.Image()
	hatch := max(2, int(14*p.u))
	rowsShown := make([]seen, p.rect.Dy())
	terrain.Bands(p.rect.Dy(), func(lo, hi int) {
		for y := lo; y < hi; y++ {
			rowsShown[y] = p.tintRow(m, y, across, down[y], &tones, depths, hatch)
		}
	})
	for _, s := range rowsShown {
		p.shown.void = p.shown.void || s.void
		for i := range p.shown.depths {
			p.shown.depths[i] = p.shown.depths[i] || s.depths[i]
		}
	}
}

// seen is what one row of pixels turned out to hold.
type seen struct {
	void   bool
	depths [8]bool
}

// A sample says where a pixel falls between two rows or columns of cells.
type sample struct {
	a, b    int     // cells
	t       float32 // from a to b
	nearest int
	off     bool // beyond the grid
}

func sampling(n int, cell func(float64) float64, cells int) []sample {
	out := make([]sample, n)
	for i := range out {
		at := cell(float64(i) + 0.5)
		k := math.Floor(at)
		s := sample{a: int(k), b: int(k) + 1, t: float32(at - k)}
		// A panel is whole pixels: its last may reach past the rim by a part.
		pixel := cell(1) - cell(0)
		s.off = at < -0.5-pixel || at > float64(cells)-0.5+pixel
		s.a, s.b = min(max(s.a, 0), cells-1), min(max(s.b, 0), cells-1)
		s.nearest = s.a
		if s.t >= 0.5 {
			s.nearest = s.b
		}
		out[i] = s
	}
	return out
}

func (p *panel) tintRow(m *image.RGBA, y int, across []sample, v sample, tones *[256]color.RGBA, depths []look.DepthClass, hatch int) (s seen) {
	i := m.PixOffset(p.rect.Min.X, p.rect.Min.Y+y)
	pix := m.Pix[i : i+4*len(across)]
	var above, below, nearest, waterAbove, waterBelow []float32
	if !v.off {
		above, below, nearest = p.tone.Row(v.a), p.tone.Row(v.b), p.tone.Row(v.nearest)
		waterAbove, waterBelow = p.wet.Row(v.a), p.wet.Row(v.b)
	}
	for x, h := range across {
		ink := look.Unknown
		known := !v.off && !h.off
		if known {
			tone := nearest[h.nearest]
			if mixed := between(above, below, h, v.t); mixed == mixed {
				tone = mixed
			}
			known = tone == tone
			if known {
				ink = tones[uint8(tone*255)]
			}
		}
		if known {
			if d := between(waterAbove, waterBelow, h, v.t); d > 0 {
				k := len(depths) - 1
				for k > 0 && float64(d) <= depths[k].From {
					k--
				}
				ink = depths[k].Fill
				s.depths[k] = true
			}
		} else {
			s.void = true
			if (x+y)%hatch < max(1, hatch/7) {
				ink = look.UnknownLine
			}
		}
		q := pix[4*x : 4*x+4 : 4*x+4]
		q[0], q[1], q[2] = ink.R, ink.G, ink.B
	}
	return s
}

func between(above, below []float32, h sample, t float32) float32 {
	a := above[h.a] + h.t*(above[h.b]-above[h.a])
	b := below[h.a] + h.t*(below[h.b]-below[h.a])
	return a + t*(b-a)
}

// toSheet brings a line of the ground onto the sheet, rounded for the eye and
// without points nearer to each other than the sheet can show. A ring stays
// one.
func (p *panel) toSheet(points orb.LineString, rounds int) []paint.Point {
	const least = 1.3 // px
	round := contour.Round(points, rounds)
	out := make([]paint.Point, 0, len(round))
	for i, q := range round {
		x, y := p.at(q)
		if n := len(out); n > 0 && i < len(round)-1 && math.Hypot(x-out[n-1].X, y-out[n-1].Y) < least {
			continue
		}
		out = append(out, paint.Point{X: x, Y: y})
	}
	return out
}

// enclosed is the area within a ring, px².
func enclosed(ring []paint.Point) float64 {
	sum := 0.0
	for i := 1; i < len(ring); i++ {
		sum += ring[i-1].X*ring[i].Y - ring[i].X*ring[i-1].Y
	}
	return math.Abs(sum) / 2
}

// pane is the canvas within the panel.
func (p *panel) pane() *paint.Canvas { return p.canvas.Window(p.rect) }

// drawShores outlines the water and the islands in it, and in dashes the brims
// that it does not reach.
func (p *panel) drawShores() {
	p.drawBrims()
	var all paint.Path
	for _, l := range contour.Lines(p.wet, []float64{0}) {
		points := p.toSheet(l.Points, 1)
		if l.Closed && enclosed(points) < 80*p.u*p.u {
			continue // a speck
		}
		p.shown.hollows = true
		all.Append(drafting.Outline(points, l.Closed))
	}
	p.pane().Stroke(all, paint.Pen{Width: 2.4 * p.u}, look.Shore)
}

// drawBrims draws how far full hollows would reach, where that is beyond the
// water.
func (p *panel) drawBrims() {
	const apart = 0.01 // m from the level of the water
	if p.wet == p.filled {
		return
	}
	var all paint.Path
	for _, l := range contour.Lines(p.filled, []float64{0}) {
		points := p.toSheet(l.Points, 1)
		if l.Closed && enclosed(points) < 80*p.u*p.u {
			continue
		}
		from := 0
		for i := 0; i <= len(points); i++ {
			if i < len(points) && p.depth(p.wet, points[i]) < -apart {
				continue
			}
			if i-from > 1 {
				p.shown.brims = true
				all.Append(dashed(points[from:i], 13*p.u, 9*p.u))
			}
			from = i + 1
		}
	}
	p.pane().Stroke(all, paint.Pen{Width: brimWidth * p.u}, look.Shore)
}

// brimWidth is the width of the dashes of a brim, px of a sheet 2400 wide.
const brimWidth = 2

// dashed is a line of dashes so long and so far apart.
func dashed(points []paint.Point, long, apart float64) paint.Path {
	var out paint.Path
	at, drawing := 0.0, false // length into the dash or the gap
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		step := math.Hypot(b.X-a.X, b.Y-a.Y)
		if i == 1 {
			out.MoveTo(a.X, a.Y)
			drawing = true
		}
		for done := 0.0; done < step; {
			end := apart
			if drawing {
				end = long
			}
			part := min(end-at, step-done)
			done, at = done+part, at+part
			x, y := a.X+(b.X-a.X)*done/step, a.Y+(b.Y-a.Y)*done/step
			if drawing {
				out.LineTo(x, y)
			}
			if at >= end {
				if at, drawing = 0, !drawing; drawing {
					out.MoveTo(x, y)
				}
			}
		}
	}
	return out
}

// depth is that of water at a point of the sheet, m, dry where not positive.
func (p *panel) depth(of *terrain.Grid[float32], q paint.Point) float64 {
	row, col, ok := of.Locate(p.onGround(q))
	if !ok {
		return brim.Dry
	}
	return float64(of.At(row, col))
}
