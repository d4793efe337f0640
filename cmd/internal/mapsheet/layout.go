package mapsheet

import (
	"image"
	"math"

	"wetfeet/cmd/internal/drafting"
	"wetfeet/cmd/internal/paint"

	"github.com/paulmach/orb"
)

// Measures of the sheet, px of a sheet 2400 wide.
const (
	margin     = 56
	titleHigh  = 196
	legendWide = 640
	gutter     = 48 // between map and legend
	axisHigh   = 42 // room for coordinates above and left of a map
	stripGap   = 84 // between strips of one site, coordinates included
	textSize   = 30
	labelSize  = 28 // of trees and hollows on the map
	smallSize  = 26
	headSize   = 34
)

// fold is the proportion from which a site is laid out in strips; mostStrips
// of them fill a sheet.
const (
	fold       = 3
	mostStrips = 8
	overlap    = 0.04 // of a strip, shown again on the next
)

// mostShrunk is how many times smaller the planting may be drawn for all the
// known ground to be on the sheet.
const mostShrunk = 2.5

// A panel is one window on the ground.
type panel struct {
	*sheet
	rect  image.Rectangle // on the sheet
	bound orb.Bound       // on the ground
	scale float64         // px a metre
	part  int             // from 0, of the site's strips

	window                     // the ground seen through it
	layers  layers             // what it draws
	flowing drafting.Placement // where flow lines run: labels keep clear of them where they can
}

// A way is one way to lay out a sheet.
type way struct {
	strips      int
	below       bool // legend below the map, not beside it
	scale       float64
	mapW, mapH  float64 // of all strips together, px
	bodyW, body float64 // room for them, px
	height      float64
}

// arrange chooses the extent, the strips, the place of the legend and the
// height of the sheet: the largest scale wins, a strip more must make it a
// third larger, and beside is better than below unless that is a tenth larger.
// All the known ground is shown where that does not make the planting much
// smaller.
func (s *sheet) arrange() {
	blocks := s.legend(s.possible())
	e := s.planting()
	best := s.bestWay(e, blocks)
	if all := s.known.Union(e); all != e {
		if w := s.bestWay(all, blocks); w.scale*mostShrunk >= best.scale {
			e, best = all, w
		}
	}
	s.height = int(math.Ceil(best.height))
	s.below = best.below
	s.lay(e, best, e.Max[1]-e.Min[1] > e.Max[0]-e.Min[0])
}

// bestWay is the way to show a part of the ground.
func (s *sheet) bestWay(e orb.Bound, blocks []block) way {
	wide, high := e.Max[0]-e.Min[0], e.Max[1]-e.Min[1]
	tall := high > wide
	footer := s.footerHigh()
	try := func(n int, below bool) way {
		w := way{strips: n, below: below}
		u := s.u
		w.bodyW = float64(s.width) - (2*margin+axisHigh)*u
		legend := s.columnsHigh(blocks, 1)
		if below {
			legend = s.columnsHigh(blocks, s.columns()) + gutter*u
		} else {
			w.bodyW -= (legendWide + gutter) * u
		}
		most := math.Sqrt2*float64(s.width) - (titleHigh+axisHigh+margin)*u - footer
		if below {
			most -= legend
		}
		gaps := float64(n-1) * stripGap * u
		stretch := 1.0
		if n > 1 {
			stretch += overlap
		}
		if tall {
			w.scale = min((w.bodyW-gaps)/(float64(n)*wide), most/(high/float64(n)*stretch))
			w.mapW, w.mapH = float64(n)*wide*w.scale+gaps, high/float64(n)*stretch*w.scale
		} else {
			w.scale = min(w.bodyW/(wide/float64(n)*stretch), (most-gaps)/(float64(n)*high))
			w.mapW, w.mapH = wide/float64(n)*stretch*w.scale, float64(n)*high*w.scale+gaps
		}
		w.body = w.mapH
		if !below {
			w.body = max(w.body, legend)
		}
		w.height = (titleHigh+axisHigh+margin)*u + footer + w.body
		if below {
			w.height += legend
		}
		if least := float64(s.width) / 2; w.height < least {
			w.body += least - w.height
			w.height = least
		}
		return w
	}
	best := try(1, false)
	if w := try(1, true); w.scale > 1.1*best.scale {
		best = w
	}
	if max(wide, high) >= fold*min(wide, high) {
		for n := 2; n <= mostStrips; n++ {
			for _, below := range [...]bool{false, true} {
				if w := try(n, below); w.scale > (1+0.33*float64(n-best.strips))*best.scale {
					best = w
				}
			}
		}
	}
	return best
}

