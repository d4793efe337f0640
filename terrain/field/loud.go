package field

import (
	"math"
	"slices"

	"wetfeet/terrain"
)

// Ground that is rougher here than elsewhere, such as a bank, a ditch or a pit
// on even land, is told from the rest by the energy of what stands out of the
// error: where it is several times the usual, the ground there counts as loud
// and has a spectrum of its own. The figures are this program's own choice,
// made on sites that cmd/calibrate does not score.
const (
	loudFrom  = 4.0   // times the usual energy, where loud ground begins
	loudFull  = 10.0  // times, where it is nothing but loud
	loudTimes = 3     // looks for it: with the loud left out, more of it stands out
	loudWidth = 4     // of the range of the error, on either side of where energy is looked for
	loudLeast = 0.005 // share of the ground worth a spectrum
	loudCells = 40    // and how many
	setAside  = 5     // times round, to tell the loud from the quiet beside it
)

// loudness is how much of each cell of the torus counts as loud, 0 to 1; nil
// where nothing is. The energy is that of the raster filtered by √S/(S+N),
// in two means over half the range of the error.
func (g *ground) loudness(prior, rough []float32, reach float64) []float64 {
	t := g.torus
	gain := make([]float32, len(prior))
	for k := range t.half() {
		for r := range t.rows {
			i := k*t.rows + r
			if t.wavenumber(k, r) >= 2/float64(max(g.Rows, g.Cols)) {
				gain[i] = float32(math.Sqrt(float64(prior[i]))) / (prior[i] + rough[i])
			}
		}
	}
	v := make([]float64, t.len())
	t.filter(v, g.rest, gain, make([]complex128, len(prior)))
	for i := range v {
		v[i] *= v[i]
	}
	half := max(1, int(reach/g.CellSize/loudWidth+0.5))
	for range 2 {
		t.blur(v, half)
	}
	var in []float64
	for i, known := range g.known {
		if known {
			in = append(in, v[i])
		}
	}
	slices.Sort(in)
	usual := in[len(in)/2]
	if !(usual > 0) {
		return nil
	}
	much := 0.0
	for i := range v {
		u := min(max((v[i]/usual-loudFrom)/(loudFull-loudFrom), 0), 1)
		v[i] = u * u * (3 - 2*u)
		if g.known[i] {
			much += v[i]
		}
	}
	if much < loudLeast*float64(len(in)) || much < loudCells {
		return nil
	}
	return v
}

// part is the ground weighed by a share of each cell, for its spectrum.
func (g *ground) part(of func(i int) float64) *ground {
	p := *g
	p.weight = make([]float64, len(g.weight))
	for i, w := range g.weight {
		p.weight[i] = w * of(i)
	}
	return &p
}

// takeOut is what the loud ground has beside what the quiet spectrum foretells
// of the rest: u with u = w (loud mean - quiet mean of what is left without u),
// found by going round a few times. It is taken out of the rest.
func (g *ground) takeOut(w []float64, quiet, loud, rough []float32) []float64 {
	t := g.torus
	gain := make([]float32, len(quiet))
	scratch := make([]complex128, len(quiet))
	filtered := func(v []float64, s []float32) []float64 {
		for i := range gain {
			gain[i] = s[i] / (s[i] + rough[i])
		}
		out := make([]float64, t.len())
		t.filter(out, v, gain, scratch)
		return out
	}
	full := filtered(g.rest, loud)
	u, left := make([]float64, t.len()), make([]float64, t.len())
	for range setAside {
		add(left, g.rest, u, -1)
		without := filtered(left, quiet)
		for i := range u {
			u[i] = w[i] * (full[i] - without[i])
		}
	}
	add(g.rest, g.rest, u, -1)
	return u
}

// onFrame is the cells of the frame of values on the torus.
func (g *ground) onFrame(v []float64) *terrain.Grid[float32] {
	out := terrain.NewGrid[float32](g.Frame)
	for row := range g.Rows {
		for c, line := 0, out.Row(row); c < g.Cols; c++ {
			line[c] = float32(v[row*g.torus.cols+c])
		}
	}
	return out
}
