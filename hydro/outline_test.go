package hydro

import (
	"slices"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOutlineOfSmallHollowsByHand(t *testing.T) {
	for _, tt := range []struct {
		name string
		z    *terrain.Grid[float32]
		want orb.MultiPolygon
	}{
		{"one cell", terraintest.Rows(1,
			[]float32{9, 9, 9},
			[]float32{9, 5, 9},
			[]float32{9, 9, 9},
		), orb.MultiPolygon{{{{2, 1}, {2, 2}, {1, 2}, {1, 1}, {2, 1}}}}},

		{"a side of three cells has no corner in its middle", terraintest.Rows(1,
			[]float32{9, 9, 9, 9, 9},
			[]float32{9, 5, 4, 5, 9},
			[]float32{9, 9, 9, 9, 9},
		), orb.MultiPolygon{{{{4, 1}, {4, 2}, {1, 2}, {1, 1}, {4, 1}}}}},

		{"cells that touch at a corner are two polygons", terraintest.Rows(1,
			[]float32{9, 9, 9, 9},
			[]float32{9, 5, 9, 9},
			[]float32{9, 9, 4, 9},
			[]float32{9, 9, 9, 9},
		), orb.MultiPolygon{
			{{{2, 2}, {2, 3}, {1, 3}, {1, 2}, {2, 2}}},
			{{{3, 1}, {3, 2}, {2, 2}, {2, 1}, {3, 1}}},
		}},

		{"an island is a hole", terraintest.Rows(1,
			[]float32{9, 9, 9, 9, 9},
			[]float32{9, 5, 5, 5, 9},
			[]float32{9, 5, 9, 5, 9},
			[]float32{9, 5, 4, 5, 9},
			[]float32{9, 9, 9, 9, 9},
		), orb.MultiPolygon{{
			{{4, 1}, {4, 4}, {1, 4}, {1, 1}, {4, 1}},
			{{3, 3}, {3, 2}, {2, 2}, {2, 3}, {3, 3}},
		}}},

		{"islands that touch at a corner are two holes", terraintest.Rows(1,
			[]float32{9, 9, 9, 9, 9, 9},
			[]float32{9, 5, 5, 5, 5, 9},
			[]float32{9, 5, 9, 5, 5, 9},
			[]float32{9, 5, 5, 9, 5, 9},
			[]float32{9, 5, 4, 5, 5, 9},
			[]float32{9, 9, 9, 9, 9, 9},
		), orb.MultiPolygon{{
			{{5, 1}, {5, 5}, {1, 5}, {1, 1}, {5, 1}},
			{{3, 4}, {3, 3}, {2, 3}, {2, 4}, {3, 4}},
			{{4, 3}, {4, 2}, {3, 2}, {3, 3}, {4, 3}},
		}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.z.North = float64(tt.z.Rows) // the south-west corner is the origin
			h := FindHollows(tt.z)
			require.Len(t, h.All, 1)
			assert.Equal(t, tt.want, h.Outline(0))
		})
	}
}

func TestOutlinesAreValidAndHoldTheirCells(t *testing.T) {
	for seed := range seeds(400) {
		z := awkwardGround(seed)
		z.West, z.North, z.CellSize = 512000, 4096000, 0.25
		h := FindHollows(z)
		for i := range h.All {
			outline := h.Outline(i)
			area := 0.0
			for _, polygon := range outline {
				for k, ring := range polygon {
					requireSimple(t, ring)
					want := orb.CW
					if k == 0 {
						want = orb.CCW
					}
					require.Equal(t, want, ring.Orientation(), "seed %d, hollow %d, ring %d", seed, i, k)
				}
				area += planar.Area(polygon)
			}
			require.Equal(t, h.All[i].Area, area, "seed %d, hollow %d", seed, i)
			wet := cellsOf(h, i)
			for c := range z.Cells {
				_, in := slices.BinarySearch(wet, int32(c))
				row, col := z.Cell(c)
				require.Equal(t, in, planar.MultiPolygonContains(outline, z.Centre(row, col)), "seed %d, cell %d", seed, c)
			}
		}
	}
}

// requireSimple checks that a ring is closed, turns at every corner and comes
// to no corner twice.
func requireSimple(t *testing.T, ring orb.Ring) {
	t.Helper()
	require.True(t, ring.Closed())
	seen := map[orb.Point]bool{}
	for i, p := range ring[1:] {
		require.False(t, seen[p], "twice at %v", p)
		seen[p] = true
		next := ring[1+(i+1)%(len(ring)-1)]
		require.NotEqual(t, ring[i][0] == p[0], p[0] == next[0], "no turn at %v", p)
	}
}
