package field

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

const (
	newtonSteps = 100
	settle      = 200 // steps of sampling before the first that is kept
	apart       = 20  // steps from one that is kept to the next
)

// likely draws log spectra of the ground that are as likely as each other given
// the raster, and their mean.
//
// The most likely one and a Gaussian about it come of Newton's method
// (Rasmussen & Williams 2006, algorithm 3.1). What that Gaussian misses,
// elliptical slice sampling against it makes good: Murray, I., Adams, R.P.,
// MacKay, D.J.C. (2010), Elliptical slice sampling, AISTATS 9, 541–548;
// Nishihara, R., Murray, I., Adams, R.P. (2014), Parallel MCMC with generalized
// elliptical slice sampling, Journal of Machine Learning Research 15,
// 2087–2112. From memory.
func (o *rose) likely(count int, random *rand.Rand) (draws [][]float64, mean []float64) {
	before, k := o.prior()
	top := o.mode(before, k)
	n := len(top)
	slope, information := make([]float64, n), make([]float64, n)
	o.fit(top, slope, information)
	lower := scatterOf(k, information)

	// Of the truth to the Gaussian, by its log, at so much from the top: the
	// terms of the prior leave only the slope and the bend of the likelihood.
	at := make([]float64, n)
	ratio := func(from []float64) float64 {
		sum := 0.0
		for i, d := range from {
			at[i] = top[i] + d
			sum += d*d*information[i]/2 - d*slope[i]
		}
		return sum + o.fit(at, nil, nil)
	}
	here, next := make([]float64, n), make([]float64, n)
	level := ratio(here)
	white, way := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	move := func() {
		for i := range n {
			white.SetVec(i, random.NormFloat64())
		}
		way.MulVec(lower, white)
		bar := level + math.Log(1-random.Float64())
		angle := 2 * math.Pi * random.Float64()
		lo, hi := angle-2*math.Pi, angle
		for hi-lo > 1e-9 {
			sin, cos := math.Sincos(angle)
			for i := range n {
				next[i] = here[i]*cos + way.AtVec(i)*sin
			}
			if v := ratio(next); v > bar {
				copy(here, next)
				level = v
				return
			}
			if angle < 0 {
				lo = angle
			} else {
				hi = angle
			}
			angle = lo + (hi-lo)*random.Float64()
		}
	}
	for range settle {
		move()
	}
	mean = make([]float64, n)
	for range count {
		for range apart {
			move()
		}
		f := make([]float64, n)
		for i := range n {
			f[i] = top[i] + here[i]
			mean[i] += f[i] / float64(count)
		}
		draws = append(draws, f)
	}
	return draws, mean
}

// mode is the most likely log spectrum, climbed to from what is believed before
// by steps of Newton that are halved until they lead up.
func (o *rose) mode(before []float64, k *mat.SymDense) []float64 {
	n := len(before)
	f := append([]float64(nil), before...)
	weight := make([]float64, n) // K⁻¹ (f - before)
	slope, information := make([]float64, n), make([]float64, n)
	height := func(f, weight []float64) float64 {
		v := o.fit(f, nil, nil)
		for i := range n {
			v -= weight[i] * (f[i] - before[i]) / 2
		}
		return v
	}
	b, to := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	next, nextWeight := make([]float64, n), make([]float64, n)
	now := height(f, weight)
	for range newtonSteps {
		o.fit(f, slope, information)
		for i := range n {
			b.SetVec(i, information[i]*(f[i]-before[i])+slope[i])
		}
		// With W the information: (b - √W (1 + √W K √W)⁻¹ √W K b).
		var kb, solved mat.VecDense
		kb.MulVec(k, b)
		for i := range n {
			kb.SetVec(i, kb.AtVec(i)*math.Sqrt(information[i]))
		}
		if err := inner(k, information).SolveVecTo(&solved, &kb); err != nil {
			return f
		}
		for i := range n {
			solved.SetVec(i, b.AtVec(i)-math.Sqrt(information[i])*solved.AtVec(i))
		}
		to.MulVec(k, &solved)
		gain := 0.0
		for part := 1.0; part > 1e-3 && gain == 0; part /= 2 {
			for i := range n {
				next[i] = f[i] + part*(before[i]+to.AtVec(i)-f[i])
				nextWeight[i] = weight[i] + part*(solved.AtVec(i)-weight[i])
			}
			if v := height(next, nextWeight); v > now {
				gain = v - now
				f, next, weight, nextWeight, now = next, f, nextWeight, weight, v
			}
		}
		if gain < 1e-6 {
			break
		}
	}
	return f
}

// inner is the factor of 1 + √W K √W.
func inner(k *mat.SymDense, information []float64) *mat.Cholesky {
	n := len(information)
	m := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := math.Sqrt(information[i]) * k.At(i, j) * math.Sqrt(information[j])
			if i == j {
				v++
			}
			m.SetSym(i, j, v)
		}
	}
	var c mat.Cholesky
	c.Factorize(m) // one and something never below nothing: it has a factor
	return &c
}

// scatterOf is the factor L Lᵀ of the covariance (K⁻¹ + W)⁻¹ about the mode,
// which is K - K √W (1 + √W K √W)⁻¹ √W K.
func scatterOf(k *mat.SymDense, information []float64) *mat.TriDense {
	n := len(information)
	half := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			half.Set(i, j, math.Sqrt(information[i])*k.At(i, j))
		}
	}
	var solved, less mat.Dense
	if err := inner(k, information).SolveTo(&solved, half); err != nil {
		solved.Zero()
	}
	less.Mul(half.T(), &solved)
	var c mat.Cholesky
	for more := 1e-8; ; more *= 10 { // rounding may leave it a hair below a factor
		sigma := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				v := k.At(i, j) - (less.At(i, j)+less.At(j, i))/2
				if i == j {
					v += more * k.At(i, i)
				}
				sigma.SetSym(i, j, v)
			}
		}
		if c.Factorize(sigma) {
			break
		}
	}
	var lower mat.TriDense
	c.LTo(&lower)
	return &lower
}
