package trial

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Anywhere is the reach that lets every spot be compared with every other.
var Anywhere = math.Inf(1)

// AUCNear is AUC over pairs of neighbours only: the chance that, of a spot
// seen wet and one that was not, no farther apart than reach, the wet one
// scores higher. This is what someone asks who plants one field, and it is
// blind to whatever drifts over longer ways. It is NaN without such a pair.
//
// Its error is the spread over draws of the ground with replacement, in
// squares of side block, all spots of a square together, so that neighbours
// that flood together do not pass for independent witnesses. The draws are
// the same every time.
func AUCNear(spots []Spot, score []float64, reach, block float64) Area {
	return redrawn(spots, block, func(times []float64) float64 {
		return nearArea(spots, score, reach, times)
	})
}

// GainNear is the AUCNear of a less that of b, over the same draws.
func GainNear(spots []Spot, a, b []float64, reach, block float64) Area {
	return redrawn(spots, block, func(times []float64) float64 {
		return nearArea(spots, a, reach, times) - nearArea(spots, b, reach, times)
	})
}

// nearArea is the share of near pairs told right, every spot counted so many
// times.
func nearArea(spots []Spot, score []float64, reach float64, times []float64) float64 {
	right, pairs := 0.0, 0.0
	for i, wet := range spots {
		if !wet.Wet || times[i] == 0 {
			continue
		}
		for j, dry := range spots {
			if dry.Wet || times[j] == 0 || !within(wet, dry, reach) {
				continue
			}
			n := times[i] * times[j]
			pairs += n
			switch {
			case score[i] > score[j]:
				right += n
			case score[i] == score[j]:
				right += n / 2
			}
		}
	}
	return right / pairs
}

// redraws bounds the work: 400 draws know a standard deviation to 3.5 %.
const redraws = 400

// redrawn is a statistic of all spots with its spread over drawing their
// squares again. Draws without a pair to compare are left out.
func redrawn(spots []Spot, block float64, statistic func(times []float64) float64) Area {
	squares := inSquares(spots, block)
	once := make([]float64, len(spots))
	for i := range once {
		once[i] = 1
	}
	r := rand.New(rand.NewPCG(1982, 143)) // any fixed seed
	var values []float64
	for range redraws {
		times := make([]float64, len(spots))
		for range squares {
			for _, i := range squares[r.IntN(len(squares))] {
				times[i]++
			}
		}
		if v := statistic(times); !math.IsNaN(v) {
			values = append(values, v)
		}
	}
	return Area{statistic(once), math.Sqrt(variance(values))}
}

// inSquares sorts the indices of spots into the squares they lie in, squares
// and spots in a fixed order.
func inSquares(spots []Spot, side float64) [][]int {
	square := func(i int) [2]float64 {
		return [2]float64{math.Floor(spots[i].Point[0] / side), math.Floor(spots[i].Point[1] / side)}
	}
	order := make([]int, len(spots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := square(i), square(j)
		return slices.Compare(a[:], b[:])
	})
	var squares [][]int
	for k, i := range order {
		if k == 0 || square(i) != square(order[k-1]) {
			squares = append(squares, nil)
		}
		squares[len(squares)-1] = append(squares[len(squares)-1], i)
	}
	return squares
}
