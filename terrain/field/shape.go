package field

import (
	"math"

	"wetfeet/terrain"
)

// A ground is a raster about its plane, on a torus, m.
type ground struct {
	terrain.Frame
	torus  torus
	plane  [3]float64 // level at the middle of the frame, rise a column, rise a row
	rest   []float64  // by cell of the torus: what is left of the elevation, foretold where unknown
	known  []bool
	weight []float64 // of each cell in the spectrum
}

func newGround(z *terrain.Grid[float32], t torus) *ground {
	g := &ground{Frame: z.Frame, torus: t, rest: make([]float64, t.len()), known: make([]bool, t.len())}
	g.plane = planeOf(z)
	for r := range z.Rows {
		for c, v := range z.Row(r) {
			if v == v {
				i := r*t.cols + c
				g.known[i] = true
				g.rest[i] = float64(v) - g.at(r, c)
			}
		}
	}
	g.guess()
	g.window()
	return g
}

// at is the plane in a cell, m.
func (g *ground) at(row, col int) float64 {
	return g.plane[0] + g.plane[1]*(float64(col)-float64(g.Cols)/2) + g.plane[2]*(float64(row)-float64(g.Rows)/2)
}

// planeOf is the plane of least squares through the elevations.
func planeOf(z *terrain.Grid[float32]) [3]float64 {
	var n, x, y, xx, xy, yy, v, xv, yv float64
	datum := math.NaN()
	for r := range z.Rows {
		for c, e := range z.Row(r) {
			if e != e {
				continue
			}
			if datum != datum {
				datum = float64(e)
			}
			p, q, w := float64(c)-float64(z.Cols)/2, float64(r)-float64(z.Rows)/2, float64(e)-datum
			n, x, y, v = n+1, x+p, y+q, v+w
			xx, xy, yy, xv, yv = xx+p*p, xy+p*q, yy+q*q, xv+p*w, yv+q*w
		}
	}
	x, y, v = x/n, y/n, v/n
	xx, xy, yy, xv, yv = xx/n-x*x, xy/n-x*y, yy/n-y*y, xv/n-x*v, yv/n-y*v
	var across, down float64
	// Cells in a line have no slope across it.
	if det := xx*yy - xy*xy; det > 1e-9*xx*yy {
		across, down = (xv*yy-yv*xy)/det, (yv*xx-xv*xy)/det
	}
	return [3]float64{datum + v - across*x - down*y, across, down}
}

// window gives every known cell a weight that falls to nothing toward the rim
// and toward large voids, so that no edge shows in the spectrum. Lone voids
// are left as foretold.
func (g *ground) window() {
	t := g.torus
	g.weight = make([]float64, t.len())
	known := 0.0
	for i, k := range g.known {
		if k {
			g.weight[i] = 1
			known++
		}
	}
	half := max(1, min(g.Rows, g.Cols)/10)
	soft := append([]float64(nil), g.weight...)
	for range 2 {
		t.blur(soft, half)
	}
	var total float64
	for i, v := range soft {
		s := math.Sin(math.Pi / 2 * min(max(2*v-1, 0), 1))
		soft[i] = s * s
		total += soft[i]
	}
	// Of a narrow strip nothing would be left.
	if total > known/5 {
		g.weight = soft
	}
}

// blur is the mean of each value and so many on either side of it, in place,
// in lines of n values a stride apart that begin a step apart and close on
// themselves.
func blur(v []float64, n, lines, stride, step, half int) {
	half = min(half, (n-1)/2)
	terrain.Bands(lines, func(lo, hi int) {
		line := make([]float64, n)
		for l := lo; l < hi; l++ {
			at := func(i int) int { return l*step + i*stride }
			for i := range line {
				line[i] = v[at(i)]
			}
			var sum float64
			for i := -half; i <= half; i++ {
				sum += line[(i+n)%n]
			}
			for i := range line {
				v[at(i)] = sum / float64(2*half+1)
				sum += line[(i+half+1)%n] - line[(i-half+n)%n]
			}
		}
	})
}

// A ring is the waves of like wavenumber: how many independent ones, the mean
// of the log of their wavenumbers, and the mean energies seen in the raster
// and of its error, m².
type ring struct{ n, log, seen, noise float64 }

