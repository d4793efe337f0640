package hydro

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fillSlowly drains a flooded grid, cell by cell, until nothing changes:
//
//	Planchon, O., Darboux, F. (2001). A fast, simple and versatile algorithm
//	to fill the depressions of digital elevation models. Catena 46, 159–176.
//
// without the slope they add. It shares nothing with Fill.
func fillSlowly(z *terrain.Grid[float32]) *terrain.Grid[float32] {
	w := terrain.NewGrid[float32](z.Frame)
	for i, v := range z.Cells {
		w.Cells[i] = float32(math.Inf(1))
		if row, col := z.Cell(i); v != v || letsOutSlowly(z, row, col) {
			w.Cells[i] = v + 0
		}
	}
	for changed := true; changed; {
		changed = false
		for i, v := range z.Cells {
			if v != v {
				continue
			}
			row, col := z.Cell(i)
			for r := max(0, row-1); r <= min(z.Rows-1, row+1); r++ {
				for c := max(0, col-1); c <= min(z.Cols-1, col+1); c++ {
					if n := max(w.At(r, c), v+0); n < w.Cells[i] {
						w.Cells[i], changed = n, true
					}
				}
			}
		}
	}
	return w
}

// letsOutSlowly reports whether a cell lies on the rim or beside a void.
func letsOutSlowly(z *terrain.Grid[float32], row, col int) bool {
	for r := row - 1; r <= row+1; r++ {
		for c := col - 1; c <= col+1; c++ {
			if !z.Holds(r, c) || terrain.IsVoid(z.At(r, c)) {
				return true
			}
		}
	}
	return false
}

// awkwardGround is small ground of a kind that has broken fillers: levels
// that tie, zeros of both signs, voids, single rows and columns.
func awkwardGround(seed uint64) *terrain.Grid[float32] {
	rng := rand.New(rand.NewPCG(seed, 5))
	rows, cols := 1+rng.IntN(16), 1+rng.IntN(16)
	switch seed % 11 {
	case 0:
		rows = 1
	case 1:
		cols = 1
	}
	z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: 1})
	levels := []int{1, 2, 3, 6, 40, 1 << 20}[rng.IntN(6)]
	voids := []float64{0, 0, 0.02, 0.3}[rng.IntN(4)]
	for i := range z.Cells {
		v := float32(rng.IntN(levels)-levels/2) / 4
		if v == 0 && rng.IntN(2) == 0 {
			v = float32(math.Copysign(0, -1))
		}
		if rng.Float64() < voids {
			v = terrain.Void()
		}
		z.Cells[i] = v
	}
	return z
}

// sameBits compares elevations bit for bit, all voids being alike.
func sameBits(t *testing.T, want, got []float32, msg ...any) bool {
	t.Helper()
	at := slices.IndexFunc(want, func(float32) bool { return false })
	for i := range want {
		if math.Float32bits(want[i]) != math.Float32bits(got[i]) && (want[i] == want[i] || got[i] == got[i]) {
			at = i
			break
		}
	}
	return at < 0 || assert.Equal(t, want[at], got[at], append([]any{"cell %d: " + msg[0].(string), at}, msg[1:]...)...)
}

func TestFillAgreesWithTheDefinitionOnAwkwardGround(t *testing.T) {
	for seed := range seeds(10_000) {
		z := awkwardGround(seed)
		got := terrain.NewGrid[float32](z.Frame)
		Fill(got, z)
		if !sameBits(t, fillSlowly(z).Cells, got.Cells, "seed %d", seed) {
			return
		}
	}
}

func TestFillKeepsItsPromises(t *testing.T) {
	for seed := range seeds(2_000) {
		z := awkwardGround(seed)
		once := terrain.NewGrid[float32](z.Frame)
		Fill(once, z)
		for i, v := range z.Cells {
			require.Equal(t, v != v, once.Cells[i] != once.Cells[i], "seed %d: voids stay voids", seed)
			require.False(t, once.Cells[i] < v, "seed %d: cell %d was lowered", seed, i)
		}
		twice := terrain.NewGrid[float32](z.Frame)
		Fill(twice, once)
		sameBits(t, once.Cells, twice.Cells, "seed %d: filling twice is filling once", seed)
		Fill(z, z)
		sameBits(t, once.Cells, z.Cells, "seed %d: filling in place", seed)
	}
}

func TestFillRefusesGridsOfDifferentFrames(t *testing.T) {
	a := terrain.NewGrid[float32](terrain.Frame{Rows: 2, Cols: 3, CellSize: 1})
	b := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 2, CellSize: 1})
	assert.Panics(t, func() { Fill(a, b) })
}
