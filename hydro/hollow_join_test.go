package hydro

import (
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCutsThatChangeNothingGiveTheSameTree(t *testing.T) {
	for seed := range seeds(600) {
		z := awkwardGround(seed)
		if seed%3 == 0 {
			z = terraintest.Lowland(40, 0.02)
		}
		h := FindHollows(z)
		if seed%2 == 0 {
			h = h.Significant(0.02)
		}
		if len(h.All) == 0 {
			continue
		}
		leaf := int(h.Inner[h.All[0].FloorCell]) - 1
		got := h.Join([]Cut{
			{leaf, Outside, h.All[leaf].Floor, h.All[leaf].FloorCell},
			{leaf, Outside, 1e9, h.All[leaf].FloorCell},
		})
		require.Equal(t, h.Noise, got.Noise)
		for c := range z.Cells {
			for _, of := range [2][2][]int32{{h.Outer, got.Outer}, {h.Inner, got.Inner}} {
				require.Equal(t, of[0][c] > 0, of[1][c] > 0, "seed %d, cell %d", seed, c)
				if of[0][c] > 0 {
					a, b := &h.All[of[0][c]-1], &got.All[of[1][c]-1]
					require.Equal(t, a.FloorCell, b.FloorCell, "seed %d, cell %d", seed, c)
					require.Equal(t, a.Spill, b.Spill, "seed %d, cell %d", seed, c)
				}
			}
		}
		// Where three or more hollows meet at one level others of them may join
		// first, so what holds no water of its own may differ.
		type hollow struct {
			floor, spill, volume, catchment float64
			floorCell                       int
			own                             []int32
		}
		list := func(h *Hollows) (all []hollow) {
			for i, a := range h.All {
				if !joinsAtItsBrim(h, i) {
					all = append(all, hollow{a.Floor, a.Spill, a.Volume, a.Catchment, a.FloorCell, h.Own(i)})
				}
			}
			return all
		}
		require.Equal(t, list(h), list(got), "seed %d", seed)
	}
}

// Two bowls, by hand: a ditch from the west bowl to the outside at 3.5 m
// leaves it 1.5 m³ in its lowest cell; it no longer joins the east bowl, which
// holds its 8 m³ to the saddle and spills into it.
func TestDitchToTheOutsideIsWhereItsHollowSpills(t *testing.T) {
	h := FindHollows(bowls())
	const east, west = 1, 2
	got := h.Join([]Cut{{west, Outside, 3.5, 12}})
	require.Len(t, got.All, 2)
	assert.Equal(t, 8.0, got.All[0].Volume)
	assert.Equal(t, 5.0, got.All[0].Spill)
	assert.Equal(t, 1, got.All[0].SpillsTo)
	assert.Equal(t, 1.5, got.All[1].Volume)
	assert.Equal(t, 3.5, got.All[1].Spill)
	assert.Equal(t, Outside, got.All[1].SpillsTo)
	assert.Equal(t, Outside, got.All[1].Parent)
}

// A pipe between the bowls at 3.5 m: below it the west bowl holds 1.5 m³ and
// the east one 0.5 + 2.5 + 0.5 = 3.5; above it they are one and hold 20 m³ to
// the way out as before.
func TestPipeBetweenTwoHollowsMakesThemOneAboveIt(t *testing.T) {
	h := FindHollows(bowls())
	got := h.Join([]Cut{{2, 1, 3.5, 12}})
	require.Len(t, got.All, 3)
	assert.Equal(t, 20.0, got.All[0].Volume)
	assert.Equal(t, 6.0, got.All[0].Spill)
	assert.Equal(t, 3.5, got.All[1].Volume)
	assert.Equal(t, 2, got.All[1].SpillsTo)
	assert.Equal(t, 1.5, got.All[2].Volume)
	assert.Equal(t, 1, got.All[2].SpillsTo)
	assert.Equal(t, 3.5, got.All[1].Spill)
	assert.Equal(t, 3.5, got.Storage().Base(0))
}

// A slot dug through the wall between two pits does what a cut does, but for
// the cells of the slot.
func TestCutHoldsWaterLikeASlotThroughTheGround(t *testing.T) {
	rows := func(slot float32) *terrain.Grid[float32] {
		return terraintest.Rows(1,
			[]float32{9, 9, 9, 9, 9, 9, 9},
			[]float32{9, 2, 9, slot, 9, 1, 9},
			[]float32{9, 4, slot, slot, slot, 3, 9},
			[]float32{9, 9, 9, 9, 9, 9, 9},
		)
	}
	h := FindHollows(rows(9))
	require.Len(t, h.All, 2)
	cut := h.Join([]Cut{{0, 1, 5, h.All[0].FloorCell}}).Storage()
	dug := FindHollows(rows(5)).Storage()
	require.Len(t, dug.h.All, 3)
	for _, level := range []float64{5, 6, 7.5, 8.9} {
		slot := 4 * (level - 5)
		assert.InDelta(t, dug.Volume(0, level)-slot, cut.Volume(0, level), 1e-12, "%g m", level)
	}
	for k := 1; k < 3; k++ {
		assert.Equal(t, dug.h.All[k].Volume, cut.h.All[k].Volume)
	}
}
