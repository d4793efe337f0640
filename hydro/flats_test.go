package hydro

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// By hand, after the method of Garbrecht & Martz (1997) and Barnes, Lehman &
// Mulla (2014). The floor at 3 is enclosed by 9s but for the cell that drains
// to 2 in the east. Away from higher ground: the distance to it, from the
// greatest of them, 2, down. Towards the way out: twice the steps to it.
func TestFlatsOfACourtyard(t *testing.T) {
	z := terraintest.Rows(1,
		[]float32{9, 9, 9, 9, 9, 9, 9},
		[]float32{9, 3, 3, 3, 3, 3, 9},
		[]float32{9, 3, 3, 3, 3, 3, 2},
		[]float32{9, 3, 3, 3, 3, 3, 9},
		[]float32{9, 9, 9, 9, 9, 9, 9})
	// The three cells beside the 2 drain and are not part of the flat, so the
	// cells next to them are a step from the way out.
	assert.Equal(t, []int32{
		0, 0, 0, 0, 0, 0, 0,
		0, 9, 7, 5, 3, 0, 0,
		0, 9, 6, 4, 2, 0, 0,
		0, 9, 7, 5, 3, 0, 0,
		0, 0, 0, 0, 0, 0, 0,
	}, Flats(z).Cells)
}

func TestFlatsOfAFloorWithoutAWayOut(t *testing.T) {
	z := terraintest.Rows(1,
		[]float32{9, 9, 9, 9, 9, 9, 9},
		[]float32{9, 3, 3, 3, 3, 3, 9},
		[]float32{9, 3, 3, 3, 3, 3, 9},
		[]float32{9, 3, 3, 3, 3, 3, 9},
		[]float32{9, 9, 9, 9, 9, 9, 9})
	assert.Equal(t, []int32{
		0, 0, 0, 0, 0, 0, 0,
		0, 2, 2, 2, 2, 2, 0,
		0, 2, 1, 1, 1, 2, 0,
		0, 2, 2, 2, 2, 2, 0,
		0, 0, 0, 0, 0, 0, 0,
	}, Flats(z).Cells)
	area := upslope(z, Single, 0)
	assert.Greater(t, area.At(2, 3)+area.At(2, 2)+area.At(2, 4), 20.0, "what falls in gathers in the middle")
}

func TestFlatsAtTheRimLetWaterOut(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 5, Cols: 5, CellSize: 1})
	assert.Equal(t, []int32{
		0, 0, 0, 0, 0,
		0, 2, 2, 2, 0,
		0, 2, 4, 2, 0,
		0, 2, 2, 2, 0,
		0, 0, 0, 0, 0,
	}, Flats(z).Cells, "on level ground water makes for the rim")
	z.Set(2, 2, terrain.Void())
	assert.Equal(t, make([]int32, 25), Flats(z).Cells, "every cell lies at the rim or beside the void")
}

// plateaus is ground of a few levels in blotches, with its hollows filled,
// which leaves little else than flats.
func plateaus(seed uint64) *terrain.Grid[float32] {
	rng := rand.New(rand.NewPCG(seed, 8))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3 + rng.IntN(60), Cols: 3 + rng.IntN(60), CellSize: 1})
	size := float64(1 + rng.IntN(12))
	levels := float64(1 + rng.IntN(6))
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = float32(int(levels * terraintest.Undulation(float64(r)/size, float64(c)/size, seed)))
		if seed%4 == 0 && rng.IntN(150) == 0 {
			z.Cells[i] = terrain.Void()
		}
	}
	return z
}

