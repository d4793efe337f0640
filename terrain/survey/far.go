package survey

import (
	"math"
)

const (
	// farFrom is how far off the middle of a tile a shot must be to count as
	// far, in half widths of the tile.
	farFrom = 3

	// farNodes is how many nodes a tile has along each side. The pull of a
	// shot three half widths off is analytic in the tile up to an ellipse of
	// ρ = 3 + √8, so that interpolation at n nodes of Chebyshev is off by about
	// ρ⁻ⁿ: 2·10⁻¹⁰ of it at 13.
	farNodes = 13

	// fewestForFar is how many shots make it worth while.
	fewestForFar = 400
)

// A far field draws the mean at many places of one tile of a grid: the shots
// near the tile are summed one by one for every place, and the sum of all
// others, which is smooth over the tile, is worked out at the nodes of
// Chebyshev alone and interpolated between them. The cost of a place falls
// from all shots to those near and a polynomial. It is one level of
//
//	Fong, W., Darve, E. (2009). The black-box fast multipole method. Journal of
//	Computational Physics 228(23), 8712–8725.
//
// It is for coordinates without the lift of breaklines.
type far struct {
	nodes   [farNodes]float64 // on -1 to 1
	basis   [farNodes]float64 // barycentric weights
	values  [farNodes * farNodes]float64
	at      samples // the nodes of the tile
	d       []float64
	lx, ly  [farNodes]float64
	nearX   []float64
	nearY   []float64
	nearOwn []float64
}

func newFar() *far {
	f := &far{}
	for i := range f.nodes {
		t := (2*float64(i) + 1) * math.Pi / (2 * farNodes)
		f.nodes[i] = math.Cos(t)
		f.basis[i] = math.Sin(t)
		if i%2 == 1 {
			f.basis[i] = -f.basis[i]
		}
	}
	return f
}

// add adds to the mean of some places of one tile what the samples of a system
// weigh there.
func (f *far) add(sys *system, weights []float64, x, y, mean []float64) {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for j := range x {
		low[0], high[0] = min(low[0], x[j]), max(high[0], x[j])
		low[1], high[1] = min(low[1], y[j]), max(high[1], y[j])
	}
	cx, cy := (low[0]+high[0])/2, (low[1]+high[1])/2
	half := max(high[0]-low[0], high[1]-low[1]) / 2
	f.nearX, f.nearY, f.nearOwn = f.nearX[:0], f.nearY[:0], f.nearOwn[:0]
	f.at.x, f.at.y = f.at.x[:0], f.at.y[:0]
	for _, v := range f.nodes {
		for _, u := range f.nodes {
			f.at.x, f.at.y = append(f.at.x, cx+half*u), append(f.at.y, cy+half*v)
		}
	}
	clear(f.values[:])
	f.d = sized(f.d, len(f.values))
	for i, w := range weights {
		if max(math.Abs(sys.x[i]-cx), math.Abs(sys.y[i]-cy)) < farFrom*half || half == 0 {
			f.nearX, f.nearY, f.nearOwn = append(f.nearX, sys.x[i]), append(f.nearY, sys.y[i]), append(f.nearOwn, w)
			continue
		}
		sys.between(i, &f.at, 0, f.d)
		sys.kernel.correlate(f.d, sys.scale)
		for k, c := range f.d {
			f.values[k] += float64(w * c)
		}
	}
	near := samples{x: f.nearX, y: f.nearY}
	f.d = sized(f.d, len(f.nearX))
	own := samples{x: x, y: y}
	for j := range x {
		own.between(j, &near, 0, f.d)
		sys.kernel.correlate(f.d, sys.scale)
		sum := 0.0
		for k, w := range f.nearOwn {
			sum += float64(w * f.d[k])
		}
		if half > 0 {
			f.polynomials(&f.lx, (x[j]-cx)/half)
			f.polynomials(&f.ly, (y[j]-cy)/half)
			for r, v := range f.ly {
				along := 0.0
				for k, u := range f.lx {
					along += float64(u * f.values[r*farNodes+k])
				}
				sum += float64(v * along)
			}
		}
		mean[j] += sum
	}
}

// polynomials writes those of Lagrange at u: in barycentric form, after
// Berrut, J.-P., Trefethen, L.N. (2004), Barycentric Lagrange interpolation,
// SIAM Review 46(3), 501–517.
func (f *far) polynomials(l *[farNodes]float64, u float64) {
	sum := 0.0
	for i, v := range f.nodes {
		if u == v {
			*l = [farNodes]float64{}
			l[i] = 1
			return
		}
		l[i] = f.basis[i] / (u - v)
		sum += l[i]
	}
	for i := range l {
		l[i] /= sum
	}
}
