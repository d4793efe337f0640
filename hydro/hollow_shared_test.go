package hydro

import (
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
)

// Two hollows 3 and 30 cm deep on level ground, known to 5 cm and to 25 cm:
// a depth is the difference of two levels and is known to √2 times that.
func TestHollowsAgainstAnErrorThatIsShared(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 5, Cols: 9, CellSize: 1})
	for i := range z.Cells {
		z.Cells[i] = 10
	}
	z.Set(2, 2, 9.97)
	z.Set(2, 6, 9.70)
	all := FindHollows(z)
	assert.Len(t, all.All, 2)
	known := func(sd float32) *terrain.Grid[float32] {
		g := terrain.NewGrid[float32](z.Frame)
		for i := range g.Cells {
			g.Cells[i] = sd
		}
		return g
	}
	for _, tt := range []struct {
		sd   float32
		kept int
	}{{0.01, 2}, {0.05, 1}, {0.20, 1}, {0.25, 0}} {
		h := all.SignificantShared(known(tt.sd))
		assert.Len(t, h.All, tt.kept, "known to %g m", tt.sd)
		assert.Equal(t, 2-tt.kept, h.Noise)
		if tt.kept == 1 {
			assert.InDelta(t, 0.3, h.All[0].Depth(), 1e-6)
		}
	}
}
