package survey

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lattice is shots at the corners of squares.
func lattice(cols, rows int, side float64) []Shot {
	var shots []Shot
	for i := range cols * rows {
		shots = append(shots, Shot{Point: orb.Point{side * float64(i%cols), side * float64(i/cols)}})
	}
	return shots
}

func TestSpacing(t *testing.T) {
	assert.Equal(t, 7.0, Spacing(lattice(10, 10, 7)), "of a lattice it is the side of a square")
	assert.Equal(t, 7.0, Spacing(lattice(50, 2, 7)), "of a strip too")
	assert.InDelta(t, 10, Spacing(scattered(400, 1)), 1, "without order it is the side of a shot's share")
	assert.Zero(t, Spacing(lattice(1, 1, 7)))
	assert.Zero(t, Spacing(append(lattice(1, 1, 7), lattice(1, 1, 7)...)))
}

func TestCellIsATenthOfTheSpacingRoundedToATidyNumber(t *testing.T) {
	for spacing, want := range map[float64]float64{
		10: 1, 11: 1, 14: 1, 15: 2, 25: 2, 40: 5, 60: 5, 80: 10, 178: 20, 3: 0.2, 0.7: 0.05,
	} {
		assert.InEpsilon(t, want, CellFor(lattice(5, 5, spacing)), 1e-12, "spacing %v", spacing)
	}
	assert.Equal(t, 1.0, CellFor(nil))
}

func TestFrameCoversTheShotsAndOneSpacingAround(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a million shots")
	}
	shots := lattice(11, 6, 10)
	for i := range shots {
		shots[i].Point[0] += 500_003.7
		shots[i].Point[1] += 3_000_001.2
	}
	f, err := FrameFor(shots, 0)
	require.NoError(t, err)
	assert.Equal(t, 1.0, f.CellSize)
	assert.Equal(t, 499_993.0, f.West, "a multiple of the cell")
	assert.Equal(t, 3_000_062.0, f.North)
	assert.Equal(t, orb.Point{500_114, 2_999_991}, orb.Point{f.Bound().Max[0], f.Bound().Min[1]})
	assert.Empty(t, f.CRS)

	// A million shots are drawn without being asked for fewer cells.
	wide := lattice(1000, 1000, 5)
	f, err = FrameFor(wide, 0)
	require.NoError(t, err)
	assert.Equal(t, 2.0, f.CellSize)

	_, err = FrameFor(shots, 0.001)
	require.EqualError(t, err, "cells of 0.001 m over 120 by 70 m are 8.4e+09 cells, more than 1e+08; larger cells are needed, or a shot lies far from the rest")
	assert.ErrorIs(t, err, ErrInput)
	_, err = FrameFor(nil, 1)
	assert.EqualError(t, err, "0 shots; a surface needs at least 3 that are not in a line")
	_, err = FrameFor(shots, -1)
	assert.EqualError(t, err, "a cell of -1 m; a side above 0 is needed")
}
