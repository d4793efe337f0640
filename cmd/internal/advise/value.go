package advise

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// worth is what reading something would be worth to decisions that are taken
// one by one: each is to act at a price, in the unit of the losses, or to bear
// the loss. It is the expected loss with the best choice as things stand, less
// that with the best choice once the readings are known.
//
// What a reading would leave of each expected loss is found by regression of
// the losses over the draws on the readings, which are on the same draws:
// Strong, M., Oakley, J.E., Brennan, A. (2014). Estimating multiparameter
// partial expected value of perfect information from a probabilistic
// sensitivity analysis sample. Medical Decision Making 34(3), 311-326 (from
// memory). A line stands for their curve, and the share of the loss that as
// many readings of nothing would explain is taken off, so that chance looks like
// no value.
type worth struct {
	loss  [][]float64 // by decision and draw
	price float64
	draws int
	now   float64 // expected loss with the best choices as things stand
}

func newWorth(loss [][]float64, price float64) *worth {
	w := &worth{loss: loss, price: price}
	for _, l := range loss {
		w.draws = len(l)
		w.now += min(price, mean(l))
	}
	return w
}

// of is the worth of readings together, each by draw.
func (w *worth) of(readings ...[]float64) float64 {
	basis := orthonormal(readings, w.draws)
	if len(basis) == 0 {
		return 0
	}
	then := 0.0
	n := float64(w.draws)
	for _, l := range w.loss {
		m := mean(l)
		slopes := make([]float64, len(basis))
		explained, all := 0.0, 0.0
		for _, v := range l {
			all += (v - m) * (v - m)
		}
		for b, q := range basis {
			for d, v := range l {
				slopes[b] += q[d] * (v - m)
			}
			explained += slopes[b] * slopes[b]
		}
		// Readings of nothing explain as many parts in n-1 as there are of them.
		shrink := 0.0
		if explained > 0 {
			k := float64(len(basis))
			shrink = math.Sqrt(max(0, explained-(all-explained)*k/max(1, n-1-k)) / explained)
		}
		sum := 0.0
		for d := range l {
			fitted := m
			for b, q := range basis {
				fitted += shrink * slopes[b] * q[d]
			}
			sum += min(w.price, min(max(fitted, 0), 1))
		}
		then += sum / n
	}
	return max(0, w.now-then)
}

// orthonormal are readings without their means, at right angles to each other
// and of length 1; what is no more than the others together is left out.
func orthonormal(readings [][]float64, n int) [][]float64 {
	var out [][]float64
	for _, r := range readings {
		v := mat.NewVecDense(n, nil)
		m := mean(r)
		for i, x := range r {
			v.SetVec(i, x-m)
		}
		length := mat.Norm(v, 2)
		for range 2 { // twice is enough: Kahan, in Parlett, The Symmetric Eigenvalue Problem (1980), section 6.9, from memory
			for _, q := range out {
				u := mat.NewVecDense(n, q)
				v.AddScaledVec(v, -mat.Dot(u, v), u)
			}
		}
		left := mat.Norm(v, 2)
		if !(left > 1e-6*length) || left == 0 {
			continue
		}
		v.ScaleVec(1/left, v)
		out = append(out, v.RawVector().Data)
	}
	return out
}

// best picks readings one after the other, each the one that adds most to
// those before, and what they are worth together then. Where nothing adds
// anything it ends.
func (w *worth) best(candidates [][]float64, most int) (picked []int, value []float64) {
	var have [][]float64
	before := 0.0
	for len(picked) < most {
		at, top := -1, before
		for c := range candidates {
			if v := w.of(append(have, candidates[c])...); v > top+1e-9 {
				at, top = c, v
			}
		}
		if at < 0 {
			break
		}
		picked, value = append(picked, at), append(value, top)
		have, before = append(have, candidates[at]), top
	}
	return picked, value
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}
