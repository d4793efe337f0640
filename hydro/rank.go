package hydro

import (
	"cmp"
	"math"
	"slices"
)

// rank maps an elevation to a whole number that orders as the elevations do,
// so that levels can be compared, sorted and bucketed by their bits. The two
// zeros rank the same. It must not be asked of a void.
func rank(z float32) uint32 {
	b := math.Float32bits(z + 0) // −0 + 0 is +0
	return b ^ (uint32(int32(b)>>31) | 1<<31)
}

// level is the elevation of a rank.
func level(rank uint32) float32 {
	return math.Float32frombits(rank ^ (uint32(int32(^rank)>>31) | 1<<31))
}

// A spot is something at a level: a cell, or a place in a list.
type spot struct{ rank, at uint32 }

// sortSpots sorts by rank and keeps the order of equals.
//
// It sorts by digits, the lowest first, and leaves out digits that all spots
// share: 22 ms for 1.7 million spots, where a stable comparing sort took 365.
func sortSpots(spots []spot) {
	const (
		bits   = 11
		passes = 3
		small  = 256 // below this the counting costs more than it saves
	)
	if len(spots) < small {
		slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.rank, b.rank) })
		return
	}
	var count [passes][1 << bits]int
	for _, s := range spots {
		for p := range passes {
			count[p][s.rank>>(p*bits)%(1<<bits)]++
		}
	}
	from, to := spots, make([]spot, len(spots))
	for p := range passes {
		c := &count[p]
		if c[spots[0].rank>>(p*bits)%(1<<bits)] == len(spots) {
			continue
		}
		at := 0
		for d, n := range c {
			c[d] = at
			at += n
		}
		for _, s := range from {
			d := s.rank >> (p * bits) % (1 << bits)
			to[c[d]] = s
			c[d]++
		}
		from, to = to, from
	}
	if &from[0] != &spots[0] {
		copy(spots, from)
	}
}
