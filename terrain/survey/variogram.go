package survey

import (
	"errors"
	"math"

	"github.com/paulmach/orb"
)

// A Lag is a class of the sample variogram.
type Lag struct {
	Pairs    int
	Distance float64 // mean distance of the pairs, m
	Gamma    float64 // half the mean square of their differences
}

// SampleVariogram sorts all pairs of points closer than the cutoff into
// classes of equal width and gives the classes that hold any, nearest first.
// A pair at the border of two classes belongs to the nearer. Without a cutoff
// (0) it is a third of the diagonal of the points' bounding box; without a
// number of classes (0), 15. Pairs of points at the same place are in the
// first class.
//
// The time grows with the square of the points: 3,000 take a tenth of a
// second or so. It panics unless there is one value for each point.
func SampleVariogram(points []orb.Point, values []float64, cutoff float64, classes int) []Lag {
	if len(points) != len(values) {
		panic("survey: points and values differ in number")
	}
	if cutoff <= 0 {
		box := orb.MultiPoint(points).Bound()
		cutoff = math.Hypot(box.Max[0]-box.Min[0], box.Max[1]-box.Min[1]) / 3
	}
	if classes <= 0 {
		classes = 15
	}
	width := cutoff / float64(classes)
	sums := make([]Lag, classes)
	for i, p := range points {
		for j, q := range points[:i] {
			d := math.Hypot(p[0]-q[0], p[1]-q[1])
			if d > cutoff {
				continue
			}
			k := min(max(int(math.Ceil(d/width))-1, 0), classes-1)
			diff := values[i] - values[j]
			sums[k].Pairs++
			sums[k].Distance += d
			sums[k].Gamma += diff * diff / 2
		}
	}
	lags := sums[:0]
	for _, s := range sums {
		if n := float64(s.Pairs); n > 0 {
			lags = append(lags, Lag{s.Pairs, s.Distance / n, s.Gamma / n})
		}
	}
	return lags
}

// FitVariogram finds the sill, range and nugget of a kernel that come nearest
// to a sample variogram, each class weighed by its pairs over the square of
// its distance (after Cressie 1985). It is offered to look at data and to
// compare with; [Fit] uses restricted likelihood, which needs no classes.
//
// For each range, sill and nugget are a least-squares solution that neither
// may take below zero; the range is searched between a tenth of the nearest
// and ten times the farthest class.
func FitVariogram(lags []Lag, kernel Kernel) (Covariance, error) {
	if len(lags) < 3 {
		return Covariance{}, errors.New("a variogram needs at least 3 classes that hold pairs")
	}
	at := func(logRange float64) (Covariance, float64) {
		c := Covariance{Kernel: kernel, Range: math.Exp(logRange)}
		return c, c.weigh(lags)
	}
	lo, hi := math.Log(lags[0].Distance/10), math.Log(lags[len(lags)-1].Distance*10)
	const steps = 200
	best, least := 0, math.Inf(1)
	for i := range steps + 1 {
		if _, sum := at(lo + (hi-lo)*float64(i)/steps); sum < least {
			best, least = i, sum
		}
	}
	a := lo + (hi-lo)*float64(max(best-1, 0))/steps
	b := lo + (hi-lo)*float64(min(best+1, steps))/steps
	c, _ := at(golden(a, b, func(x float64) float64 { _, sum := at(x); return sum }))
	return c, nil
}

// weigh sets the sill and nugget that suit the range best and returns the
// weighted sum of squares that is left.
func (c *Covariance) weigh(lags []Lag) float64 {
	c.Sill, c.Nugget = 1, 0
	var w, g, gg, y, gy float64 // sums of weights, of the kernel's variogram, and of the sample's
	for _, l := range lags {
		weight := float64(l.Pairs) / (l.Distance * l.Distance)
		shape := c.Variogram(l.Distance)
		w += weight
		g += weight * shape
		gg += weight * shape * shape
		y += weight * l.Gamma
		gy += weight * shape * l.Gamma
	}
	c.Sill = (gy*w - g*y) / (gg*w - g*g)
	c.Nugget = (y - c.Sill*g) / w
	switch {
	case !(c.Sill > 0):
		c.Sill, c.Nugget = 0, y/w
	case c.Nugget < 0:
		c.Sill, c.Nugget = gy/gg, 0
	}
	sum := 0.0
	for _, l := range lags {
		off := l.Gamma - c.Variogram(l.Distance)
		sum += float64(l.Pairs) / (l.Distance * l.Distance) * off * off
	}
	return sum
}

// golden is the place of the least value of f between a and b by golden
// section, which needs no derivative: the spherical kernel has a kink.
func golden(a, b float64, f func(float64) float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	fc, fd := f(c), f(d)
	for b-a > 1e-9 {
		if fc <= fd {
			b, d, fd = d, c, fc
			c = b - ratio*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + ratio*(b-a)
			fd = f(d)
		}
	}
	return (a + b) / 2
}
