package trial

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/mat"
)

// A Spot is a place whose height was measured and where it was seen how wet
// it gets.
type Spot struct {
	Point orb.Point // m
	Z     float64   // m
	Wet   bool      // of the class that the measures are to find
}

// Lowness scores every spot by its elevation alone, lower scoring higher.
func Lowness(spots []Spot) []float64 {
	score := make([]float64, len(spots))
	for i, s := range spots {
		score[i] = -s.Z
	}
	return score
}

// BelowPlane scores every spot by how far it lies below the plane fitted to
// all of them by least squares, m: its elevation less the general fall of the
// ground. It panics when the spots do not span a plane.
func BelowPlane(spots []Spot) []float64 {
	// Coordinates are taken from the first spot, so that six-figure eastings
	// do not cost six figures.
	var coefficients mat.VecDense
	a, z := mat.NewDense(len(spots), 3, nil), mat.NewVecDense(len(spots), nil)
	for i, s := range spots {
		a.SetRow(i, []float64{1, s.Point[0] - spots[0].Point[0], s.Point[1] - spots[0].Point[1]})
		z.SetVec(i, s.Z)
	}
	if err := coefficients.SolveVec(a, z); err != nil {
		panic(fmt.Sprintf("trial: no plane through %d spots: %v", len(spots), err))
	}
	var plane mat.VecDense
	plane.MulVec(a, &coefficients)
	score := make([]float64, len(spots))
	for i, s := range spots {
		score[i] = plane.AtVec(i) - s.Z
	}
	return score
}

// LowerThanNeighbours scores every spot by the share of the spots within a
// radius that lie higher, those as high as it and itself counting half.
func LowerThanNeighbours(spots []Spot, radius float64) []float64 {
	score := make([]float64, len(spots))
	for i, s := range spots {
		higher, near := 0.0, 0.0
		for _, o := range spots {
			if !within(s, o, radius) {
				continue
			}
			near++
			switch {
			case o.Z > s.Z:
				higher++
			case o.Z == s.Z:
				higher += 0.5
			}
		}
		score[i] = higher / near
	}
	return score
}

// AboveLowest scores every spot by its height above the lowest within a
// radius, m, with the sign turned so that the lowest scores 0 and all others
// less.
func AboveLowest(spots []Spot, radius float64) []float64 {
	score := make([]float64, len(spots))
	for i, s := range spots {
		lowest := s.Z
		for _, o := range spots {
			if within(s, o, radius) {
				lowest = min(lowest, o.Z)
			}
		}
		score[i] = lowest - s.Z
	}
	return score
}

// within reports whether two spots lie no farther apart than a radius.
func within(a, b Spot, radius float64) bool {
	return math.Hypot(a.Point[0]-b.Point[0], a.Point[1]-b.Point[1]) <= radius
}
