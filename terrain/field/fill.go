package field

import (
	"wetfeet/terrain"
)

const (
	mostSteps = 40   // of conjugate gradients
	enough    = 1e-4 // of the first residual, squared
)

// complete foretells the cells of the torus that are not known from those that
// are, which makes all of them likeliest with the spectrum C = S + N, so that
// neither the rim nor a void bends what is filtered toward anything but the
// data.
//
// It solves (C⁻¹)uu x = -(C⁻¹)uk z for the unknown cells u given the known k
// by conjugate gradients, from a smooth guess, with Cuu to hasten it.
func (g *ground) complete(prior, rough []float32) {
	t := g.torus
	sum, inverse := make([]float32, len(prior)), make([]float32, len(prior))
	for i, s := range prior {
		c := s + rough[i]
		sum[i], inverse[i] = c, 1/c
	}
	spectrum := make([]complex128, len(prior))
	x := g.rest
	r := make([]float64, len(x))
	v := make([]float64, len(x))
	p := make([]float64, len(x))

	t.filter(r, x, inverse, spectrum)
	g.onUnknown(r, -1)
	var first, before float64
	for step := range mostSteps {
		t.filter(v, r, sum, spectrum)
		g.onUnknown(v, 1)
		now := g.dot(r, v)
		if step == 0 {
			first = now
			copy(p, v)
		} else {
			add(p, v, p, now/before)
		}
		if now <= enough*first {
			break
		}
		before = now
		t.filter(v, p, inverse, spectrum)
		g.onUnknown(v, 1)
		length := now / g.dot(p, v)
		add(x, x, p, length)
		add(r, r, v, -length)
	}
}

// mean is the ground most likely: what the raster has beside its plane,
// filtered by S/(S+N).
func (g *ground) mean(prior, rough []float32) *terrain.Grid[float32] {
	t := g.torus
	gain := make([]float32, len(prior))
	for i, s := range prior {
		gain[i] = s / (s + rough[i])
	}
	v := make([]float64, t.len())
	t.filter(v, g.rest, gain, make([]complex128, len(prior)))
	mean := terrain.NewGrid[float32](g.Frame)
	for row := range g.Rows {
		line := mean.Row(row)
		for c := range line {
			line[c] = terrain.Void()
			if i := row*t.cols + c; g.known[i] {
				line[c] = float32(v[i] + g.at(row, c))
			}
		}
	}
	return mean
}

// onUnknown multiplies the unknown cells and empties the known ones.
func (g *ground) onUnknown(v []float64, by float64) {
	for i, known := range g.known {
		if known {
			v[i] = 0
		} else {
			v[i] *= by
		}
	}
}

// dot adds up row by row, so that threads do not show.
func (g *ground) dot(a, b []float64) float64 {
	t := g.torus
	rows := make([]float64, t.rows)
	terrain.Bands(t.rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			var sum float64
			for i := r * t.cols; i < (r+1)*t.cols; i++ {
				sum += a[i] * b[i]
			}
			rows[r] = sum
		}
	})
	var sum float64
	for _, s := range rows {
		sum += s
	}
	return sum
}

// add is dst = a + by*b.
func add(dst, a, b []float64, by float64) {
	for i := range dst {
		dst[i] = a[i] + by*b[i]
	}
}

// guess fills the unknown cells from means of ever larger squares of the
// torus, bilinear between their middles.
func (g *ground) guess() {
	t := g.torus
	weight := make([]float64, t.len())
	for i, k := range g.known {
		if k {
			weight[i] = 1
		}
	}
	fillFrom(g.rest, weight, t.rows, t.cols)
}

func fillFrom(v, weight []float64, rows, cols int) {
	unknown := false
	for _, w := range weight {
		if w == 0 {
			unknown = true
			break
		}
	}
	if !unknown || rows*cols == 1 {
		return
	}
	halfRows, halfCols := (rows+1)/2, (cols+1)/2
	mean, much := make([]float64, halfRows*halfCols), make([]float64, halfRows*halfCols)
	for r := range rows {
		for c := range cols {
			i, j := r*cols+c, r/2*halfCols+c/2
			mean[j] += weight[i] * v[i]
			much[j] += weight[i]
		}
	}
	for j, w := range much {
		if w > 0 {
			mean[j] /= w
			much[j] = min(w, 1)
		}
	}
	fillFrom(mean, much, halfRows, halfCols)
	// A cell lies a quarter of a square off the middle of its own.
	beside := func(i, n int) (own, other int) {
		own = i / 2
		return own, (own + 2*(i%2) - 1 + n) % n
	}
	for r := range rows {
		r0, r1 := beside(r, halfRows)
		for c := range cols {
			i := r*cols + c
			if weight[i] > 0 {
				continue
			}
			c0, c1 := beside(c, halfCols)
			v[i] = (9*mean[r0*halfCols+c0] + 3*mean[r1*halfCols+c0] + 3*mean[r0*halfCols+c1] + mean[r1*halfCols+c1]) / 16
		}
	}
}
