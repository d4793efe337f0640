package mapsheet

import "math"

// A box is a rectangle that may be turned.
type box struct {
	x, y float64 // its middle, px
	w, h float64 // half its sides, px
	turn float64 // radians, clockwise as seen
}

// axes are the directions of its sides.
func (b box) axes() (ux, uy, vx, vy float64) {
	if b.turn == 0 {
		return 1, 0, 0, 1
	}
	sin, cos := math.Sincos(b.turn)
	return cos, sin, -sin, cos
}

// bounds is the upright rectangle around it.
func (b box) bounds() (x0, y0, x1, y1 float64) {
	ux, uy, vx, vy := b.axes()
	rx := math.Abs(ux)*b.w + math.Abs(vx)*b.h
	ry := math.Abs(uy)*b.w + math.Abs(vy)*b.h
	return b.x - rx, b.y - ry, b.x + rx, b.y + ry
}

// grow is the box with d more on each side.
func (b box) grow(d float64) box {
	b.w, b.h = b.w+d, b.h+d
	return b
}

// meets reports whether two boxes overlap: they do unless one of their four
// side directions separates them.
func (b box) meets(c box) bool {
	dx, dy := c.x-b.x, c.y-b.y
	bux, buy, bvx, bvy := b.axes()
	cux, cuy, cvx, cvy := c.axes()
	apart := func(ax, ay float64) bool {
		reach := b.w*math.Abs(bux*ax+buy*ay) + b.h*math.Abs(bvx*ax+bvy*ay) +
			c.w*math.Abs(cux*ax+cuy*ay) + c.h*math.Abs(cvx*ax+cvy*ay)
		return math.Abs(dx*ax+dy*ay) >= reach
	}
	return !(apart(bux, buy) || apart(bvx, bvy) || apart(cux, cuy) || apart(cvx, cvy))
}

// line is the box of a straight line of some width.
func line(x0, y0, x1, y1, width float64) box {
	return box{
		x: (x0 + x1) / 2, y: (y0 + y1) / 2,
		w: math.Hypot(x1-x0, y1-y0) / 2, h: width / 2,
		turn: math.Atan2(y1-y0, x1-x0),
	}
}

// placement remembers where things are, so that labels keep clear of them.
type placement struct {
	cell  float64 // side of a cell of the index, px
	taken []box
	index map[[2]int][]int
}

// take marks a box as taken.
func (p *placement) take(b box) {
	if p.index == nil {
		p.index = make(map[[2]int][]int)
	}
	p.taken = append(p.taken, b)
	p.cells(b, func(k [2]int) bool {
		p.index[k] = append(p.index[k], len(p.taken)-1)
		return true
	})
}

// free reports whether a box meets none that is taken.
func (p *placement) free(b box) bool {
	return p.cells(b, func(k [2]int) bool {
		for _, i := range p.index[k] {
			if p.taken[i].meets(b) {
				return false
			}
		}
		return true
	})
}

func (p *placement) cells(b box, visit func([2]int) bool) bool {
	x0, y0, x1, y1 := b.bounds()
	for r := int(math.Floor(y0 / p.cell)); r <= int(math.Floor(y1/p.cell)); r++ {
		for c := int(math.Floor(x0 / p.cell)); c <= int(math.Floor(x1/p.cell)); c++ {
			if !visit([2]int{c, r}) {
				return false
			}
		}
	}
	return true
}
