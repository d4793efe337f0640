package triangle

import (
	"math"

	"github.com/paulmach/orb"
)

// Error bounds of the plain arithmetic, relative to the sum of the absolute
// values of what is added (Shewchuk 1997, section 4: ccwerrboundA,
// iccerrboundA). The unit of rounding is 2⁻⁵³.
const (
	rounding      = 1.0 / (1 << 53)
	orientBound   = (3 + 16*rounding) * rounding
	inCircleBound = (10 + 96*rounding) * rounding
)

// orient is positive where the way from a over b to c turns left, negative
// where it turns right, and 0 where the three lie in a line. The sign is
// exact.
func orient(a, b, c orb.Point) float64 {
	left := float64((a[0] - c[0]) * (b[1] - c[1]))
	right := float64((a[1] - c[1]) * (b[0] - c[0]))
	det := left - right
	if bound := orientBound * (math.Abs(left) + math.Abs(right)); det > bound || -det > bound {
		return det
	}
	return orientExact(a, b, c)
}

func orientExact(a, b, c orb.Point) float64 {
	var x calculator
	acx, acy := x.difference(a[0], c[0]), x.difference(a[1], c[1])
	bcx, bcy := x.difference(b[0], c[0]), x.difference(b[1], c[1])
	return x.minus(x.times(acx, bcy), x.times(acy, bcx)).sign()
}

// inCircle is positive where d lies inside the circle through a, b and c,
// which turn left, negative outside and 0 on it. The sign is exact.
func inCircle(a, b, c, d orb.Point) float64 {
	adx, ady := a[0]-d[0], a[1]-d[1]
	bdx, bdy := b[0]-d[0], b[1]-d[1]
	cdx, cdy := c[0]-d[0], c[1]-d[1]

	bc, cb := float64(bdx*cdy), float64(cdx*bdy)
	ca, ac := float64(cdx*ady), float64(adx*cdy)
	ab, ba := float64(adx*bdy), float64(bdx*ady)
	aLift := float64(adx*adx) + float64(ady*ady)
	bLift := float64(bdx*bdx) + float64(bdy*bdy)
	cLift := float64(cdx*cdx) + float64(cdy*cdy)

	det := float64(aLift*(bc-cb)) + float64(bLift*(ca-ac)) + float64(cLift*(ab-ba))
	size := float64(aLift*(math.Abs(bc)+math.Abs(cb))) +
		float64(bLift*(math.Abs(ca)+math.Abs(ac))) +
		float64(cLift*(math.Abs(ab)+math.Abs(ba)))
	if bound := inCircleBound * size; det > bound || -det > bound {
		return det
	}
	return inCircleExact(a, b, c, d)
}

func inCircleExact(a, b, c, d orb.Point) float64 {
	var x calculator
	adx, ady := x.difference(a[0], d[0]), x.difference(a[1], d[1])
	bdx, bdy := x.difference(b[0], d[0]), x.difference(b[1], d[1])
	cdx, cdy := x.difference(c[0], d[0]), x.difference(c[1], d[1])
	lift := func(dx, dy expansion) expansion { return x.plus(x.times(dx, dx), x.times(dy, dy)) }
	cross := func(px, py, qx, qy expansion) expansion { return x.minus(x.times(px, qy), x.times(qx, py)) }
	sum := x.times(lift(adx, ady), cross(bdx, bdy, cdx, cdy))
	sum = x.plus(sum, x.times(lift(bdx, bdy), cross(cdx, cdy, adx, ady)))
	return x.plus(sum, x.times(lift(cdx, cdy), cross(adx, ady, bdx, bdy))).sign()
}

// An expansion is a sum of numbers that do not overlap, smallest first: it
// is held exactly. The empty one is 0.
type expansion []float64

// sign has the sign of the whole: that of the largest part.
func (e expansion) sign() float64 {
	if len(e) == 0 {
		return 0
	}
	return e[len(e)-1]
}

// A calculator adds and multiplies expansions without loss. It takes its
// storage from one block as long as that lasts: on a regular grid, where
// circles have four points, most of the time goes here.
type calculator struct {
	store [256]float64
	used  int
}

// room is storage for an expansion of up to n parts.
func (x *calculator) room(n int) expansion {
	if x.used+n > len(x.store) {
		return make(expansion, 0, n)
	}
	e := x.store[x.used : x.used : x.used+n]
	x.used += n
	return e
}

// twoSum is a + b and what rounding took from it.
func twoSum(a, b float64) (sum, rest float64) {
	sum = a + b
	v := sum - a
	return sum, (a - (sum - v)) + (b - v)
}

// twoProduct is a times b and what rounding took from it.
func twoProduct(a, b float64) (product, rest float64) {
	product = float64(a * b)
	return product, math.FMA(a, b, -product)
}

func (x *calculator) difference(a, b float64) expansion {
	d, rest := twoSum(a, -b)
	return x.room(2).push(rest).push(d)
}

// push appends a part unless it is nothing.
func (e expansion) push(v float64) expansion {
	if v == 0 {
		return e
	}
	return append(e, v)
}

// plus is e + f: the parts of both by size, added one after the other
// (Shewchuk's fast expansion sum, with zeros left out).
func (x *calculator) plus(e, f expansion) expansion { return x.sum(e, f, 1) }

func (x *calculator) minus(e, f expansion) expansion { return x.sum(e, f, -1) }

func (x *calculator) sum(e, f expansion, sign float64) expansion {
	out := x.room(len(e) + len(f))
	q := 0.0
	for i, j := 0, 0; i < len(e) || j < len(f); {
		var next, rest float64
		if j == len(f) || i < len(e) && math.Abs(e[i]) < math.Abs(f[j]) {
			next = e[i]
			i++
		} else {
			next = sign * f[j]
			j++
		}
		q, rest = twoSum(q, next)
		out = out.push(rest)
	}
	return out.push(q)
}

// times is the product: e by each part of f, added up.
func (x *calculator) times(e, f expansion) expansion {
	if len(e) < len(f) {
		e, f = f, e
	}
	var out expansion
	for i, b := range f {
		scaled := x.scale(e, b)
		if i == 0 {
			out = scaled
		} else {
			out = x.sum(out, scaled, 1)
		}
	}
	return out
}

// scale is e times a number (Shewchuk's scale expansion).
func (x *calculator) scale(e expansion, b float64) expansion {
	out := x.room(2 * len(e))
	if len(e) == 0 {
		return out
	}
	q, rest := twoProduct(e[0], b)
	out = out.push(rest)
	for _, part := range e[1:] {
		high, low := twoProduct(part, b)
		var sum float64
		sum, rest = twoSum(q, low)
		out = out.push(rest)
		q, rest = twoSum(high, sum)
		out = out.push(rest)
	}
	return out.push(q)
}
