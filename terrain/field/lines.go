package field

import (
	"math"
	"slices"
)

// Beds, furrows and whatever else lies in straight lines is a few waves of much
// energy among many of little. In the mean of their sector they would roughen
// every draw everywhere, and be smoothed themselves. Of waves that belong to
// their sector one in e¹⁰ has ten times its mean.
const (
	outlier = 10 // times the usual of its sector, the energy of a wave that stands out
	around  = 4  // times what half of the directions have, the most that is usual in one
	beside  = 1  // frequencies on either side that such a wave leaks into
)

// findLines keeps the energies of waves that stand out of their sector apart,
// at their frequencies and those beside them. What is usual is the median of
// the sector and its neighbours in wavenumber, held against the error, which
// falls about as the ground does.
func (o *rose) findLines(t torus, s *shape, noise []float64) {
	ratios := make([][]float64, o.steps*directions)
	each := func(use func(i, step, direction int)) {
		for k := range t.half() {
			for r := range t.rows {
				w := t.wavenumber(k, r)
				if w < dimmed*o.longest {
					continue
				}
				step, direction := o.place(math.Log(w), t.bearing(k, r))
				use(k*t.rows+r, int(step+0.5), int(direction+0.5)%directions)
			}
		}
	}
	each(func(i, step, direction int) {
		q := s.seen[i] / noise[i]
		for near := max(step-1, 0); near <= min(step+1, o.steps-1); near++ {
			ratios[near*directions+direction] = append(ratios[near*directions+direction], q)
		}
	})
	usual := make([]float64, len(ratios))
	for at, v := range ratios {
		if slices.Sort(v); len(v) > 0 {
			usual[at] = v[len(v)/2] / math.Ln2 // the median of energies is that of their mean
		}
	}
	for step := range o.steps {
		ring := slices.Clone(usual[step*directions:][:directions])
		slices.Sort(ring)
		for d := range directions {
			usual[step*directions+d] = min(usual[step*directions+d], around*ring[directions/2-1])
		}
	}
	each(func(i, step, direction int) {
		if s.seen[i] <= outlier*max(usual[step*directions+direction], 1)*noise[i] {
			return
		}
		k, r := i/t.rows, i%t.rows
		for a := max(k-beside, 0); a <= min(k+beside, t.half()-1); a++ {
			for b := r - beside; b <= r+beside; b++ {
				j := a*t.rows + (b+t.rows)%t.rows
				o.lines[j] = float32(max(s.seen[j]-noise[j], 1e-3*noise[j]))
			}
		}
	})
}
