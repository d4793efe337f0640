package field

import "math"

// A ring is the waves of like wavenumber: how many independent ones, the mean
// of the log of their wavenumbers, and the mean energies seen in the raster
// and of its error as believed, m².
type ring struct{ n, log, seen, noise float64 }

// expected is the spectrum of the ground in each ring, m², as expected of
// smooth ground given the rings: the mean over shapes
//
//	S(k) = A (1 + (k/k₀)²)^(-β/2)
//
// each weighed by the likelihood of the energies seen, which are exponential
// about S + N (Whittle, P. (1953). Estimation and information in stationary
// time series. Arkiv för Matematik 2, 423–434; from memory). All k₀, β from 3
// to 5 and A, by its log, count alike beforehand: Matérn 3/2 ground has β = 5.
// One best shape, or the difference of the energies ring by ring, would take
// what cannot be told from the error for flat, and be too sure of it.
func expected(rings []ring) []float64 {
	n := len(rings)
	first, last := rings[0].log, rings[n-1].log
	var most float64
	for _, r := range rings {
		most = max(most, r.seen)
	}
	least := rings[0].noise
	for _, r := range rings {
		least = min(least, r.noise)
	}
	const across, down, along = 14, 5, 0.35 // shapes of k₀ and β, and the step of log A
	mean := make([]float64, n)
	form, shape := make([]float64, n), make([]float64, n)
	var total, best float64
	best = math.Inf(-1)
	for i := range across {
		k0 := first + (last-first)*(float64(i)/across)
		for j := range down {
			beta := 3 + float64(j)/2
			for q, r := range rings {
				form[q] = math.Pow(1+math.Exp(2*(r.log-k0)), -beta/2)
			}
			// From a ground that is lost in the error to one that is all there is.
			for a := math.Log(10 * most); a > math.Log(least/100) && a > math.Log(most)-30; a -= along {
				amount := math.Exp(a)
				var likely float64
				for q, r := range rings {
					shape[q] = amount * form[q]
					c := shape[q] + r.noise
					likely -= r.n * (math.Log(c) + r.seen/c)
				}
				if likely > best {
					scale := math.Exp(best - likely)
					best = likely
					total *= scale
					for q := range mean {
						mean[q] *= scale
					}
				}
				w := math.Exp(likely - best)
				total += w
				for q, s := range shape {
					mean[q] += w * s
				}
			}
		}
	}
	for q := range mean {
		mean[q] /= total
	}
	return mean
}
