package mapsheet

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/paint"
	"wetfeet/cmd/internal/planting"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func randomBox(random *rand.Rand) box {
	b := box{x: 120 * random.Float64(), y: 120 * random.Float64(), w: 1 + 30*random.Float64(), h: 1 + 10*random.Float64()}
	if random.IntN(2) == 0 {
		b.turn = 7 * random.Float64()
	}
	return b
}

// contains is the definition of a box.
func (b box) contains(x, y float64) bool {
	ux, uy, vx, vy := b.axes()
	dx, dy := x-b.x, y-b.y
	return math.Abs(dx*ux+dy*uy) <= b.w && math.Abs(dx*vx+dy*vy) <= b.h
}

// Two boxes meet if some point lies in both: looked for on a fine net over
// each.
func TestBoxesMeetWhereTheyShareAPoint(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	met := 0
	for range 400 {
		a, b := randomBox(random), randomBox(random)
		share := false
		const n = 60
		ux, uy, vx, vy := a.axes()
		for i := range n + 1 {
			for j := range n + 1 {
				s, t := (2*float64(i)/n-1)*a.w, (2*float64(j)/n-1)*a.h
				share = share || b.contains(a.x+s*ux+t*vx, a.y+s*uy+t*vy)
			}
		}
		if share {
			met++
			assert.True(t, a.meets(b), "%v %v", a, b)
		} else {
			// The net is no finer than a sixtieth of the box.
			assert.False(t, a.grow(-1).meets(b.grow(-1)), "%v %v", a, b)
		}
		assert.Equal(t, a.meets(b), b.meets(a))
	}
	assert.Greater(t, met, 20)
}

// The index finds what looking at all of them finds.
func TestPlacementAgreesWithLookingAtAll(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	p := placement{cell: 16}
	for range 300 {
		b := randomBox(random)
		want := true
		for _, o := range p.taken {
			want = want && !o.meets(b)
		}
		require.Equal(t, want, p.free(b))
		if want {
			p.take(b)
		}
	}
	assert.Greater(t, len(p.taken), 10)
}

func TestBrokenLeavesOutTheGaps(t *testing.T) {
	points := []paint.Point{{X: 0}, {X: 10}, {X: 10, Y: 10}, {X: 0, Y: 10}}
	for _, tt := range []struct {
		name string
		gaps [][2]float64
		want string
	}{
		{"none", nil, "M0 0L10 0L10 10L0 10"},
		{"within a segment", [][2]float64{{2, 4}}, "M0 0L2 0M4 0L10 0L10 10L0 10"},
		{"around a corner", [][2]float64{{8, 13}}, "M0 0L8 0M10 3L10 10L0 10"},
		{"at the start and the end", [][2]float64{{-5, 1}, {29, 99}}, "M1 0L10 0L10 10L1 10"},
		{"all of it", [][2]float64{{-1, 31}}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) { assert.Equal(t, tt.want, broken(points, tt.gaps).SVG()) })
	}
}

func TestWalk(t *testing.T) {
	w := newWalk([]paint.Point{{X: 0}, {X: 10}, {X: 10, Y: 10}})
	assert.Equal(t, paint.Point{X: 0}, w.at(-1))
	assert.Equal(t, paint.Point{X: 4}, w.at(4))
	assert.Equal(t, paint.Point{X: 10, Y: 5}, w.at(15))
	assert.Equal(t, paint.Point{X: 10, Y: 10}, w.at(99))
}

// Against looking at every pair.
func TestNearestAgreesWithLookingAtAll(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	trees := make([]assess.Tree, 200)
	for i := range trees {
		trees[i].Point = orb.Point{float64(random.IntN(40)), 100 * random.Float64()}
	}
	got := nearest(trees)
	for i := range trees {
		want := math.Inf(1)
		for j := range trees {
			if i != j {
				want = min(want, math.Hypot(trees[i].Point[0]-trees[j].Point[0], trees[i].Point[1]-trees[j].Point[1]))
			}
		}
		require.Equal(t, want, got[i])
	}
	assert.True(t, math.IsInf(nearest(trees[:1])[0], 1))
}

func TestPlaceInTheRow(t *testing.T) {
	for _, tt := range []struct{ id, row, want string }{
		{"A-12", "A", "12"}, {"North hedge-3", "North hedge", "3"}, {"fig by the gate", "", "fig by the gate"},
		{"A-", "A", "A-"}, {"AB-1", "A", "AB-1"}, {"-1", "", "-1"},
	} {
		assert.Equal(t, tt.want, place(&assess.Tree{Position: planting.Position{ID: tt.id, Row: tt.row}}))
	}
}

func TestStretchStaysOnTheGround(t *testing.T) {
	limit := orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{100, 100}}
	for _, tt := range []struct {
		name     string
		lo, hi   float64
		length   float64
		from, to float64
	}{
		{"room on both sides", 40, 60, 40, 30, 70},
		{"room on one side", 5, 25, 60, 0, 60},
		{"no room", 0, 100, 300, 0, 100},
		{"already longer", 10, 90, 50, 10, 90},
		{"beyond the ground on one side", -10, 20, 50, -10, 40},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := stretch(orb.Bound{Min: orb.Point{tt.lo, 0}, Max: orb.Point{tt.hi, 0}}, limit, 0, tt.length)
			assert.InDelta(t, tt.from, b.Min[0], 1e-9)
			assert.InDelta(t, tt.to, b.Max[0], 1e-9)
		})
	}
}

func TestTidySteps(t *testing.T) {
	for v, want := range map[float64]float64{1: 1, 1.5: 2, 2.2: 5, 24: 50, 51: 100, 0.03: 0.05} {
		assert.Equal(t, want, tidy(v), "%v", v)
	}
}
