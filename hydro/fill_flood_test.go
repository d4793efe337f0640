package hydro

import (
	"container/heap"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
)

// fillByFlood raises the water from the rim, lowest cell first:
//
//	Barnes, R., Lehman, C., Mulla, D. (2014). Priority-flood: An optimal
//	depression-filling and watershed-labeling algorithm for digital
//	elevation models. Computers & Geosciences 62, 117–127.
//
// It shares nothing with Fill, and is fast enough for large ground.
func fillByFlood(z *terrain.Grid[float32]) *terrain.Grid[float32] {
	filled := terrain.NewGrid[float32](z.Frame)
	reached := make([]bool, z.Len())
	f := &flood{}
	enter := func(i int, water float32) {
		reached[i] = true
		filled.Cells[i] = max(z.Cells[i]+0, water)
		heap.Push(f, front{filled.Cells[i], i})
	}
	for i, v := range z.Cells {
		if row, col := z.Cell(i); terrain.IsVoid(v) {
			reached[i], filled.Cells[i] = true, v
		} else if letsOutSlowly(z, row, col) {
			enter(i, v+0)
		}
	}
	for f.Len() > 0 {
		at := heap.Pop(f).(front)
		row, col := z.Cell(at.cell)
		for r := max(0, row-1); r <= min(z.Rows-1, row+1); r++ {
			for c := max(0, col-1); c <= min(z.Cols-1, col+1); c++ {
				if i := z.Index(r, c); !reached[i] {
					enter(i, at.level)
				}
			}
		}
	}
	return filled
}

// A flood is a heap of fronts, lowest first.
type flood []front

type front struct {
	level float32
	cell  int
}

func (f flood) Len() int           { return len(f) }
func (f flood) Less(i, j int) bool { return f[i].level < f[j].level }
func (f flood) Swap(i, j int)      { f[i], f[j] = f[j], f[i] }
func (f *flood) Push(x any)        { *f = append(*f, x.(front)) }
func (f *flood) Pop() any {
	last := len(*f) - 1
	x := (*f)[last]
	*f = (*f)[:last]
	return x
}

func TestFillAgreesWithAFloodFromTheRim(t *testing.T) {
	grounds := []*terrain.Grid[float32]{terraintest.Lowland(400, 0.02), terraintest.Lowland(400, 0), terraintest.Lowland(400, 0.3)}
	for seed := range seeds(10_000) {
		grounds = append(grounds, awkwardGround(seed+20_000))
	}
	for k, z := range grounds {
		got := terrain.NewGrid[float32](z.Frame)
		Fill(got, z)
		if !sameBits(t, fillByFlood(z).Cells, got.Cells, "ground %d", k) {
			return
		}
	}
}

// The two oracles must agree with each other as well.
func TestFloodAgreesWithTheDefinition(t *testing.T) {
	for seed := range seeds(1_000) {
		z := awkwardGround(seed)
		assert.True(t, sameBits(t, fillSlowly(z).Cells, fillByFlood(z).Cells, "seed %d", seed))
	}
}

// BenchmarkFillByFlood is what Fill is measured against.
func BenchmarkFillByFlood(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			fillByFlood(z)
		}
	})
}
