package hydro

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"wetfeet/terrain"
)

// Surfaces whose specific catchment area, the area above per metre of
// contour, is known without a program. Coordinates are metres from the middle
// of the site, x east and y north.
//
// Flow lines of contours x²/a² + y²/b², of whatever heights, solve dx/dt =
// x/a², dy/dt = y/b². Their divergence is constant, c = 1/a² + 1/b², which
// gives the two ellipsoids; those of the saddle have none, which gives the
// logarithm. The family is that of Zhou, Q., Liu, X. (2002), Error assessment
// of grid-based flow routing algorithms used in hydrological models,
// International Journal of Geographical Information Science 16(8), 819–842;
// the closed forms were derived anew, since only its abstract was at hand.
type surface struct {
	name   string
	height func(x, y float64) float64 // NaN beyond the site
	area   func(x, y float64) float64
}

const (
	formsHalf  = 100.0 // half the side of the site, m, and the outer radius of the inward cone
	ellipsoidA = 100.0
	ellipsoidB = 60.0
)

// planeArea is the distance upslope to the edge of the site for water running
// towards an angle, anticlockwise from east.
func planeArea(degrees, x, y float64) float64 {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	reach := func(at, step float64) float64 { // distance back to ±formsHalf
		switch {
		case step > 1e-12:
			return (at + formsHalf) / step
		case step < -1e-12:
			return (at - formsHalf) / step
		}
		return math.Inf(1)
	}
	return min(reach(x, cos), reach(y, sin))
}

func outwardArea(r float64) float64       { return r / 2 }
func inwardArea(r, outer float64) float64 { return (outer*outer - r*r) / (2 * r) }
func saddleArea(x, y, outer float64) float64 {
	return math.Hypot(x, y) * math.Log(outer/math.Abs(x))
}

func ellipsoidArea(x, y float64) float64 {
	const a, b = ellipsoidA, ellipsoidB
	return math.Hypot(x/(a*a), y/(b*b)) / (1/(a*a) + 1/(b*b))
}

func inverseEllipsoidArea(x, y float64) float64 {
	const a, b = ellipsoidA, ellipsoidB
	const c = 1/(a*a) + 1/(b*b)
	// The time t at which the flow line left the brim, by halving.
	lo, hi := 0.0, 1e6
	for range 200 {
		t := (lo + hi) / 2
		if math.Hypot(x*math.Exp(t/(a*a))/a, y*math.Exp(t/(b*b))/b) < 1 {
			lo = t
		} else {
			hi = t
		}
	}
	return math.Hypot(x/(a*a), y/(b*b)) * (math.Exp(c*lo) - 1) / c
}

// The closed forms at the points they were worked out at elsewhere: planes,
// cones, ellipsoids checked against traced stream tubes to 2 parts in 10,000.
func TestClosedFormsOfCatchmentArea(t *testing.T) {
	// The plane was worked out on a square of 100 m with its south-west corner
	// at the origin; here the square is 200 m about it.
	assert.InDelta(t, 40, planeArea(0, -60, -10), 1e-9)
	assert.InDelta(t, 70, planeArea(-90, 0, 30), 1e-9)
	assert.InDelta(t, 56.56854, planeArea(-45, -60, -70+100), 1e-5)
	for r, want := range map[float64]float64{1: 0.5, 10: 5, 50: 25, 90: 45} {
		assert.InDelta(t, want, outwardArea(r), 1e-9)
	}
	for r, want := range map[float64]float64{1: 4999.5, 10: 495, 50: 75, 90: 10.55556} {
		assert.InDelta(t, want, inwardArea(r, 100), 1e-5)
	}
	for p, want := range map[[2]float64]float64{{30, 0}: 7.941176, {0, 40}: 29.41176, {60, 20}: 21.64514, {30, 30}: 23.4447} {
		assert.InDelta(t, want, ellipsoidArea(p[0], p[1]), 1e-5)
	}
	for p, want := range map[[2]float64]float64{{30, 0}: 742.3063, {0, 20}: 50.81444, {60, 20}: 31.75845, {30, 30}: 30.85168, {50, 0}: 168.2987} {
		assert.InDelta(t, want, inverseEllipsoidArea(p[0], p[1]), 1e-4)
	}
	for p, want := range map[[2]float64]float64{{50, 20}: 37.32712, {20, 50}: 86.67088, {10, 10}: 32.56347, {100, 30}: 0} {
		assert.InDelta(t, want, saddleArea(p[0], p[1], 100), 1e-5)
	}
}

// Gallant, J.C., Hutchinson, M.F. (2011), A differential equation for
// specific catchment area, Water Resources Research 47, W05535: down a flow
// line da/dl = 1 − κ a, κ being the curvature of the contour, positive where
// flow diverges. On a cone κ is one over the radius.
func TestCatchmentAreaGrowsAsItsDifferentialEquationSays(t *testing.T) {
	const step = 1e-4
	for _, r := range []float64{10, 50} {
		outward := (outwardArea(r+step) - outwardArea(r-step)) / (2 * step)
		assert.InDelta(t, 1-outwardArea(r)/r, outward, 1e-6)
		inward := (inwardArea(r-step, 100) - inwardArea(r+step, 100)) / (2 * step)
		assert.InDelta(t, 1+inwardArea(r, 100)/r, inward, 1e-6)
	}
}

