package paint

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/vector"
)

// A Canvas is an opaque picture to draw on. It is not safe for use by several
// goroutines at once.
type Canvas struct {
	image  *image.RGBA
	clip   image.Rectangle
	pencil *pencil
}

// The pencil is what all windows of a picture share.
type pencil struct {
	raster vector.Rasterizer
	mask   image.Alpha
}

// New is a picture of one colour, w by h pixels.
func New(w, h int, paper color.RGBA) *Canvas {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(m, m.Rect, image.NewUniform(paper), image.Point{}, draw.Src)
	return &Canvas{m, m.Rect, new(pencil)}
}

// Image is the picture itself.
func (c *Canvas) Image() *image.RGBA { return c.image }

// Window is the same picture, drawn on only within r.
func (c *Canvas) Window(r image.Rectangle) *Canvas {
	return &Canvas{c.image, c.clip.Intersect(r), c.pencil}
}

// Clip is the part of the picture that is drawn on.
func (c *Canvas) Clip() image.Rectangle { return c.clip }

// Stroke draws along a path.
func (c *Canvas) Stroke(p Path, pen Pen, ink color.RGBA) {
	if pen.Width > 0 {
		c.Fill(p.Outline(pen), ink)
	}
}

// tile is the side of the largest raster a path is drawn through, px. Long
// thin lines then cost their length and not the rectangle around them. At 256
// the raster stays in cache and in its quicker whole-number arithmetic.
const tile = 256

// A shape is a straightened outline and the rectangle around it.
type shape struct {
	points         []Point
	x0, y0, x1, y1 float64
}

// Fill colours the inside of a path: all that its outlines go around, holes
// being outlines that run the other way. The ink may be translucent; its
// colour is then the premultiplied one of image/color.
func (c *Canvas) Fill(p Path, ink color.RGBA) {
	shapes := make([]shape, 0, 8)
	all := shape{x0: math.Inf(1), y0: math.Inf(1), x1: math.Inf(-1), y1: math.Inf(-1)}
	for _, r := range p.runs() {
		if len(r.points) < 3 {
			continue
		}
		s := shape{points: r.points, x0: math.Inf(1), y0: math.Inf(1), x1: math.Inf(-1), y1: math.Inf(-1)}
		for _, q := range r.points {
			s.x0, s.x1 = min(s.x0, q.X), max(s.x1, q.X)
			s.y0, s.y1 = min(s.y0, q.Y), max(s.y1, q.Y)
		}
		if !(s.x0 < float64(c.clip.Max.X) && s.x1 > float64(c.clip.Min.X) &&
			s.y0 < float64(c.clip.Max.Y) && s.y1 > float64(c.clip.Min.Y)) {
			continue
		}
		shapes = append(shapes, s)
		all.x0, all.x1 = min(all.x0, s.x0), max(all.x1, s.x1)
		all.y0, all.y1 = min(all.y0, s.y0), max(all.y1, s.y1)
	}
	if len(shapes) == 0 {
		return
	}
	clip := c.clip
	lo := func(v float64, least int) int { return int(math.Floor(max(v, float64(least)))) }
	hi := func(v float64, most int) int { return int(math.Ceil(min(v, float64(most)))) }
	area := image.Rect(lo(all.x0, clip.Min.X), lo(all.y0, clip.Min.Y), hi(all.x1, clip.Max.X), hi(all.y1, clip.Max.Y))
	if area.Empty() {
		return
	}
	across, down := (area.Dx()+tile-1)/tile, (area.Dy()+tile-1)/tile
	in := make([][]int32, across*down)
	for i := range shapes {
		s := &shapes[i]
		c0, c1 := (lo(s.x0, area.Min.X)-area.Min.X)/tile, (hi(s.x1, area.Max.X)-1-area.Min.X)/tile
		r0, r1 := (lo(s.y0, area.Min.Y)-area.Min.Y)/tile, (hi(s.y1, area.Max.Y)-1-area.Min.Y)/tile
		for r := r0; r <= min(r1, down-1); r++ {
			for k := c0; k <= min(c1, across-1); k++ {
				in[r*across+k] = append(in[r*across+k], int32(i))
			}
		}
	}
	for i, list := range in {
		if len(list) == 0 {
			continue
		}
		at := area.Min.Add(image.Pt(i%across*tile, i/across*tile))
		c.fillTile(shapes, list, image.Rectangle{at, at.Add(image.Pt(tile, tile))}.Intersect(area), ink)
	}
}