// From every cell of filled ground, whatever its flats, the flow reaches the
// rim or a void and passes no cell twice; where hollows are kept it ends in
// one. Increments fall by one at least on every step through a flat.
func TestEveryFlatHasItsWayOut(t *testing.T) {
	for seed := range seeds(100) {
		z := plateaus(seed)
		kept := seed%5 == 1
		if !kept {
			Fill(z, z)
		}
		increment := Flats(z).Cells
		d := offsets(z.Frame)
		for _, routing := range []Routing{Single, Multiple} {
			f := Route(z, routing, 0)
			height := func(i int) (float32, int32) { return z.Cells[i], increment[i] }
			for i, m := range f.receivers {
				if terrain.IsVoid(z.Cells[i]) {
					require.Zero(t, m, "seed %d", seed)
					continue
				}
				// Each step goes down in (elevation, increment), so no path can
				// come back to where it was.
				z0, n0 := height(i)
				for k := range d {
					if m>>k&1 == 0 {
						continue
					}
					z1, n1 := height(i + d[k])
					require.True(t, z1 < z0 || z1 == z0 && n1 < n0, "seed %d, %v: cell %d to %d", seed, routing, i, i+d[k])
				}
				if m == 0 && !kept {
					require.True(t, isOpen(z, i), "seed %d, %v: water stays at cell %d of filled ground", seed, routing, i)
				}
				last := i
				steps := 0
				for j := range f.Downstream(i) {
					last = j
					steps++
					require.LessOrEqual(t, steps, z.Len(), "seed %d: round in circles", seed)
				}
				require.Zero(t, f.receivers[last])
			}
		}
	}
}

// flatsSlowly finds increments by their definition: distances by relaxing
// every cell until nothing changes.
func flatsSlowly(z *terrain.Grid[float32]) []int32 {
	const far = 1 << 20
	n := z.Len()
	around := func(i int, see func(j int)) {
		r, c := z.Cell(i)
		for k := range rowStep {
			if y, x := r+rowStep[k], c+colStep[k]; z.Holds(y, x) && !terrain.IsVoid(z.At(y, x)) {
				see(z.Index(y, x))
			}
		}
	}
	flat := make([]bool, n)
	for i, v := range z.Cells {
		r, c := z.Cell(i)
		flat[i] = !terrain.IsVoid(v) && !letsOutSlowly(z, r, c)
		around(i, func(j int) { flat[i] = flat[i] && z.Cells[j] >= v })
	}
	// Distances within the flat, from higher ground and from the way out, and
	// the greatest of the former over the flat.
	high, low, most := make([]int32, n), make([]int32, n), make([]int32, n)
	for i := range high {
		high[i], low[i] = far, far
		around(i, func(j int) {
			switch {
			case z.Cells[j] > z.Cells[i]:
				high[i] = 1
			case z.Cells[j] == z.Cells[i] && !flat[j]:
				low[i] = 1
			}
		})
	}
	relax := func(better func(i, j int) bool) {
		for changed := true; changed; {
			changed = false
			for i := range flat {
				around(i, func(j int) {
					if flat[i] && flat[j] && z.Cells[i] == z.Cells[j] {
						changed = better(i, j) || changed
					}
				})
			}
		}
	}
	shorten := func(d []int32) func(i, j int) bool {
		return func(i, j int) bool {
			if d[j]+1 < d[i] {
				d[i] = d[j] + 1
				return true
			}
			return false
		}
	}
	relax(shorten(high))
	relax(shorten(low))
	for i := range most {
		if most[i] = high[i]; most[i] == far {
			most[i], high[i] = 0, 0
		}
	}
	alone := make([]bool, n)
	for i := range alone {
		alone[i] = true
	}
	relax(func(i, j int) bool {
		alone[i], alone[j] = false, false
		if most[j] > most[i] {
			most[i] = most[j]
			return true
		}
		return false
	})
	increment := make([]int32, n)
	for i := range increment {
		switch {
		case !flat[i]:
		case low[i] < far:
			increment[i] = most[i] - high[i] + 2*low[i]
		case !alone[i]:
			increment[i] = most[i] - high[i] + 1
		}
	}
	return increment
}

func TestFlatsAgreeWithTheDefinition(t *testing.T) {
	for seed := range seeds(200) {
		z := plateaus(seed)
		if seed%2 == 0 {
			Fill(z, z)
		}
		require.Equal(t, flatsSlowly(z), Flats(z).Cells, "seed %d", seed)
		z = awkwardGround(seed)
		require.Equal(t, flatsSlowly(z), Flats(z).Cells, "awkward seed %d", seed)
	}
}
