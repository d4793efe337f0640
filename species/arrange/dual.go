package arrange

import (
	"math"
	"slices"
)

const (
	mostCuts    = 60    // kept at a time
	levelShare  = 0.5   // of the way from the best bound to where it can be at most
	closeEnough = 1e-10 // of the gap there was at first, between what the bound is and can be
)

// A dual is the search for the prices that make the bound greatest. The bound
// is concave in the prices, and each time it is worked out it says how high it
// can be at most elsewhere. The next prices are the nearest to the best so far
// at which all of that lets it be halfway up to where it can be at most: the
// level method.
//
//	Lemaréchal, C., Nemirovskii, A., Nesterov, Y. (1995). New variants of
//	bundle methods. Mathematical Programming 69, 111–147 (from memory).
type dual struct {
	*site
	rows  *rows
	pairs int64 // neighbours that may be together; no price for them where none may

	at         []float64 // the best prices, that of a pair last
	best, most float64   // the bound there, and what it can be at most
	first      float64   // most less best at the beginning
	cuts       []limit
	push       []float64 // how much each cut counts for the next prices
	ended      bool
}

// A limit says what the bound can be at most: no more than at some prices,
// plus slope times how far prices are from there.
type limit struct {
	slope   []float64
	behind  float64 // how far above the best bound it is, at the prices of that
	species []int   // the plan of the rows
}

// newDual starts at some prices, with an arrangement whose loss no bound can
// pass.
func (s *site) newDual(r *rows, u []float64, plan []int) *dual {
	d := &dual{site: s, rows: r, at: u}
	if rule := s.whole(plan).rule; rule > 0 && s.alternate {
		d.pairs = rule
	}
	for i, k := range plan {
		d.most += r.loss[i][k]
	}
	low, c := d.limit(u)
	d.best, d.cuts, d.push = low, []limit{c}, []float64{1}
	d.first = d.most - low
	d.ended = math.IsInf(low, 1)
	return d
}

// raise tries other prices. It has ended once the bound can hardly be raised.
func (d *dual) raise() {
	var move []float64
	n := len(d.at)
	for {
		if d.ended = d.most-d.best <= closeEnough*d.first; d.ended {
			return
		}
		level := levelShare * (d.most - d.best)
		g, h := make([][]float64, len(d.cuts)), make([]float64, len(d.cuts))
		for k := range d.cuts {
			g[k], h[k] = d.cuts[k].slope, level-d.cuts[k].behind
		}
		var ok bool
		if move, d.push, ok = shortest(g, h, n); ok {
			break
		}
		d.most = d.best + level
	}
	u := make([]float64, n)
	for k := range u {
		u[k] = d.at[k] + move[k]
	}
	u[n-1] = max(0, u[n-1])
	low, c := d.limit(u)
	c.behind = low - d.best + along(c.slope, u, d.at)
	d.cuts, d.push = append(d.cuts, c), append(d.push, 0)
	if low > d.best {
		for i := range d.cuts {
			d.cuts[i].behind += d.best - low + along(d.cuts[i].slope, d.at, u)
		}
		d.best, d.at = low, u
	}
	if len(d.cuts) > mostCuts {
		k := max(0, slices.Index(d.push, 0))
		d.cuts, d.push = slices.Delete(d.cuts, k, k+1), slices.Delete(d.push, k, k+1)
	}
}

// along is how much a slope rises from some prices to others.
func along(slope, from, to []float64) (sum float64) {
	for k, g := range slope {
		sum += g * (to[k] - from[k])
	}
	return sum
}

// limit is the bound at some prices and what it says elsewhere.
func (d *dual) limit(u []float64) (low float64, c limit) {
	n := len(d.count)
	d.rows.pair = math.Inf(1)
	if d.pairs > 0 {
		d.rows.pair = u[n]
	}
	low = d.rows.plan(u[:n])
	if math.IsInf(low, 1) {
		return low, c
	}
	c.slope, c.species = make([]float64, n+1), slices.Clone(d.rows.species)
	for k, m := range d.count {
		low += float64(m) * u[k]
		c.slope[k] = float64(m)
	}
	for _, k := range c.species {
		c.slope[k]--
	}
	if d.pairs > 0 {
		low -= u[n] * float64(d.pairs)
		c.slope[n] = -float64(d.pairs)
		for i, j := range d.left {
			if j != None && d.together(j, i, c.species) {
				c.slope[n]++
			}
		}
	}
	return low, c
}

// mixed takes the plan of each row from one of the cuts, so that the counts
// come out as nearly as can be, row by row, in the shares by which the cuts
// push.
func (d *dual) mixed() []int {
	sum := 0.0
	for _, p := range d.push {
		sum += p
	}
	plan := make([]int, len(d.order))
	off := make([]float64, len(d.count)) // what has been planted less what should have been
	for lo := 0; lo < len(d.order); {
		hi := lo + 1
		for hi < len(d.order) && d.left[hi] != None {
			hi++
		}
		pick, least := len(d.cuts)-1, math.Inf(1)
		for k, p := range d.push {
			for _, b := range d.cuts[k].species[lo:hi] {
				off[b] -= p / sum
			}
		}
		for k, p := range d.push {
			if p == 0 {
				continue
			}
			for _, b := range d.cuts[k].species[lo:hi] {
				off[b]++
			}
			if far := dot(off, off); far < least {
				pick, least = k, far
			}
			for _, b := range d.cuts[k].species[lo:hi] {
				off[b]--
			}
		}
		for i, b := range d.cuts[pick].species[lo:hi] {
			off[b]++
			plan[lo+i] = b
		}
		lo = hi
	}
	return plan
}

// wrong is how many plants of a plan would have to be of another species for
// the counts.
func (s *site) wrong(plan []int) int {
	left := slices.Clone(s.count)
	for _, k := range plan {
		left[k]--
	}
	missing := 0
	for _, n := range left {
		missing += max(0, n)
	}
	return missing
}

// rippled is the losses with a little more for each species that is not
// planned, different for each place.
func (s *site) rippled() [][]float64 {
	out := make([][]float64, len(s.loss))
	height := ripple * s.spread()
	for i, row := range s.loss {
		out[i] = slices.Clone(row)
		for k := range row {
			if k != s.planned[i] {
				// The bits of splitmix64 (Steele, Lea, Flood 2014).
				z := uint64(i*len(row)+k+1) * 0x9E3779B97F4A7C15
				z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
				z = (z ^ z>>27) * 0x94D049BB133111EB
				out[i][k] += height * float64((z^z>>31)>>11) / (1 << 53)
			}
		}
	}
	return out
}
