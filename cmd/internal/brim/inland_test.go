package brim

import (
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

func TestInlandIsThreeCellsFromTheEndOfTheGround(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 9, Cols: 20, CellSize: 2, North: 18})
	z.Set(4, 14, terrain.Void())
	var inland []int
	for c := range z.Cols {
		if Inland(z, z.Centre(4, c)) {
			inland = append(inland, c)
		}
	}
	assert.Equal(t, []int{3, 4, 5, 6, 7, 8, 9, 10, 12, 13, 15, 16}, inland, "neither at the rim nor three cells from the void")
	assert.False(t, Inland(z, z.Centre(2, 8)))
	assert.False(t, Inland(z, orb.Point{-1, 9}))
}
