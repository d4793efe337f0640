package calibration

import (
	"math"
	"math/rand/v2"

	"wetfeet/terrain"
)

// A Kind is a kind of true ground.
type Kind int

// The kinds of ground. All lie on a plane that falls 1 to 5 in 1,000.
const (
	Rolling Kind = iota // long low waves, their hollows wider than their crests or narrower
	Bowls               // bowls and knolls strewn over it
	Beds                // raised planting beds with furrows between, some closed at the end
	Ditch               // a track on a bank, and a ditch that is dammed in places
	Swale               // an old channel that winds, with pools along it
	kinds
)

func (k Kind) String() string {
	return [...]string{"rolling ground", "bowls and knolls", "raised beds", "ditch and bank", "winding swale"}[k]
}

// surface is a true ground: elevation at a place, m.
type surface func(x, y float64) float64

// lay makes a ground of a kind on a square of side m, from its corner at 0, 0.
func lay(r *rand.Rand, kind Kind, side float64) surface {
	sin, cos := math.Sincos(2 * math.Pi * r.Float64())
	fall := between(r, 0.001, 0.005)
	plane := func(x, y float64) float64 { return 100 + fall*(x*cos+y*sin) }
	var shape surface
	small := rolling(r, between(r, 0.02, 0.05), 3, side*0.6, between(r, 0.6, 1.2))
	switch kind {
	case Rolling:
		w, skew := rolling(r, between(r, 0.03, 0.06), 3, side*0.6, between(r, 0.6, 1.2)), between(r, -0.4, 0.4)
		sd := w.sd()
		shape = func(x, y float64) float64 {
			v := w.at(x, y)
			return v + skew*(v*v/sd-sd)/2
		}
	case Bowls:
		shape = bowls(r, side)
	case Beds:
		shape = beds(r, side)
	case Ditch:
		shape = ditch(r, side)
	case Swale:
		shape = swale(r, side)
	}
	if kind == Rolling {
		return func(x, y float64) float64 { return plane(x, y) + shape(x, y) }
	}
	return func(x, y float64) float64 { return plane(x, y) + shape(x, y) + small.at(x, y) }
}

// sd is one standard deviation of the surface, m.
func (w waves) sd() float64 {
	power := 0.0
	for i := range w {
		power += w[i].high * w[i].high / 2
	}
	return math.Sqrt(power)
}

// bowls are ellipses, deep or raised, steep-sided or not.
func bowls(r *rand.Rand, side float64) surface {
	type bowl struct{ x, y, cos, sin, long, wide, deep, power float64 }
	var all []bowl
	for range 4 + r.IntN(5) {
		b := bowl{x: side * r.Float64(), y: side * r.Float64(), long: between(r, side/16, side/5), power: 1 + float64(r.IntN(3))/2}
		b.sin, b.cos = math.Sincos(math.Pi * r.Float64())
		b.wide = b.long * between(r, 0.5, 1)
		b.deep = between(r, 0.08, 0.35)
		if r.IntN(4) == 0 {
			b.deep = -b.deep / 2
		}
		all = append(all, b)
	}
	return func(x, y float64) float64 {
		z := 0.0
		for i := range all {
			b := &all[i]
			dx, dy := x-b.x, y-b.y
			u, v := (dx*b.cos+dy*b.sin)/b.long, (dy*b.cos-dx*b.sin)/b.wide
			if q := 1 - u*u - v*v; q > 0 {
				z -= b.deep * math.Pow(q, b.power)
			}
		}
		return z
	}
}

// beds are ridges with flat tops of uneven height along straight lines.
func beds(r *rand.Rand, side float64) surface {
	sin, cos := math.Sincos(math.Pi * r.Float64())
	apart, high := between(r, 5, 8), between(r, 0.12, 0.3)
	top, shoulder := between(r, 0.3, 0.45)*apart, between(r, 0.8, 1.5)
	uneven := rolling(r, 0.15, 6, side/3, 0.5)
	begin := apart * r.Float64()
	end, bank := math.Inf(1), between(r, 0.04, 0.12) // a headland across the beds
	if r.IntN(2) == 0 {
		end = between(r, 0.2, 0.4) * side
	}
	return func(x, y float64) float64 {
		u, v := (x-side/2)*cos+(y-side/2)*sin, (y-side/2)*cos-(x-side/2)*sin
		across := math.Abs(math.Mod(v+begin+100*apart, apart) - apart/2)
		z := high * (1 + uneven.at(x, y)) * ramp((top/2+shoulder-across)/shoulder)
		return max(z, bank*ramp(2-math.Abs(u-end)/2))
	}
}

// ditch is a bank across the site, open in one place or nowhere, and a ditch
// across it, dammed in one or two.
func ditch(r *rand.Rand, side float64) surface {
	sin, cos := math.Sincos(math.Pi * r.Float64())
	at, high, half := between(r, -0.2, 0.2)*side, between(r, 0.2, 0.5), between(r, 1.5, 3)
	gap := between(r, -0.4, 0.4) * side
	if r.IntN(2) == 0 {
		gap = math.Inf(1)
	}
	turn := between(r, 0.5, 2.6)
	dsin, dcos := math.Sincos(turn)
	where, deep, wide := between(r, -0.2, 0.2)*side, between(r, 0.2, 0.5), between(r, 1.5, 3)
	var dams []float64
	for range 1 + r.IntN(2) {
		dams = append(dams, between(r, -0.4, 0.4)*side)
	}
	return func(x, y float64) float64 {
		u, v := (x-side/2)*cos+(y-side/2)*sin, (y-side/2)*cos-(x-side/2)*sin
		z := high * ramp((half+2-math.Abs(v-at))/2) * ramp((math.Abs(u-gap)-1)/2)
		a, b := u*dcos+v*dsin, v*dcos-u*dsin
		cut := deep * ramp((wide-math.Abs(b-where))/wide*1.5)
		for _, d := range dams {
			cut *= 1 - 0.8*ramp(2-math.Abs(a-d)/1.5)
		}
		return z - cut
	}
}

// swale is a channel that winds across the site, now deeper and now less.
func swale(r *rand.Rand, side float64) surface {
	sin, cos := math.Sincos(math.Pi * r.Float64())
	at, swing, long, phase := between(r, -0.2, 0.2)*side, between(r, 0.03, 0.12)*side, between(r, 0.4, 0.9)*side, 2*math.Pi*r.Float64()
	deep, wide := between(r, 0.12, 0.35), between(r, 3, 10)
	pool, shift := between(r, 15, 40), 2*math.Pi*r.Float64()
	return func(x, y float64) float64 {
		u, v := (x-side/2)*cos+(y-side/2)*sin, (y-side/2)*cos-(x-side/2)*sin
		off := (v - at - swing*math.Sin(2*math.Pi*u/long+phase)) / wide
		return -deep * (1 + 0.35*math.Sin(2*math.Pi*u/pool+shift)) * math.Exp(-off*off/2)
	}
}

// ramp is 0 up to 0 and 1 from 1 on, smooth between.
func ramp(t float64) float64 {
	t = min(max(t, 0), 1)
	return t * t * (3 - 2*t)
}

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// onGrid is a surface at the middle of every cell.
func (s surface) onGrid(f terrain.Frame) []float64 {
	z := make([]float64, f.Len())
	for i := range z {
		p := f.Centre(f.Cell(i))
		z[i] = s(p[0], p[1])
	}
	return z
}
