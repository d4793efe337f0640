package terrain

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

func TestLocate(t *testing.T) {
	f := Frame{Rows: 20, Cols: 30, West: 1000, North: 500, CellSize: 2}
	for _, tt := range []struct {
		name     string
		at       orb.Point
		row, col int
		ok       bool
	}{
		{"the north-west corner", orb.Point{1000, 500}, 0, 0, true},
		{"the south-east corner belongs to the last cell", orb.Point{1060, 460}, 19, 29, true},
		{"a line between cells belongs to the eastern and the southern one", orb.Point{1002, 498}, 1, 1, true},
		{"just short of that", orb.Point{1001.999, 498.001}, 0, 0, true},
		{"a centimetre beyond the north-west corner", orb.Point{999.99, 500.01}, 0, 0, true},
		{"a centimetre beyond the south-east corner", orb.Point{1060.01, 459.99}, 19, 29, true},
		{"three centimetres to the west", orb.Point{999.97, 480}, 0, 0, false},
		{"three centimetres to the north", orb.Point{1030, 500.03}, 0, 0, false},
		{"three centimetres to the east", orb.Point{1060.03, 480}, 0, 0, false},
		{"three centimetres to the south", orb.Point{1030, 459.97}, 0, 0, false},
		{"nowhere", orb.Point{float64(Void()), 480}, 0, 0, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			row, col, ok := f.Locate(tt.at)
			assert.Equal(t, tt.ok, ok)
			assert.Equal(t, [2]int{tt.row, tt.col}, [2]int{row, col})
		})
	}
	t.Run("the rim of tiny cells is half a cell wide", func(t *testing.T) {
		tiny := Frame{Rows: 3, Cols: 3, CellSize: 0.01}
		_, _, ok := tiny.Locate(orb.Point{-0.004, 0.004})
		assert.True(t, ok)
		_, _, ok = tiny.Locate(orb.Point{-0.006, 0})
		assert.False(t, ok)
	})
	t.Run("a frame without cells holds nothing", func(t *testing.T) {
		_, _, ok := Frame{CellSize: 1}.Locate(orb.Point{0, 0})
		assert.False(t, ok)
	})
}

func TestKnownSpanLeavesOutTheVoidsAtBothEnds(t *testing.T) {
	v := Void()
	for _, tt := range []struct {
		row         []float32
		first, last int
	}{{[]float32{v, v, 1, v, 2, v}, 2, 4}, {[]float32{3}, 0, 0}, {[]float32{1, v}, 0, 0}, {[]float32{v, 1}, 1, 1}} {
		first, last, ok := KnownSpan(tt.row)
		assert.True(t, ok)
		assert.Equal(t, [2]int{tt.first, tt.last}, [2]int{first, last})
	}
	_, _, ok := KnownSpan([]float32{v, v})
	assert.False(t, ok)
}
