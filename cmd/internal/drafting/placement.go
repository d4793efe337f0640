package drafting

import "math"

// A Box is a rectangle that may be turned: what a label or a mark covers.
type Box struct {
	X, Y float64 // its middle
	W, H float64 // half its sides
	Turn float64 // radians, clockwise as seen
}

// axes are the directions of its sides.
func (b Box) axes() (ux, uy, vx, vy float64) {
	if b.Turn == 0 {
		return 1, 0, 0, 1
	}
	sin, cos := math.Sincos(b.Turn)
	return cos, sin, -sin, cos
}

// Bounds is the upright rectangle around it.
func (b Box) Bounds() (x0, y0, x1, y1 float64) {
	ux, uy, vx, vy := b.axes()
	rx := math.Abs(ux)*b.W + math.Abs(vx)*b.H
	ry := math.Abs(uy)*b.W + math.Abs(vy)*b.H
	return b.X - rx, b.Y - ry, b.X + rx, b.Y + ry
}

// Grow is the box with d more on each side.
func (b Box) Grow(d float64) Box {
	b.W, b.H = b.W+d, b.H+d
	return b
}

// Meets reports whether two boxes overlap: they do unless one of their four
// side directions separates them.
func (b Box) Meets(c Box) bool {
	dx, dy := c.X-b.X, c.Y-b.Y
	bux, buy, bvx, bvy := b.axes()
	cux, cuy, cvx, cvy := c.axes()
	apart := func(ax, ay float64) bool {
		reach := b.W*math.Abs(bux*ax+buy*ay) + b.H*math.Abs(bvx*ax+bvy*ay) +
			c.W*math.Abs(cux*ax+cuy*ay) + c.H*math.Abs(cvx*ax+cvy*ay)
		return math.Abs(dx*ax+dy*ay) >= reach
	}
	return !(apart(bux, buy) || apart(bvx, bvy) || apart(cux, cuy) || apart(cvx, cvy))
}

// Span is the box of a straight line of some width.
func Span(x0, y0, x1, y1, width float64) Box {
	return Box{
		X: (x0 + x1) / 2, Y: (y0 + y1) / 2,
		W: math.Hypot(x1-x0, y1-y0) / 2, H: width / 2,
		Turn: math.Atan2(y1-y0, x1-x0),
	}
}

// A Placement remembers where things are, so that labels keep clear of them.
type Placement struct {
	Cell  float64 // side of a cell of its index: about as long as a label
	taken []Box
	index map[[2]int][]int
}

// Take marks a box as taken.
func (p *Placement) Take(b Box) {
	if p.index == nil {
		p.index = make(map[[2]int][]int)
	}
	p.taken = append(p.taken, b)
	p.cells(b, func(k [2]int) bool {
		p.index[k] = append(p.index[k], len(p.taken)-1)
		return true
	})
}

// Free reports whether a box meets none that is taken.
func (p *Placement) Free(b Box) bool {
	return p.cells(b, func(k [2]int) bool {
		for _, i := range p.index[k] {
			if p.taken[i].Meets(b) {
				return false
			}
		}
		return true
	})
}

func (p *Placement) cells(b Box, visit func([2]int) bool) bool {
	x0, y0, x1, y1 := b.Bounds()
	for r := int(math.Floor(y0 / p.Cell)); r <= int(math.Floor(y1/p.Cell)); r++ {
		for c := int(math.Floor(x0 / p.Cell)); c <= int(math.Floor(x1/p.Cell)); c++ {
			if !visit([2]int{c, r}) {
				return false
			}
		}
	}
	return true
}
