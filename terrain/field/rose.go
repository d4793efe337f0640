package field

import (
	"math"

	"wetfeet/terrain"

	"gonum.org/v1/gonum/mat"
)

// What is believed of the spectrum of a ground before it is seen: its logarithm
// falls with that of the wavenumber, a little more here and less there, and
// differs with direction, as furrows, banks and ditches make it. Ground mostly
// falls with the second to fifth power (Sayles, R.S., Thomas, T.R. (1978).
// Surface topography as a nonstationary random process. Nature 271, 431–434;
// from memory); the widths are this program's own choice.
const (
	usualFall  = -3.5 // power of the wavenumber
	fallSD     = 1.0
	levelSD    = 3.0 // of the logarithm
	bendSD     = 1.0 // of the logarithm, from wavenumber to wavenumber
	bendReach  = 0.8 // over which it bends, of the log of the wavenumber
	turnSD     = 1.0 // of the logarithm, from direction to direction
	turnReach  = 0.7 // over which it turns, of the sine of the angle between
	directions = 6
	stepWidth  = 0.22 // of the log of wavenumbers
	open       = 100  // times the error, what is longer than the ground may hold
	dimmed     = 1.5  // waves of the ground, up to which its plane takes some of what is seen
)

// A rose is the spectrum of a raster by wavenumber and direction, one number a
// sector: [step*directions+direction].
type rose struct {
	lowest  float64   // log of the lowest wavenumber, cycles a cell
	longest float64   // the wavenumber of a wave as long as the ground
	steps   int       // of wavenumber, stepWidth each
	count   []float64 // independent waves seen in each sector
	seen    []float64 // their mean energy, m²
	noise   []float64 // that of the error as believed, m²
	lines   []float32 // by frequency: energy of the ground beside that of its sector, m²
}

// rose parts the energies of a raster by sector. Waves longer than the ground
// look like its plane, and those little shorter lose some of their energy to
// it: neither are counted. With lines asked for, waves that stand out of their
// sector are kept apart from it.
func (g *ground) rose(s *shape, noise []float64, lines bool) *rose {
	t := g.torus
	o := &rose{lowest: math.Log(1 / float64(max(t.rows, t.cols))), longest: 1 / float64(max(g.Rows, g.Cols))}
	o.steps = int(math.Ceil((math.Log(math.Sqrt2/2)-o.lowest)/stepWidth)) + 1
	n := o.steps * directions
	o.count, o.seen, o.noise = make([]float64, n), make([]float64, n), make([]float64, n)
	o.lines = make([]float32, len(noise))
	if lines {
		o.findLines(t, s, noise)
	}
	for k := range t.half() {
		for r := range t.rows {
			w := t.wavenumber(k, r)
			if w < dimmed*o.longest || o.lines[k*t.rows+r] > 0 {
				continue
			}
			i, m := k*t.rows+r, t.mirrored(k)
			step, direction := o.place(math.Log(w), t.bearing(k, r))
			at := int(step+0.5)*directions + int(direction+0.5)%directions
			o.count[at] += m
			o.seen[at] += m * s.seen[i]
			o.noise[at] += m * noise[i] * s.believedAt(w)
		}
	}
	for at, m := range o.count {
		if m > 0 {
			o.seen[at] = max(o.seen[at]/m, 1e-14)
			o.noise[at] /= m
			o.count[at] = m * s.independent
		}
	}
	return o
}

// place is where a wave lies on the rose, in steps and directions.
func (o *rose) place(log, bearing float64) (step, direction float64) {
	return min(max((log-o.lowest)/stepWidth, 0), float64(o.steps-1)), bearing / math.Pi * directions
}

// prior is the mean and the covariance of the logarithm of the spectrum before
// the ground is seen, but that what is seen sets its level, within a factor of
// e³ or so.
func (o *rose) prior() ([]float64, *mat.SymDense) {
	energy, waves := 0.0, 0.0
	for at, c := range o.count {
		energy += c * o.seen[at]
		waves += c
	}
	level := math.Log(max(energy/max(waves, 1e-9), 1e-14) / 10) // at the middle wavenumber mostly a tenth of the mean
	x := func(at int) float64 { return (float64(at/directions) - float64(o.steps)/2) * stepWidth }
	n := len(o.count)
	mean, k := make([]float64, n), mat.NewSymDense(n, nil)
	for i := range n {
		mean[i] = level + usualFall*x(i)
		for j := i; j < n; j++ {
			apart := (x(i) - x(j)) / bendReach
			turn := math.Sin(float64(i%directions-j%directions)*math.Pi/directions) / turnReach
			near := math.Exp(-apart * apart / 2)
			v := levelSD*levelSD + fallSD*fallSD*x(i)*x(j) + near*(bendSD*bendSD+turnSD*turnSD*math.Exp(-2*turn*turn))
			if i == j {
				v += 1e-6 // so that it has a factor
			}
			k.SetSym(i, j, v)
		}
	}
	return mean, k
}

// fit is the log likelihood of log spectra f, the energies of each sector being
// exponential about S + N (Whittle, P. (1953). Estimation and information in
// stationary time series. Arkiv för Matematik 2, 423–434; from memory). With
// slope and information given, it writes its slope in f there and how sharply
// it bends, as expected.
func (o *rose) fit(f, slope, information []float64) float64 {
	sum := 0.0
	for i, n := range o.count {
		if n == 0 {
			if slope != nil {
				slope[i], information[i] = 0, 0
			}
			continue
		}
		s := math.Exp(f[i])
		c := s + o.noise[i]
		sum -= n * (math.Log(c) + o.seen[i]/c)
		if slope != nil {
			slope[i] = n * (o.seen[i]/c - 1) * s / c
			information[i] = n * (s / c) * (s / c)
		}
	}
	return sum
}

// spectra calls use for every frequency with what each of some log spectra of
// the ground is there, m², and the error as believed.
func (o *rose) spectra(t torus, list [][]float64, s *shape, noise []float64, use func(i int, ground []float64, rough float64)) {
	terrain.Bands(t.half(), func(lo, hi int) {
		ground := make([]float64, len(list))
		for k := lo; k < hi; k++ {
			for r := range t.rows {
				w := t.wavenumber(k, r)
				step, direction := o.place(math.Log(max(w, 1e-12)), t.bearing(k, r))
				a := min(int(step), o.steps-2)
				b := int(direction) % directions
				u, v := step-float64(a), direction-math.Floor(direction)
				c := (b + 1) % directions
				i := k*t.rows + r
				rough := noise[i] * s.believedAt(w)
				if w < o.longest {
					rough = noise[i]
				}
				for j, f := range list {
					near, far := f[a*directions:][:directions], f[(a+1)*directions:][:directions]
					ground[j] = math.Exp((1-u)*((1-v)*near[b]+v*near[c]) + u*((1-v)*far[b]+v*far[c]))
					if o.lines[i] > 0 {
						ground[j] = max(ground[j], float64(o.lines[i]))
					}
					if w < o.longest {
						ground[j] = max(ground[j], open*rough)
					}
				}
				use(i, ground, rough)
			}
		}
	})
}

// bearing is the direction of a wave, from 0 up to π.
func (t torus) bearing(k, row int) float64 {
	if 2*row > t.rows {
		row -= t.rows
	}
	a := math.Atan2(float64(row)/float64(t.rows), float64(k)/float64(t.cols))
	if a < 0 {
		a += math.Pi
	}
	return min(a, math.Pi*(1-1e-12))
}
