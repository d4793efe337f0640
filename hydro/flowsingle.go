package hydro

import (
	"math"
	"math/bits"
)

// routeSingle sends each cell down the steepest of eight.
func (f *Flow) routeSingle() {
	survey(f.z, func(i int, centre float64, around *neighbourhood) {
		if k := steepest(centre, around); k >= 0 {
			f.receivers[i] = 1 << k
		}
	})
	f.descendFlatsSteepest()
}

// descendFlatsSteepest sends each cell of a flat to one other.
func (f *Flow) descendFlatsSteepest() {
	d := offsets(f.Frame)
	f.descendFlats(func(i int, lower uint8, increment []int32) {
		f.receivers[i] = 1 << steepestIncrement(i, lower, increment, d)
	})
}

// steepest is the neighbour in the direction of the steepest fall, the lowest
// index among equals, or −1 where none is lower.
//
// Which of the eight it is cannot be foreseen on rough ground, so a branch
// for each would often be guessed wrong. Positive floats order as their bits
// do, hence the greatest is found among whole numbers, without a branch. The
// last three bits, a part in 10¹⁵ of the slope, give way to the direction.
func steepest(centre float64, around *neighbourhood) int {
	best := int64(7)
	for k, z := range around {
		fall := centre - z
		if isDiagonal(k) {
			fall *= math.Sqrt2 / 2
		}
		best = max(best, int64(math.Float64bits(fall))&^7|int64(7-k))
	}
	if best == 7 {
		return -1
	}
	return 7 - int(best&7)
}

// steepestIncrement is the one of some neighbours in the direction of the
// steepest fall of the increments of a flat, the lowest index among equals.
func steepestIncrement(i int, lower uint8, increment []int32, d [8]int) int {
	best, to := 0.0, -1
	for ; lower != 0; lower &= lower - 1 {
		k := bits.TrailingZeros8(lower)
		fall := float64(increment[i] - increment[i+d[k]])
		if isDiagonal(k) {
			fall *= math.Sqrt2 / 2
		}
		if fall > best {
			best, to = fall, k
		}
	}
	return to
}