// fillTile draws the listed shapes within one rectangle.
func (c *Canvas) fillTile(shapes []shape, list []int32, r image.Rectangle, ink color.RGBA) {
	w, h := r.Dx(), r.Dy()
	z := &c.pencil.raster
	z.Reset(w, h)
	z.DrawOp = draw.Src
	x0, y0 := float64(r.Min.X), float64(r.Min.Y)
	for _, i := range list {
		s := &shapes[i]
		points := s.points
		// The raster's arithmetic is exact near the tile only.
		if s.x0 < x0-tile || s.y0 < y0-tile || s.x1 > x0+2*tile || s.y1 > y0+2*tile {
			points = cut(points, x0-tile, y0-tile, x0+2*tile, y0+2*tile)
		}
		for k, q := range points {
			x, y := float32(q.X-x0), float32(q.Y-y0)
			if k == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
	}
	m := &c.pencil.mask
	if n := w * h; cap(m.Pix) < n {
		m.Pix = make([]uint8, n)
	} else {
		m.Pix = m.Pix[:n]
	}
	m.Stride, m.Rect = w, image.Rect(0, 0, w, h)
	z.Draw(m, m.Rect, image.Opaque, image.Point{})

	for y := range h {
		row := m.Pix[y*w : (y+1)*w]
		i := c.image.PixOffset(r.Min.X, r.Min.Y+y)
		pix := c.image.Pix[i : i+4*w]
		for x, a := range row {
			if a != 0 {
				mix(pix[4*x:4*x+4:4*x+4], ink, uint32(a))
			}
		}
	}
}

// mix lays part/255 of an ink over an opaque pixel.
func mix(pix []uint8, ink color.RGBA, part uint32) {
	stays := 255*255 - part*uint32(ink.A)
	lay := func(under, over uint8) uint8 {
		return uint8((uint32(over)*part*255 + uint32(under)*stays + 255*255/2) / (255 * 255))
	}
	pix[0], pix[1], pix[2] = lay(pix[0], ink.R), lay(pix[1], ink.G), lay(pix[2], ink.B)
}

// cut is the part of a closed polygon within a rectangle: Sutherland, I.E.,
// Hodgman, G.W. (1974), Reentrant polygon clipping, Communications of the ACM
// 17(1), 32–42. Coverage inside the rectangle is unchanged.
func cut(points []Point, x0, y0, x1, y1 float64) []Point {
	for side := range 4 {
		depth := func(p Point) float64 { // positive inside
			switch side {
			case 0:
				return p.X - x0
			case 1:
				return x1 - p.X
			case 2:
				return p.Y - y0
			}
			return y1 - p.Y
		}
		var out []Point
		for i, q := range points {
			p := points[(i+len(points)-1)%len(points)]
			dp, dq := depth(p), depth(q)
			if (dp < 0) != (dq < 0) {
				out = append(out, p.toward(q, dp/(dp-dq)))
			}
			if dq >= 0 {
				out = append(out, q)
			}
		}
		points = out
	}
	return points
}

// Text writes a line of text, begun on its base line at (0, 0) and then placed.
func (c *Canvas) Text(f *Face, text string, size float64, at Placing, ink color.RGBA) {
	c.Fill(f.Path(text, size).At(at), ink)
}

// Within lets draw draw within a rectangle, taken to the nearest pixel.
func (c *Canvas) Within(x0, y0, x1, y1 float64, draw func(Drawing)) {
	px := func(v float64) int { return int(math.Round(v)) }
	draw(c.Window(image.Rect(px(x0), px(y0), px(x1), px(y1))))
}
