package hydro

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noisySlope is a plane that falls in some direction, with white noise, and a
// round bowl of 4 m radius in its middle of which deep m remain below its
// lowest brim.
func noisySlope(side int, cell, slope, noise, deep float64, seed uint64) *terrain.Grid[float32] {
	rng := rand.New(rand.NewPCG(seed, 77))
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, CellSize: cell})
	const radius = 4
	way := rng.Float64() * 2 * math.Pi
	middle := float64(side) * cell / 2
	dug := deep // a paraboloid dug so deep into a slope keeps dug (1 − slope radius/2 dug)²
	for range 50 {
		dug = deep / math.Pow(1-slope*radius/(2*dug), 2)
	}
	for i := range z.Cells {
		row, col := z.Cell(i)
		p := z.Centre(row, col)
		x, y := p[0]-middle, p[1]+middle
		v := 100 + slope*(x*math.Cos(way)+y*math.Sin(way))
		if d := math.Hypot(x, y) / radius; deep > 0 && d < 1 {
			v -= dug * (1 - d*d)
		}
		z.Cells[i] = float32(v + noise*rng.NormFloat64())
	}
	return z
}

// The marks are our own; the rates are stated where they are defined. Here
// they are held to what they are for.
func TestNoiseOnAPlaneHasLessThanOneHollowPerHectare(t *testing.T) {
	for _, cell := range []float64{0.5, 1} {
		for _, slope := range []float64{0.001, 0.005} {
			for _, noise := range []float64{0.02, 0.05} {
				z := noisySlope(400, cell, slope, noise, 0, 1)
				found := FindHollows(z)
				kept := found.Significant(noise)
				assert.Less(t, float64(len(kept.All))/float64(z.Len())*10_000, 1.0,
					"cell %g m, slope %g, noise %g m", cell, slope, noise)
				assert.Equal(t, len(found.All), len(kept.All)+kept.Noise)
				assert.Greater(t, kept.Noise, 4000)
			}
		}
	}
}

func TestHollowTenCentimetresDeepAndEightMetresWideIsKept(t *testing.T) {
	const trials = 200
	for _, cell := range []float64{0.5, 1} {
		for _, slope := range []float64{0.001, 0.005} {
			kept := 0
			for seed := range uint64(trials) {
				z := noisySlope(int(24/cell), cell, slope, 0.03, 0.10, seed)
				h := FindHollows(z).Significant(0.03)
				covered := 0.0 // of the inner half of the bowl
				for i := range z.Cells {
					row, col := z.Cell(i)
					p := z.Centre(row, col)
					if math.Hypot(p[0]-12, p[1]+12) < 2 && h.Outer[i] != 0 {
						covered += z.CellArea()
					}
				}
				if covered > math.Pi*2*2/2 {
					kept++
				}
			}
			assert.GreaterOrEqual(t, kept, trials*95/100, "cell %g m, slope %g", cell, slope)
		}
	}
}

func TestNoErrorKeepsEveryHollow(t *testing.T) {
	h := FindHollows(terraintest.Lowland(64, 0.02))
	assert.Same(t, h, h.Significant(0))
	none := FindHollows(terraintest.Rows(1, []float32{1, 2, 3}))
	assert.Empty(t, none.Significant(0.02).All)
}

// siftSlowly decides by the words of Significant and lists, for each hollow
// of h that is kept, its topmost form.
func siftSlowly(h *Hollows, sigma float64) map[string]bool {
	kept := map[string]bool{}
	var sift func(i int) bool
	sift = func(i int) bool {
		a := &h.All[i]
		if !a.IsLeaf() && (sift(a.Children[0]) || sift(a.Children[1])) {
			return true
		}
		return passes(h, i, sigma)
	}
	for i := range h.All {
		if !sift(i) {
			continue
		}
		// A hollow is the topmost form of what is kept if it is outermost or
		// its sibling is kept too.
		p := h.All[i].Parent
		if p == Outside || sift(h.All[p].Children[0]) && sift(h.All[p].Children[1]) {
			kept[fmt.Sprint(h.All[i].Spill, cellsOf(h, i))] = true
		}
	}
	return kept
}

func passes(h *Hollows, i int, sigma float64) bool {
	a := &h.All[i]
	bulk := 0.0
	for _, c := range cellsOf(h, i) {
		row, col := h.Cell(int(c))
		sum := 0.0
		for r := row - 1; r <= row+1; r++ {
			for c := col - 1; c <= col+1; c++ {
				sum += float64(h.ground.At(r, c))
			}
		}
		bulk += a.Spill - sum/9
	}
	return a.Depth() >= leastDepth*sigma && bulk/math.Sqrt(float64(a.Cells)) >= leastBulk*sigma
}

func TestSignificantDoesAsItSays(t *testing.T) {
	for seed := range seeds(300) {
		z := awkwardGround(seed)
		if seed%3 == 0 {
			z = terraintest.Lowland(12+int(seed%20), 0.01)
		}
		h := FindHollows(z)
		sigma := []float64{0.002, 0.02, 0.1, 1}[seed%4]
		kept := h.Significant(sigma)
		want := siftSlowly(h, sigma)
		require.Len(t, kept.All, len(want), "seed %d", seed)
		raw := map[string]*Hollow{}
		for i := range h.All {
			raw[fmt.Sprint(h.All[i].Spill, cellsOf(h, i))] = &h.All[i]
		}
		for i := range kept.All {
			a := kept.All[i]
			key := fmt.Sprint(a.Spill, cellsOf(kept, i))
			require.Contains(t, want, key, "seed %d, hollow %d", seed, i)
			b := raw[key]
			assert.InEpsilon(t, b.Volume, a.Volume, 1e-12)
			assert.Equal(t, b.Floor, a.Floor)
			assert.Equal(t, b.FloorCell, a.FloorCell)
			assert.Equal(t, i+1, a.ID)
			if a.Parent != Outside && a.SpillsTo != Outside {
				assert.True(t, within(kept, a.SpillsTo, a.Parent), "seed %d", seed)
				assert.False(t, within(kept, a.SpillsTo, i), "seed %d", seed)
			}
			if a.SpillsTo != Outside {
				assert.True(t, kept.All[a.SpillsTo].IsLeaf())
			}
		}
		for c := range z.Cells {
			outermost := 0 // the widest kept hollow that covers the cell
			for i := range kept.All {
				for _, k := range cellsOf(kept, i) {
					if int(k) == c && (outermost == 0 || kept.All[i].Cells > kept.All[outermost-1].Cells) {
						outermost = i + 1
					}
				}
			}
			require.EqualValues(t, outermost, kept.Outer[c], "seed %d, cell %d", seed, c)
			if in := kept.Inner[c]; in != 0 {
				require.True(t, kept.All[in-1].IsLeaf())
			}
			// Water that met a hollow which is kept still does.
			if in := int(h.Inner[c]) - 1; in >= 0 && kept.Outer[h.All[in].FloorCell] != 0 {
				require.NotZero(t, kept.Inner[c], "seed %d, cell %d", seed, c)
			}
		}
	}
}
