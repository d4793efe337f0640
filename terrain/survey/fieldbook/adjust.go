package fieldbook

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"
)

// number is a set-up as the tables count it, from 1 through the whole book.
func (n *network) number(setUp int) string { return strconv.Itoa(setUp + 1) }

// adjust spreads the misclosures by least squares over the sights, the
// benchmarks held. Each sight has the same variance or, shared by distance,
// one that grows with the length of its set-up. For a single line or loop
// that is the usual rule, the same part for each set-up or each metre; where
// loops share set-ups it is the only one that closes them all.
//
// The variance of a sight is that of the instrument, or what the misclosures
// show where they show more. It reports the ratio of the two deviations and
// the number of redundant sights.
func (n *network) adjust(force *Share) (scale float64, redundant int) {
	n.mean = n.meanLength()
	column := make([]int, len(n.pegs)) // of each peg's level among the unknowns, -1 for none
	unknowns := len(n.setUps)
	for i := range n.pegs {
		n.pegs[i].fitted = n.pegs[i].level
		column[i] = -1
		if p := &n.pegs[i]; p.reached && p.turning && !p.fixed {
			column[i] = unknowns
			unknowns++
		}
	}
	if unknowns == 0 {
		return 1, 0
	}
	normal := mat.NewSymDense(unknowns, nil)
	right := mat.NewVecDense(unknowns, nil)
	add := func(i, j int, v float64) { normal.SetSym(i, j, normal.At(i, j)+v) }
	hangs := func(k int) bool { // sights the network is made of
		p := n.pegs[n.sights[k].point]
		return n.setUps[n.sights[k].setUp].ref >= 0 && (p.fixed || p.turning)
	}
	misfit := func(k int) float64 {
		return n.sights[k].reading() - (n.setUps[n.sights[k].setUp].height - n.pegs[n.sights[k].point].level)
	}
	for i := range n.setUps {
		if n.setUps[i].ref < 0 { // hangs on nothing, and was complained about
			add(i, i, 1)
		}
	}
	sights := 0
	for k := range n.sights {
		if !hangs(k) {
			continue
		}
		sights++
		w, s, p := n.weight(k, force), n.sights[k].setUp, column[n.sights[k].point]
		add(s, s, w)
		right.SetVec(s, right.AtVec(s)+w*misfit(k))
		if p >= 0 {
			add(p, p, w)
			add(s, p, -w)
			right.SetVec(p, right.AtVec(p)-w*misfit(k))
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(normal) {
		return 1, 0 // nothing holds the levels; told by complain
	}
	var shift mat.VecDense
	if err := factor.SolveVecTo(&shift, right); err != nil {
		return 1, 0
	}
	var inverse mat.SymDense
	if err := factor.InverseTo(&inverse); err != nil {
		return 1, 0
	}
	for i := range n.setUps {
		n.setUps[i].fitted = n.setUps[i].height + shift.AtVec(i)
		n.setUps[i].sd = math.Sqrt(max(inverse.At(i, i), 0))
	}
	for i := range n.pegs {
		if c := column[i]; c >= 0 {
			n.pegs[i].fitted += shift.AtVec(c)
			n.pegs[i].sd = math.Sqrt(max(inverse.At(c, c), 0))
		}
	}
	sum, lost := 0.0, 0
	for i := range n.setUps {
		lost += b2i(n.setUps[i].ref < 0)
	}
	for k := range n.sights {
		if hangs(k) {
			v := n.setUps[n.sights[k].setUp].fitted - n.pegs[n.sights[k].point].fitted - n.sights[k].reading()
			sum += v * v * n.weight(k, force)
		}
	}
	redundant = sights - (unknowns - lost)
	scale = 1.0
	if redundant > 0 {
		scale = max(1, math.Sqrt(sum/float64(redundant)))
	}
	for i := range n.setUps {
		n.setUps[i].sd *= scale
	}
	for i := range n.pegs {
		n.pegs[i].sd *= scale
	}
	return scale, redundant
}

// weight is one over the variance of a sight, 1/m².
func (n *network) weight(k int, force *Share) float64 {
	s := n.setUps[n.sights[k].setUp]
	r := n.runs[s.run]
	sigma := r.sheet.readingError(levelSheet)
	share := r.sheet.share
	if force != nil {
		share = *force
	}
	if share == ByDistance && s.length > 0 {
		return n.mean / s.length / (sigma * sigma)
	}
	return 1 / (sigma * sigma)
}

// meanLength is the mean length of the set-ups whose length is known, m.
func (n *network) meanLength() float64 {
	sum, known := 0.0, 0
	for _, s := range n.setUps {
		sum += s.length
		known += b2i(s.length > 0)
	}
	return sum / float64(max(known, 1))
}