// A shape is what the spectrum of a raster shows of its error, by wavenumber.
type shape struct {
	log      []float64 // of the wavenumber in cycles a cell, rising
	belief   []float64 // share of the stated N that is believed
	believed float64   // of the variance of the error
	doubted  float64   // the wavelength at which most of it is not, cells

	seen        []float64 // energy of the raster by frequency, m²
	independent float64   // waves of the ground for each of the torus, its mirror image counted
}

const (
	ringWidth = 0.12 // of the log of wavenumbers
	ringModes = 16   // independent waves a ring has at least
)

// shape is the spectrum of the raster, and where it contradicts that of the
// error. Where a ring of like wavenumbers has less energy than the error alone would give, by a ratio
// above 1 and more than twice its scatter, less of the error is believed, the
// more so the farther off it is.
func (g *ground) shape(noise []float64) *shape {
	t := g.torus
	weighed := make([]float64, t.len())
	var total, fourth float64
	for i, w := range g.weight {
		weighed[i] = w * g.rest[i]
		total += w * w
		fourth += w * w * w * w
	}
	spectrum := make([]complex128, t.half()*t.rows)
	t.forward(spectrum, weighed)

	seen := make([]float64, len(spectrum))
	lowest := math.Log(1 / float64(max(t.rows, t.cols)))
	rings := make([]ring, int((math.Log(0.75)-lowest)/ringWidth)+2)
	for k := range t.half() {
		for r := range t.rows {
			if k == 0 && r == 0 {
				continue // the level, which the plane has
			}
			i, m := k*t.rows+r, t.mirrored(k)
			log := math.Log(t.wavenumber(k, r))
			in := &rings[max(0, int((log-lowest)/ringWidth))]
			v := spectrum[i]
			in.n += m
			in.log += m * log
			seen[i] = (real(v)*real(v) + imag(v)*imag(v)) / total
			in.seen += m * seen[i]
			in.noise += m * noise[i]
		}
	}
	// Waves of a torus larger than what is weighed in are not independent, and
	// each has a mirror image that is itself.
	independent := total * total / fourth / float64(t.len()) / 2
	s := &shape{seen: seen, independent: independent}
	var all, kept, most float64
	for i := 0; i < len(rings); i++ {
		sum := rings[i]
		for sum.n*independent < ringModes && i+1 < len(rings) {
			i++
			sum.n += rings[i].n
			sum.log += rings[i].log
			sum.seen += rings[i].seen
			sum.noise += rings[i].noise
		}
		if sum.n == 0 {
			continue
		}
		r := ring{max(sum.n*independent, 1), sum.log / sum.n, max(sum.seen/sum.n, 1e-14), sum.noise / sum.n}
		bound := 1 + 2/math.Sqrt(r.n)
		belief := 1.0
		if q := r.noise / r.seen; q > bound {
			belief = bound * bound / (q * q * q)
		}
		all += sum.noise
		kept += belief * sum.noise
		if lost := (1 - belief) * sum.noise; lost > most {
			most, s.doubted = lost, math.Exp(-r.log)
		}
		s.log = append(s.log, r.log)
		s.belief = append(s.belief, belief)
	}
	if len(s.log) == 1 { // a ground of few cells
		s.log = append(s.log, s.log[0]+1)
		s.belief = append(s.belief, s.belief[0])
	}
	s.believed = kept / all
	return s
}

// believedAt is the share of the stated error that is believed at a
// wavenumber.
func (s *shape) believedAt(w float64) float64 {
	j, u := s.between(math.Log(max(w, 1e-12)))
	return s.belief[j] + u*(s.belief[j+1]-s.belief[j])
}

// between is the ring below a wavenumber and how far it is toward the next.
func (s *shape) between(log float64) (int, float64) {
	n := len(s.log)
	lo, hi := 0, n-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; s.log[mid] <= log {
			lo = mid
		} else {
			hi = mid
		}
	}
	u := (log - s.log[lo]) / (s.log[hi] - s.log[lo])
	return lo, min(max(u, 0), 1)
}

// blur is the mean of the values in a square about each, in place.
func (t torus) blur(v []float64, half int) {
	blur(v, t.cols, t.rows, 1, t.cols, half)
	blur(v, t.rows, t.cols, t.cols, 1, half)
}
