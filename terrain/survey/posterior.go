package survey

import (
	"slices"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

// A posterior tells the covariance of places given the shots.
type posterior struct {
	sys   *system
	drift *drift
	model *Model
	of    *whitened
}

// posterior is that of all shots, or of the nearest to some points.
func (m *Model) posterior(points []orb.Point) *posterior {
	if m.whole != nil {
		return &posterior{sys: m.whole, drift: m.drift, model: m}
	}
	at := m.at(points...)
	all := make([]orb.Point, m.samples.len())
	for i := range all {
		all[i] = orb.Point{m.samples.x[i], m.samples.y[i]}
	}
	box := orb.Bound{Min: orb.Point{at.x[0], at.y[0]}, Max: orb.Point{at.x[0], at.y[0]}}
	for i := range points {
		box = box.Extend(orb.Point{at.x[i], at.y[i]})
	}
	if box.Min == box.Max {
		box = pad(box, 1e-9)
	}
	var near []int
	for _, h := range newTree(all, 64).nearest(box, mostWhole, m.spacing/m.size) {
		near = append(near, h.point)
	}
	slices.Sort(near)
	return &posterior{sys: m.system(m.samples.pick(near)), drift: m.drift, model: m}
}

// whitened is places with what the shots tell of them: U⁻ᵀ times their
// covariance with the shots, by place, and what of the trend is not told.
type whitened struct {
	*samples
	rows     blas64.General // one row for each place
	rest     []float64      // root⁻ᵀ (f - FᵀK⁻¹k), by place and term
	mean     []float64      // m
	variance []float64      // m²
}

func (p *posterior) whiten(at *samples) *whitened {
	n, k, terms := at.len(), p.sys.len(), p.sys.terms
	w := &whitened{samples: at, mean: make([]float64, n), variance: make([]float64, n), rest: slices.Clone(at.trend)}
	w.rows = blas64.General{Rows: n, Cols: k, Stride: k, Data: make([]float64, k*n)}
	terrain.Bands((n+batch-1)/batch, func(lo, hi int) {
		work := make([]float64, k*batch)
		for lo, last := lo*batch, min(hi*batch, n); lo < last; lo += batch {
			m := min(batch, last-lo)
			c := blas64.General{Rows: k, Cols: m, Stride: m, Data: work[:k*m]}
			for i := range k {
				p.sys.between(i, at, lo, c.Data[i*m:(i+1)*m])
			}
			p.sys.kernel.correlate(c.Data, p.sys.scale)
			blas64.Trsm(blas.Left, blas.Trans, 1, p.sys.u, c)
			for i := range k {
				for j, v := range c.Data[i*m : (i+1)*m] {
					w.rows.Data[(lo+j)*k+i] = v
				}
			}
		}
	})
	for j := range n {
		row, rest := w.rows.Data[j*k:(j+1)*k], w.rest[j*terms:(j+1)*terms]
		mean := floats.Dot(rest, p.drift.beta)
		for i, v := range row {
			white := p.sys.white.Data[i*p.sys.white.Stride:][:terms+1]
			mean += v * (white[terms] - floats.Dot(white[:terms], p.drift.beta))
			floats.AddScaled(rest, -v, white[:terms])
		}
		blas64.Trsv(blas.Trans, p.drift.root, blas64.Vector{N: terms, Inc: 1, Data: rest})
		w.mean[j] = p.model.level + mean
		w.variance[j] = max(1-floats.Dot(row, row)+floats.Dot(rest, rest), 0) * p.model.Covariance.Sill
	}
	return w
}

// covariance writes that of one place with those of another set, m².
func (p *posterior) covariance(a *whitened, i int, b *whitened, out []float64) {
	k, terms, sill := p.sys.len(), p.sys.terms, p.model.Covariance.Sill
	a.between(i, b.samples, 0, out)
	p.sys.kernel.correlate(out, p.sys.scale)
	row, rest := a.rows.Data[i*k:(i+1)*k], a.rest[i*terms:(i+1)*terms]
	for j := range out {
		out[j] = sill * (out[j] - floats.Dot(row, b.rows.Data[j*k:(j+1)*k]) + floats.Dot(rest, b.rest[j*terms:(j+1)*terms]))
	}
}
