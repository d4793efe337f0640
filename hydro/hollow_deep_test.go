package hydro

import (
	"math/rand/v2"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Deep hollows are those that remain when all are measured and the shallow
// ones sifted out, on rough ground, smooth ground, ground of few levels full
// of flats and ties, and with voids.
func TestDeepHollowsAreThoseThatRemainOfAll(t *testing.T) {
	for seed := range seeds(60) {
		r := rand.New(rand.NewPCG(seed, 5))
		z := terraintest.Lowland(20+int(seed), 0.01*float64(seed%4))
		for i := range z.Cells {
			switch {
			case seed%3 == 1:
				z.Cells[i] = float32(r.IntN(6)) / 4
			case seed%3 == 2 && r.IntN(30) == 0:
				z.Cells[i] = terrain.Void()
			}
		}
		for _, depth := range []float64{0, 0.001, 0.01, 0.05, 0.25, 0.5, 1, 100} {
			all := FindHollows(z)
			want := all
			if depth > 0 {
				want = all.sifted(all.inwards(), func(i int32) bool { return all.All[i].Depth() >= depth })
			}
			got := FindHollowsDeep(z, depth)
			require.Equal(t, want.All, got.All, "seed %d, depth %g", seed, depth)
			require.Equal(t, want.Inner, got.Inner, "seed %d, depth %g", seed, depth)
			require.Equal(t, want.Outer, got.Outer, "seed %d, depth %g", seed, depth)
			assert.Equal(t, want.Noise, got.Noise, "seed %d, depth %g", seed, depth)
			for i := range got.All {
				require.Equal(t, want.Own(i), got.Own(i), "seed %d, depth %g, hollow %d", seed, depth, i)
			}
		}
	}
}
