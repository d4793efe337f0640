package hydro

import (
	"math"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// volumeSlowly is the water below a level over the cells of a hollow, m³, and
// its surface, m².
func volumeSlowly(h *Hollows, i int, level float64) (volume, area float64) {
	for _, c := range cellsOf(h, i) {
		if depth := level - float64(h.ground.Cells[c]); depth > 0 {
			volume += depth * h.CellArea()
			area += h.CellArea()
		}
	}
	return volume, area
}

func TestStorageIsTheWaterOverTheCells(t *testing.T) {
	for seed := range seeds(1_500) {
		z := awkwardGround(seed)
		if seed%3 == 0 {
			z = terraintest.Lowland(12+int(seed%20), 0.01)
		}
		z.CellSize = 0.5
		h := FindHollows(z)
		if seed%2 == 0 {
			h = h.Significant(0.01)
		}
		s := h.Storage()
		for i := range h.All {
			a := &h.All[i]
			require.Equal(t, a.Volume, s.Volume(i, a.Spill))
			require.Equal(t, a.Volume, s.Volume(i, a.Spill+1))
			require.Equal(t, a.Spill, s.Level(i, a.Volume))
			require.Equal(t, a.Spill, s.Level(i, a.Volume+1))
			require.Equal(t, s.Base(i), s.Level(i, 0))
			scale := math.Max(1, math.Abs(a.Spill))
			for _, part := range []float64{0, 0.1, 0.5, 0.77, 0.999} {
				level := s.Base(i) + part*(a.Spill-s.Base(i))
				volume, area := volumeSlowly(h, i, level)
				require.InDelta(t, volume, s.Volume(i, level), 1e-9*math.Max(volume, scale*1e-3), "seed %d, hollow %d", seed, i)
				require.Equal(t, area, s.Area(i, level), "seed %d, hollow %d", seed, i)
				require.InDelta(t, level, s.Level(i, volume), 1e-9*scale, "seed %d, hollow %d", seed, i)
			}
		}
	}
}

// bowls is the ground of checks G10 and G11: two bowls of three cells with a
// saddle between them, between walls, and a way out to the east.
func bowls() *terrain.Grid[float32] {
	return terraintest.Rows(1,
		[]float32{10, 10, 10, 10, 10, 10, 10, 10, 10, 10},
		[]float32{10, 4, 2, 4, 5, 3, 1, 3, 6, 4},
		[]float32{10, 10, 10, 10, 10, 10, 10, 10, 10, 10},
	)
}

// The tree of the two bowls, by hand: west bowl to the saddle 1 + 3 + 1 = 5,
// east bowl 2 + 4 + 2 = 8, together 13 and 7 cells more to the level of 6.
// Catchments by hand: walls drain straight down but for the corner cells and
// those beside the way out, columns 0 to 3 to the west bowl and 4 to 8 to the
// east one.
func TestTreeOfTwoBowlsByHand(t *testing.T) {
	h := FindHollows(bowls())
	require.Len(t, h.All, 3)
	assert.Equal(t, []Hollow{
		{ID: 1, Floor: 1, FloorCell: 16, Spill: 6, SpillCell: 18, SpillsTo: Outside,
			Parent: Outside, Children: h.All[0].Children, Cells: 7, Area: 7, Volume: 20, Catchment: 27},
		{ID: 2, Floor: 1, FloorCell: 16, Spill: 5, SpillCell: 14, SpillsTo: 2,
			Parent: 0, Children: [2]int{Outside, Outside}, Cells: 3, Area: 3, Volume: 8, Catchment: 15},
		{ID: 3, Floor: 2, FloorCell: 12, Spill: 5, SpillCell: 14, SpillsTo: 1,
			Parent: 0, Children: [2]int{Outside, Outside}, Cells: 3, Area: 3, Volume: 5, Catchment: 12},
	}, h.All)
	assert.ElementsMatch(t, []int{1, 2}, h.All[0].Children[:])
}

// Levels at the volumes of checks G08, G09 and G10, by hand, to the six
// digits they are given in.
func TestLevelsOfTwoBowlsByHand(t *testing.T) {
	s := FindHollows(bowls()).Storage()
	const both, east, west = 0, 1, 2
	for _, tt := range []struct {
		hollow        int
		volume, level float64
	}{
		{west, 3, 4.333333}, {east, 1, 2}, {west, 5, 5}, {east, 3, 3.333333}, {east, 7, 4.666667}, // G08
		{both, 13, 5}, {both, 16, 5.428571}, {both, 20, 6}, {both, 24, 6},
		{west, 0.5, 2.5}, {east, 4, 3.666667}, {west, 3.25, 4.416667}, {both, 13.5, 5.071429}, // G09
		{east, 3.75, 3.583333}, {west, 4.8, 4.933333}, {east, 6, 4.333333}, {both, 16.2, 5.457143}, // G10
	} {
		assert.InDelta(t, tt.level, s.Level(tt.hollow, tt.volume), 0.5e-6, "hollow %d, %g m³", tt.hollow, tt.volume)
		if tt.volume <= s.h.All[tt.hollow].Volume {
			assert.InDelta(t, tt.volume, s.Volume(tt.hollow, s.Level(tt.hollow, tt.volume)), 1e-12)
		}
	}
}
