package odds

import (
	"context"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A bowl that every other draw has is real on half of them, holds what it
// holds there, and nothing on the others.
func TestHollowOfEveryOtherDrawIsRealOnHalf(t *testing.T) {
	s := bowls{square(40), func(draw int) float64 { return 0.3 * float64(draw%2) }}
	a, b := terrain.NewGrid[float32](s.frame), terrain.NewGrid[float32](s.frame)
	s.Pair(0, a.Cells, b.Cells)
	h := hydro.FindHollows(b)
	require.Len(t, h.All, 1)
	o := asked(waves{frame: s.frame}, 10)
	o.Source = func() Source { return s }
	o.Hollows = []Known{KnownOf(h, 0)}
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	got := r.Hollows[0]
	assert.Equal(t, 0.5, got.Real)
	for draw := range r.Draws {
		assert.Equal(t, float32(h.All[0].Volume)*float32(draw%2), got.Volume[draw])
		assert.Equal(t, float32(h.All[0].Depth())*float32(draw%2), got.Depth[draw])
	}
}

// Deep enough to count is asked of each draw: bowls of 5 to 40 cm, of which
// half are deeper than the depth given.
func TestShallowHollowIsNotReal(t *testing.T) {
	s := bowls{square(40), func(draw int) float64 { return 0.05 * float64(1+draw) }}
	a, b := terrain.NewGrid[float32](s.frame), terrain.NewGrid[float32](s.frame)
	s.Pair(3, a.Cells, b.Cells)
	h := hydro.FindHollows(b)
	o := asked(waves{frame: s.frame}, 8)
	o.Source = func() Source { return s }
	o.Hollows = []Known{KnownOf(h, 0)}
	r, err := Run(context.Background(), o)
	require.NoError(t, err)
	depths := r.Hollows[0].Depth
	o.HollowDepth = float64(depths[3]+depths[4]) / 2
	r, err = Run(context.Background(), o)
	require.NoError(t, err)
	assert.Equal(t, 0.5, r.Hollows[0].Real)
	assert.IsIncreasing(t, r.Hollows[0].Volume)
}

// All hollows of a ground are found on that ground as themselves, and on
// another as the definition, done slowly, finds them.
func TestMatchAgreesWithTheIndexOfJaccard(t *testing.T) {
	s := onRim(90)
	z := terrain.NewGrid[float32](s.frame)
	s.ground(3, z.Cells)
	here := hydro.FindHollowsDeep(z, 0.005)
	require.Greater(t, len(here.All), 20)
	var known []Known
	for i := range here.All {
		known = append(known, KnownOf(here, i))
	}
	for i, m := range Match(known, here) {
		assert.Equal(t, i, m)
	}
	met, swallowed := 0, 0
	for seed := range uint64(4) {
		z := terrain.NewGrid[float32](s.frame)
		s.ground(3, z.Cells)
		w := terrain.NewGrid[float32](s.frame)
		s.ground(20+seed, w.Cells)
		for i := range z.Cells {
			z.Cells[i] += 0.05 * (w.Cells[i] - 20)
		}
		there := hydro.FindHollowsDeep(z, 0.005)
		for i, m := range Match(known, there) {
			assert.Equal(t, jaccardSlowly(known[i], there), m, "hollow %d", i)
			if m != hydro.Outside {
				met++
				if there.All[m].Cells > 2*len(known[i].Cells) {
					swallowed++
				}
			}
		}
	}
	assert.Greater(t, met, 20)
	assert.Greater(t, swallowed, 0)
}

func jaccardSlowly(k Known, h *hydro.Hollows) int {
	in := map[int32]bool{}
	for _, c := range k.Cells {
		in[c] = true
	}
	best, alike := hydro.Outside, 0.0
	for i := range h.All {
		both := 0
		for _, c := range h.Wets(i) {
			if in[c] {
				both++
			}
		}
		a := float64(both) / float64(len(in)+h.All[i].Cells-both)
		if 10*both >= len(in) && both > 0 && a > alike {
			best, alike = i, a
		}
	}
	return best
}