func surfaces() []surface {
	var all []surface
	for _, degrees := range []float64{0, 10, 22.5, 35, 45} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		all = append(all, surface{
			fmt.Sprintf("plane at %g°", degrees),
			func(x, y float64) float64 { return -0.05 * (cos*x + sin*y) },
			func(x, y float64) float64 { return planeArea(degrees, x, y) },
		})
	}
	within := func(a, b, x, y float64) float64 {
		if q := 1 - x*x/(a*a) - y*y/(b*b); q > 0 {
			return q
		}
		return math.NaN()
	}
	return append(all,
		surface{"cone, outward",
			func(x, y float64) float64 { return -0.05 * math.Hypot(x, y) },
			func(x, y float64) float64 { return outwardArea(math.Hypot(x, y)) }},
		surface{"cone, inward",
			func(x, y float64) float64 {
				return 0.05*math.Hypot(x, y) + 0*within(formsHalf, formsHalf, x, y)
			},
			func(x, y float64) float64 { return inwardArea(math.Hypot(x, y), formsHalf) }},
		surface{"ellipsoid",
			func(x, y float64) float64 { return 10 * math.Sqrt(within(ellipsoidA, ellipsoidB, x, y)) },
			ellipsoidArea},
		surface{"ellipsoid, inverse",
			func(x, y float64) float64 { return -10 * math.Sqrt(within(ellipsoidA, ellipsoidB, x, y)) },
			inverseEllipsoidArea},
		surface{"saddle",
			func(x, y float64) float64 { return (x*x - y*y) / 2000 },
			func(x, y float64) float64 { return saddleArea(x, y, formsHalf) }})
}

// formError is the mean, over the cells of a surface, of the size of the
// relative error of specific catchment area and of the error itself. Cells
// within five of the edge of the site or eight of its middle do not count:
// there the closed form changes too much within one cell to say what a cell
// should have.
func formError(s surface, cell float64, r Routing, exponent float64) (size, bias float64) {
	side := int(2 * formsHalf / cell)
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: cell, West: -formsHalf, North: formsHalf})
	for i := range z.Cells {
		p := z.Centre(z.Cell(i))
		z.Cells[i] = float32(s.height(p[0], p[1]))
	}
	area := upslope(z, r, exponent)
	n := 0
	for i, v := range area.Cells {
		row, col := z.Cell(i)
		p := z.Centre(row, col)
		if math.Hypot(p[0], p[1]) < 8*cell || nearEdge(z, row, col, 5) {
			continue
		}
		want := s.area(p[0], p[1])
		e := v/cell/want - 1
		size += math.Abs(e)
		bias += e
		n++
	}
	return size / float64(n), bias / float64(n)
}

// nearEdge reports whether a cell lies within so many cells of the rim or a
// void.
func nearEdge(z *terrain.Grid[float32], row, col, cells int) bool {
	for r := row - cells; r <= row+cells; r++ {
		for c := col - cells; c <= col+cells; c++ {
			if !z.Holds(r, c) || terrain.IsVoid(z.At(r, c)) {
				return true
			}
		}
	}
	return false
}

// How far each routing is from the truth on smooth ground, with the width of
// flow taken as one cell whatever its direction. The bounds are a little above
// what was measured, in per cent: what they guard is that it gets no worse.
//
// At 22.5° two of the eight are equally steep and the last bit of the
// elevations chooses, so that single flow gathers in a few lines; facet flow
// errs on planes because the width it drains across is less than a cell.
func TestRoutingAgainstClosedForms(t *testing.T) {
	if testing.Short() {
		t.Skip("routes water over thirty large grounds")
	}
	bounds := map[string][3]float64{ // multiple, single, facet
		"plane at 0°":        {0.7, 0.7, 0.7},
		"plane at 10°":       {6.2, 13, 3.2},
		"plane at 22.5°":     {8.1, 125, 10.9},
		"plane at 35°":       {5.2, 29, 21},
		"plane at 45°":       {0.8, 30, 30},
		"cone, outward":      {5.5, 44, 12.4},
		"cone, inward":       {6.4, 57, 15.4},
		"ellipsoid":          {5.8, 50, 11.3},
		"ellipsoid, inverse": {8, 51, 13},
		"saddle":             {6.1, 43, 15},
	}
	var table strings.Builder
	fmt.Fprintf(&table, "mean size of the relative error of specific catchment area (mean error), %%, 400 × 400 cells of 0.5 m\n")
	fmt.Fprintf(&table, "%-20s %16v %16v %16v\n", "", Multiple, Single, Facet)
	for _, s := range surfaces() {
		fmt.Fprintf(&table, "%-20s", s.name)
		for k, r := range routings {
			size, bias := formError(s, 0.5, r, 0)
			fmt.Fprintf(&table, " %7.1f (%+5.1f)", 100*size, 100*bias)
			assert.LessOrEqual(t, 100*size, bounds[s.name][k], "%s, %v flow", s.name, r)
		}
		fmt.Fprintln(&table)
	}
	t.Log("\n" + table.String())
}