// lay makes the panels of a way. A single one grows into the room that is left
// as far as there is ground.
func (s *sheet) lay(e orb.Bound, w way, tall bool) {
	x0, y0 := (margin+axisHigh)*s.u, (titleHigh+axisHigh)*s.u
	wide, high := e.Max[0]-e.Min[0], e.Max[1]-e.Min[1]
	if w.strips == 1 {
		ground := s.known
		e = stretch(e, ground, 0, w.bodyW/w.scale)
		e = stretch(e, ground, 1, w.body/w.scale)
		s.addPanel(e, w.scale, x0, y0)
		return
	}
	n := float64(w.strips)
	for i := range w.strips {
		b := e
		k := float64(i)
		if tall {
			// The northern end comes first, at the left.
			part := high / n
			top := e.Max[1] - k*part + part*overlap/2
			b.Max[1], b.Min[1] = top, top-part*(1+overlap)
			s.addPanel(b, w.scale, x0+k*(wide*w.scale+stripGap*s.u), y0)
		} else {
			part := wide / n
			left := e.Min[0] + k*part - part*overlap/2
			b.Min[0], b.Max[0] = left, left+part*(1+overlap)
			s.addPanel(b, w.scale, x0, y0+k*(high*w.scale+stripGap*s.u))
		}
	}
}

// stretch widens a bound on one axis about its middle to a length, but not
// beyond a limit.
func stretch(b, limit orb.Bound, axis int, length float64) orb.Bound {
	spare := length - (b.Max[axis] - b.Min[axis])
	if spare <= 0 {
		return b
	}
	before := max(b.Min[axis]-limit.Min[axis], 0)
	after := max(limit.Max[axis]-b.Max[axis], 0)
	lo := min(before, max(spare/2, spare-after))
	hi := min(after, spare-lo)
	b.Min[axis] -= lo
	b.Max[axis] += hi
	return b
}

func (s *sheet) addPanel(b orb.Bound, scale, x, y float64) {
	left, top := math.Round(x), math.Round(y)
	w, h := math.Round((b.Max[0]-b.Min[0])*scale), math.Round((b.Max[1]-b.Min[1])*scale)
	s.panels = append(s.panels, &panel{
		sheet: s, part: len(s.panels), bound: b, scale: scale,
		rect: image.Rect(int(left), int(top), int(left+max(w, 1)), int(top+max(h, 1))),
	})
}

// at is where a point of the ground is on the sheet.
func (p *panel) at(q orb.Point) (x, y float64) {
	return float64(p.rect.Min.X) + (q[0]-p.bound.Min[0])*p.scale,
		float64(p.rect.Min.Y) + (p.bound.Max[1]-q[1])*p.scale
}

// onGround is the point of the ground at one of the sheet.
func (p *panel) onGround(q paint.Point) orb.Point {
	return orb.Point{
		p.bound.Min[0] + (q.X-float64(p.rect.Min.X))/p.scale,
		p.bound.Max[1] - (q.Y-float64(p.rect.Min.Y))/p.scale,
	}
}

// holds reports whether a box lies wholly within the panel.
func (p *panel) holds(b drafting.Box) bool {
	x0, y0, x1, y1 := b.Bounds()
	return x0 >= float64(p.rect.Min.X) && y0 >= float64(p.rect.Min.Y) &&
		x1 <= float64(p.rect.Max.X) && y1 <= float64(p.rect.Max.Y)
}
