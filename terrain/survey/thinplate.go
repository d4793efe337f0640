package survey

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/mat"
)

// mostPlate is how many shots a thin plate is bent through at most: it is
// solved whole, with a matrix of as many rows.
const mostPlate = 1000

// A ThinPlate is the surface that bends least through shots, a plane being no
// bending at all: the sum over the shots of w r² ln r, r being the distance to
// each, and a plane.
//
//	Duchon, J. (1977). Splines minimizing rotation-invariant semi-norms in
//	Sobolev spaces. Lecture Notes in Mathematics 571, 85–100.
//	Wahba, G. (1990). Spline models for observational data. SIAM.
//
// It knows nothing of how far likeness reaches and of no error, and so is a
// check on a [Model] that shares none of its assumptions. Breaklines are not
// seen.
type ThinPlate struct {
	shots  []Shot
	centre orb.Point
	size   float64
	level  float64
	w      []float64  // of each shot
	plane  [3]float64 // 1, x, y, scaled
	loo    float64
}

// BendPlate makes a thin plate of shots in metres, from three that are not in
// a line up to 1,000. A smoothing of 0 passes through them; more, in m² of
// scaled distance, trades closeness for less bending. What is wrong with the
// shots is ErrInput.
func BendPlate(shots []Shot, smoothing float64) (*ThinPlate, error) {
	n := len(shots)
	switch {
	case n < 3:
		return nil, tooFew(n)
	case n > mostPlate:
		return nil, fmt.Errorf("%d shots; a thin plate takes at most %d", n, mostPlate)
	case !(smoothing >= 0) || math.IsInf(smoothing, 0):
		return nil, fmt.Errorf("a smoothing of %v; 0 or more is needed", smoothing)
	}
	p := &ThinPlate{shots: shots, w: make([]float64, n)}
	for _, s := range shots {
		p.centre[0] += s.Point[0] / float64(n)
		p.centre[1] += s.Point[1] / float64(n)
		p.level += s.Z / float64(n)
	}
	for _, s := range shots {
		p.size = max(p.size, math.Hypot(s.Point[0]-p.centre[0], s.Point[1]-p.centre[1]))
	}
	if !(p.size > 0) || math.IsInf(p.size, 0) {
		return nil, faultf("all %d shots are at one place; at least 3 places that are not in a line are needed", n)
	}
	a := mat.NewDense(n+3, n+3, nil)
	z := mat.NewVecDense(n+3, nil)
	for i, s := range shots {
		x, y := p.scaled(s.Point)
		for j, t := range shots[:i] {
			u, v := p.scaled(t.Point)
			k := bend(x-u, y-v)
			a.Set(i, j, k)
			a.Set(j, i, k)
		}
		a.Set(i, i, smoothing/(p.size*p.size))
		for j, f := range [3]float64{1, x, y} {
			a.Set(i, n+j, f)
			a.Set(n+j, i, f)
		}
		z.SetVec(i, s.Z-p.level)
	}
	var inverse mat.Dense
	if err := inverse.Inverse(a); err != nil {
		return nil, faultf("the shots lie too nearly in a line, or two of them at one place, for a thin plate through them")
	}
	var x mat.VecDense
	x.MulVec(&inverse, z)
	var refine, more mat.VecDense // one step against rounding
	refine.MulVec(a, &x)
	refine.SubVec(z, &refine)
	more.MulVec(&inverse, &refine)
	x.AddVec(&x, &more)
	squares := 0.0
	for i := range n {
		p.w[i] = x.AtVec(i)
		off := p.w[i] / inverse.At(i, i) // as if shot i had been left out
		squares += off * off
	}
	p.loo = math.Sqrt(squares / float64(n))
	for j := range p.plane {
		p.plane[j] = x.AtVec(n + j)
	}
	return p, nil
}

// bend is r² ln r.
func bend(dx, dy float64) float64 {
	d := dx*dx + dy*dy
	if d == 0 {
		return 0
	}
	return d * math.Log(d) / 2
}

func (p *ThinPlate) scaled(at orb.Point) (x, y float64) {
	return (at[0] - p.centre[0]) / p.size, (at[1] - p.centre[1]) / p.size
}

// At is the height of the plate at a point in the system of the shots, m.
func (p *ThinPlate) At(at orb.Point) float64 {
	x, y := p.scaled(at)
	z := p.level + p.plane[0] + p.plane[1]*x + p.plane[2]*y
	for i, s := range p.shots {
		u, v := p.scaled(s.Point)
		z += float64(p.w[i] * bend(x-u, y-v))
	}
	return z
}

// LeaveOneOut is the root mean square by which each shot is missed by the
// plate through all others, m.
func (p *ThinPlate) LeaveOneOut() float64 { return p.loo }
