package storm

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/require"
)

// ground is a grid of cells of one metre from its rows.
func ground(rows ...[]float32) *terrain.Grid[float32] {
	return terraintest.Rows(1, rows...)
}

// bowls is the ground of checks G10 and G11: two bowls of three cells with a
// saddle between them, between walls, and a way out to the east.
func bowls() *terrain.Grid[float32] {
	return ground(
		[]float32{10, 10, 10, 10, 10, 10, 10, 10, 10, 10},
		[]float32{10, 4, 2, 4, 5, 3, 1, 3, 6, 4},
		[]float32{10, 10, 10, 10, 10, 10, 10, 10, 10, 10},
	)
}

// The hollows of bowls.
const both, east, west = 0, 1, 2

// ranked is random ground whose elevations are the whole numbers from 0, each
// once. Smooth ground has few hollows, nested deep; rough ground many.
func ranked(side int, smooth float64, seed uint64) *terrain.Grid[float32] {
	r := rand.New(rand.NewPCG(seed, 17))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: 1})
	type bump struct{ y, x, height, width float64 }
	bumps := make([]bump, 12)
	for i := range bumps {
		bumps[i] = bump{r.Float64() * float64(side), r.Float64() * float64(side), r.NormFloat64(), 2 + 5*r.Float64()}
	}
	height := make([]float64, z.Len())
	order := make([]int, z.Len())
	for i := range height {
		row, col := z.Cell(i)
		for _, b := range bumps {
			d := math.Hypot(float64(row)-b.y, float64(col)-b.x) / b.width
			height[i] += smooth * b.height * math.Exp(-d*d)
		}
		height[i] += r.NormFloat64() * (1 - smooth)
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(height[a], height[b]) })
	for rank, i := range order {
		z.Cells[i] = float32(rank)
	}
	return z
}

// prepare makes a site without links.
func prepare(t testing.TB, h *hydro.Hollows) *Site {
	t.Helper()
	s, err := Prepare(h, Options{})
	require.NoError(t, err)
	return s
}

// site is the site of all hollows of a ground.
func site(t testing.TB, z *terrain.Grid[float32]) *Site {
	t.Helper()
	return prepare(t, hydro.FindHollows(z))
}
