package hydro

import (
	"math"
	"math/bits"
)

// routeSingle sends each cell down the steepest of eight.
func (f *Flow) routeSingle() {
	survey(f.z, func(i int, centre, z0, z1, z2, z3, z4, z5, z6, z7 float64) {
		f.receivers[i] = steepest(centre, z0, z1, z2, z3, z4, z5, z6, z7)
	})
	f.descendFlatsSteepest()
}

// descendFlatsSteepest sends each cell of a flat to one other, down the
// steepest fall of the increments.
func (f *Flow) descendFlatsSteepest() {
	increment, step := make([]int32, f.Len()), offsets(f.Frame)
	f.descendFlats(increment, func(i int, lower uint8) {
		f.receivers[i] = steepestIncrement(i, lower, increment, step)
	})
}

// steepest is the neighbour, as its bit, in the direction of the steepest
// fall, the lowest index among equals, or 0 where none is lower.
//
// Which of the eight it is cannot be foreseen on rough ground, so a branch
// for each would often be guessed wrong. Positive floats order as their bits
// do, hence the greatest is found among whole numbers, without a branch. The
// last three bits, a part in 10¹⁵ of the slope, give way to the direction.
func steepest(centre, z0, z1, z2, z3, z4, z5, z6, z7 float64) uint8 {
	const shorter = math.Sqrt2 / 2 // one over the length of a diagonal, cells
	best := max(
		directed((centre-z0)*shorter, 0), directed(centre-z1, 1), directed((centre-z2)*shorter, 2),
		directed(centre-z3, 3), directed(centre-z4, 4),
		directed((centre-z5)*shorter, 5), directed(centre-z6, 6), directed((centre-z7)*shorter, 7))
	if best < 8 {
		return 0
	}
	return 1 << (7 - best&7)
}

// directed is a whole number that orders as positive slopes do, and below 8
// for others, with the opposite of the direction in its last three bits.
func directed(slope float64, k int64) int64 {
	return int64(math.Float64bits(slope))&^7 | (7 - k)
}

// steepestIncrement is the one, as its bit, of some neighbours in the direction
// of the steepest fall of the increments of a flat, the lowest index among
// equals.
func steepestIncrement(i int, lower uint8, increment []int32, step [8]int) (to uint8) {
	best := 0.0
	for ; lower != 0; lower &= lower - 1 {
		k := bits.TrailingZeros8(lower)
		fall := float64(increment[i] - increment[i+step[k]])
		if isDiagonal(k) {
			fall *= math.Sqrt2 / 2
		}
		if fall > best {
			best, to = fall, 1<<k
		}
	}
	return to
}
