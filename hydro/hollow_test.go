package hydro

import (
	"fmt"
	"runtime"
	"slices"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lake is a hollow by definition: a connected set of cells below a level,
// none of which lets water out, that runs over as soon as it may also cover
// cells at the level: into other cells below it, or out.
type lake struct {
	spill float32
	cells []int32 // in order
}

// lakesSlowly finds all lakes by looking at every level in turn.
func lakesSlowly(z *terrain.Grid[float32]) map[string]lake {
	found := map[string]lake{}
	levels := slices.DeleteFunc(slices.Clone(z.Cells), terrain.IsVoid)
	slices.Sort(levels)
	for _, brim := range slices.Compact(levels) {
		seen := make([]bool, z.Len())
		for start, v := range z.Cells {
			if seen[start] || !(v < brim) {
				continue
			}
			cells, leaks := spread(z, start, func(v float32) bool { return v < brim })
			for _, c := range cells {
				seen[c] = true
			}
			wider, widerLeaks := spread(z, start, func(v float32) bool { return v <= brim })
			below := 0
			for _, c := range wider {
				if z.Cells[c] < brim {
					below++
				}
			}
			if !leaks && (widerLeaks || below > len(cells)) {
				found[fmt.Sprint(brim+0, cells)] = lake{brim, cells}
			}
		}
	}
	return found
}

// spread lists the cells that can be reached from one over cells whose level
// is wet, in order, and reports whether any lets water out.
func spread(z *terrain.Grid[float32], start int, wet func(float32) bool) (cells []int32, leaks bool) {
	seen := map[int32]bool{int32(start): true}
	cells = []int32{int32(start)}
	for k := 0; k < len(cells); k++ {
		row, col := z.Cell(int(cells[k]))
		leaks = leaks || letsOutSlowly(z, row, col)
		for r := max(0, row-1); r <= min(z.Rows-1, row+1); r++ {
			for c := max(0, col-1); c <= min(z.Cols-1, col+1); c++ {
				i := int32(z.Index(r, c))
				if !seen[i] && wet(z.Cells[i]) {
					seen[i] = true
					cells = append(cells, i)
				}
			}
		}
	}
	slices.Sort(cells)
	return cells, leaks
}

// pitSlowly follows the steepest way down from a cell and returns the pit, or
// −1 if the water leaves.
func pitSlowly(z *terrain.Grid[float32], i int) int {
	for {
		row, col := z.Cell(i)
		best, to, equal := 0.0, -1, -1
		for k := range 8 {
			r, c := row+rowStep[k], col+colStep[k]
			if !z.Holds(r, c) {
				continue
			}
			n := z.Index(r, c)
			fall := float64(z.Cells[i]) - float64(z.Cells[n])
			if fall == 0 && n < i && equal < 0 {
				equal = n
			}
			if isDiagonal(k) {
				fall *= 0.7071067811865476
			}
			if fall > best {
				best, to = fall, n
			}
		}
		switch {
		case to >= 0:
			i = to
		case letsOutSlowly(z, row, col):
			return -1
		case equal >= 0:
			i = equal
		default:
			return i
		}
	}
}

// cellsOf are the cells of a hollow, in order.
func cellsOf(h *Hollows, i int) []int32 {
	cells := slices.Clone(h.wetted[h.first[i]:][:h.All[i].Cells])
	slices.Sort(cells)
	return cells
}

// joinsAtItsBrim reports whether a hollow has no water of its own, being one
// step in the joining of several at one level.
func joinsAtItsBrim(h *Hollows, i int) bool {
	a := &h.All[i]
	return !a.IsLeaf() && a.Spill == h.All[a.Children[0]].Spill
}

func TestHollowsAreTheLakesOfTheDefinition(t *testing.T) {
	for seed := range seeds(3_000) {
		z := awkwardGround(seed)
		h := FindHollows(z)
		want := lakesSlowly(z)
		for i := range h.All {
			a := &h.All[i]
			if joinsAtItsBrim(h, i) {
				require.NotEqual(t, Outside, a.Parent, "seed %d: an outermost hollow holds water of its own", seed)
				continue
			}
			key := fmt.Sprint(float32(a.Spill), cellsOf(h, i))
			require.Contains(t, want, key, "seed %d, hollow %d", seed, a.ID)
			delete(want, key)
		}
		require.Empty(t, want, "seed %d: hollows not found", seed)
	}
}

func TestHollowsAreMeasuredAsDefined(t *testing.T) {
	for seed := range seeds(3_000) {
		z := awkwardGround(seed)
		z.CellSize = 0.5
		h := FindHollows(z)
		pits := map[int]int{}
		for i, v := range z.Cells {
			if v == v {
				pits[i] = pitSlowly(z, i)
			}
		}
		for i := range h.All {
			a := &h.All[i]
			cells := cellsOf(h, i)
			volume, floor := 0.0, cells[0]
			for _, c := range cells {
				volume += (a.Spill - float64(z.Cells[c])) * z.CellArea()
				if z.Cells[c] < z.Cells[floor] {
					floor = c
				}
			}
			require.Equal(t, i+1, a.ID)
			require.Equal(t, volume, a.Volume, "seed %d, hollow %d", seed, a.ID)
			require.EqualValues(t, z.Cells[floor], a.Floor)
			require.EqualValues(t, floor, a.FloorCell)
			require.EqualValues(t, a.Spill, z.Cells[a.SpillCell])
			require.Equal(t, float64(len(cells))*z.CellArea(), a.Area)
			require.Greater(t, a.Depth(), 0.0)
			if i > 0 {
				before := &h.All[i-1]
				require.True(t, before.Volume > a.Volume ||
					before.Volume == a.Volume && before.FloorCell <= a.FloorCell, "seed %d: order", seed)
			}
			for _, k := range a.Children {
				if !a.IsLeaf() {
					require.Equal(t, i, h.All[k].Parent)
				}
			}
			drained := 0
			for c := range z.Cells {
				if in := int(h.Inner[c]) - 1; in >= 0 && within(h, in, i) {
					drained++
				}
			}
			require.Equal(t, float64(drained)*z.CellArea(), a.Catchment)
		}
		for c := range z.Cells {
			pit, known := pits[c]
			in := int(h.Inner[c]) - 1
			if !known || pit < 0 {
				require.Equal(t, -1, in, "seed %d, cell %d", seed, c)
				continue
			}
			if in >= 0 {
				require.True(t, h.All[in].IsLeaf())
			}
			// The pit itself may hold nothing; then it passes the water on.
			require.Equal(t, int(h.Inner[pit])-1, in, "seed %d, cell %d", seed, c)
		}
	}
}

// within reports whether hollow i is hollow outer or part of it.
func within(h *Hollows, i, outer int) bool {
	for i != Outside && i != outer {
		i = h.All[i].Parent
	}
	return i == outer
}

func TestOverflowRunsToANeighbourAndAtLastOutside(t *testing.T) {
	for seed := range seeds(3_000) {
		z := awkwardGround(seed)
		h := FindHollows(z)
		for i := range h.All {
			a := &h.All[i]
			if a.Parent != Outside {
				require.True(t, within(h, a.SpillsTo, a.Parent), "seed %d: stays within the parent", seed)
				require.False(t, within(h, a.SpillsTo, i), "seed %d: leaves the hollow", seed)
				continue
			}
			steps := 0
			for to := a.SpillsTo; to != Outside; steps++ {
				require.LessOrEqual(t, steps, len(h.All), "seed %d: overflow runs in a circle", seed)
				for h.All[to].Parent != Outside {
					to = h.All[to].Parent
				}
				to = h.All[to].SpillsTo
			}
		}
	}
}

func TestFilledLevelIsTheBrimOfTheOutermostHollow(t *testing.T) {
	grounds := []*terrain.Grid[float32]{terraintest.Lowland(300, 0.02), terraintest.Lowland(300, 0)}
	for seed := range seeds(2_000) {
		grounds = append(grounds, awkwardGround(seed))
	}
	for k, z := range grounds {
		h := FindHollows(z)
		filled := terrain.NewGrid[float32](z.Frame)
		Fill(filled, z)
		brim := slices.Clone(z.Cells)
		for i := range brim {
			brim[i] += 0
			if over := h.Covering(i); over != nil {
				brim[i] = float32(over.Spill)
			}
			require.Equal(t, filled.Cells[i] > z.Cells[i], h.Covering(i) != nil, "ground %d, cell %d", k, i)
		}
		sameBits(t, filled.Cells, brim, "ground %d", k)
	}
}

func TestHollowsAreTheSameOnAnyNumberOfProcessors(t *testing.T) {
	z := terraintest.Lowland(257, 0.02)
	for i := range z.Cells { // ties and voids
		z.Cells[i] = float32(int(z.Cells[i]*50)) / 50
		if terraintest.Chance(uint64(i), 0, 9) < 0.001 {
			z.Cells[i] = terrain.Void()
		}
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want := FindHollows(z)
	for _, n := range []int{2, 3, 7} {
		runtime.GOMAXPROCS(n)
		assert.Equal(t, want, FindHollows(z), "%d processors", n)
	}
}
