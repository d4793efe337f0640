package weather

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// A Hyetograph is rain against time: Rain[i] mm fell evenly in step i, which
// was Hours[i] long. Steps follow each other without a gap and may differ in
// length; dry steps have no rain.
type Hyetograph struct {
	Hours []float64
	Rain  []float64
}

// Depth is all of the rain, mm.
func (h Hyetograph) Depth() float64 {
	sum := 0.0
	for _, r := range h.Rain {
		sum += r
	}
	return sum
}

// Duration is the time from the start of the first step to the end of the
// last, in hours.
func (h Hyetograph) Duration() float64 {
	sum := 0.0
	for _, d := range h.Hours {
		sum += d
	}
	return sum
}

// Peak is the strongest rain of any step, mm/h.
func (h Hyetograph) Peak() float64 {
	peak := 0.0
	for i, r := range h.Rain {
		peak = max(peak, r/h.Hours[i])
	}
	return peak
}

// Check says what is wrong with a hyetograph that a person typed: every step
// takes time, has no less rain than none, and all in all no more falls than
// ever fell on earth.
func (h Hyetograph) Check() error {
	if len(h.Rain) != len(h.Hours) {
		return mistaken("the hyetograph has %d depths of rain but %d steps", len(h.Rain), len(h.Hours))
	}
	if len(h.Rain) == 0 {
		return mistaken("the hyetograph has no steps; at least one is needed")
	}
	for i, r := range h.Rain {
		if d := h.Hours[i]; !(d > 0) || math.IsInf(d, 0) {
			return mistaken("step %d of the hyetograph is %g h long; it must be above 0", i+1, d)
		}
		if !(r >= 0) || math.IsInf(r, 0) {
			return mistaken("step %d of the hyetograph has %g mm of rain; it must be 0 or more", i+1, r)
		}
	}
	return checkDepth(h.Depth(), h.Duration())
}

// Resample is the same rain in steps of so many hours, the last one cut short
// at the end of the rain. No water is lost or moved out of its step.
func (h Hyetograph) Resample(hours float64) Hyetograph {
	if !(hours > 0) {
		panic(fmt.Sprintf("weather: steps of %g h", hours))
	}
	ends, sums := h.cumulative()
	total := ends[len(ends)-1]
	n := max(1, int(math.Ceil(total/hours*(1-1e-12))))
	out := Hyetograph{make([]float64, n), make([]float64, n)}
	from, below := 0.0, 0.0
	for i := range n {
		to := min(float64(i+1)*hours, total)
		if i == n-1 {
			to = total
		}
		sum := between(ends, sums, to)
		out.Hours[i], out.Rain[i] = to-from, max(0, sum-below)
		from, below = to, sum
	}
	return out
}

// Until is the rain, mm, up to so many hours after the start.
func (h Hyetograph) Until(hours float64) float64 {
	ends, sums := h.cumulative()
	return between(ends, sums, hours)
}

// cumulative is when each step ends and what has fallen by then, with the
// start before them.
func (h Hyetograph) cumulative() (ends, sums []float64) {
	ends, sums = make([]float64, len(h.Hours)+1), make([]float64, len(h.Hours)+1)
	for i := range h.Hours {
		ends[i+1], sums[i+1] = ends[i]+h.Hours[i], sums[i]+h.Rain[i]
	}
	return ends, sums
}

// between is the value at x of the line through the points, held at its ends.
func between(xs, ys []float64, x float64) float64 {
	i := sort.SearchFloat64s(xs, x)
	switch {
	case i == 0:
		return ys[0]
	case i == len(xs):
		return ys[len(ys)-1]
	}
	return ys[i-1] + (ys[i]-ys[i-1])*((x-xs[i-1])/(xs[i]-xs[i-1]))
}

// Scale is the same shape with another depth of rain, mm.
func (h Hyetograph) Scale(depth float64) Hyetograph {
	out := Hyetograph{slices.Clone(h.Hours), slices.Clone(h.Rain)}
	by := depth / h.Depth()
	for i := range out.Rain {
		out.Rain[i] *= by
	}
	return out
}
