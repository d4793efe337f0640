package drafting

import (
	"math"
	"math/rand/v2"
	"testing"

	"wetfeet/cmd/internal/paint"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func randomBox(random *rand.Rand) Box {
	b := Box{X: 120 * random.Float64(), Y: 120 * random.Float64(), W: 1 + 30*random.Float64(), H: 1 + 10*random.Float64()}
	if random.IntN(2) == 0 {
		b.Turn = 7 * random.Float64()
	}
	return b
}

// contains is the definition of a box.
func (b Box) contains(x, y float64) bool {
	ux, uy, vx, vy := b.axes()
	dx, dy := x-b.X, y-b.Y
	return math.Abs(dx*ux+dy*uy) <= b.W && math.Abs(dx*vx+dy*vy) <= b.H
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
				s, t := (2*float64(i)/n-1)*a.W, (2*float64(j)/n-1)*a.H
				share = share || b.contains(a.X+s*ux+t*vx, a.Y+s*uy+t*vy)
			}
		}
		if share {
			met++
			assert.True(t, a.Meets(b), "%v %v", a, b)
		} else {
			// The net is no finer than a sixtieth of the box.
			assert.False(t, a.Grow(-1).Meets(b.Grow(-1)), "%v %v", a, b)
		}
		assert.Equal(t, a.Meets(b), b.Meets(a))
	}
	assert.Greater(t, met, 20)
}

// The index finds what looking at all of them finds.
func TestPlacementAgreesWithLookingAtAll(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	p := Placement{Cell: 16}
	for range 300 {
		b := randomBox(random)
		want := true
		for _, o := range p.taken {
			want = want && !o.Meets(b)
		}
		require.Equal(t, want, p.Free(b))
		if want {
			p.Take(b)
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
		t.Run(tt.name, func(t *testing.T) { assert.Equal(t, tt.want, Broken(points, tt.gaps).SVG()) })
	}
}

func TestWalk(t *testing.T) {
	w := NewWalk([]paint.Point{{X: 0}, {X: 10}, {X: 10, Y: 10}})
	assert.Equal(t, paint.Point{X: 0}, w.At(-1))
	assert.Equal(t, paint.Point{X: 4}, w.At(4))
	assert.Equal(t, paint.Point{X: 10, Y: 5}, w.At(15))
	assert.Equal(t, paint.Point{X: 10, Y: 10}, w.At(99))
}

func TestTidySteps(t *testing.T) {
	for v, want := range map[float64]float64{1: 1, 1.5: 2, 2.2: 5, 24: 50, 51: 100, 0.03: 0.05} {
		assert.Equal(t, want, Tidy(v), "%v", v)
	}
}

func TestSystemIsNamedShortly(t *testing.T) {
	assert.Equal(t, "EPSG:32614", SystemName("EPSG:32614"))
	assert.Equal(t, "local", SystemName(""))
	assert.True(t, Local(""))
	assert.True(t, Local("+proj=tmerc +lat_0=29.500000000 +lon_0=-99.250000000 +k=1"))
	assert.False(t, Local("EPSG:32614"))
	assert.Equal(t, "measured from the origin of the site", SystemName("+proj=tmerc +lat_0=29.500000000 +lon_0=-99.250000000 +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs"))
	assert.Equal(t, "Made up / zone 1", SystemName(`PROJCRS["Made up / zone 1",BASEGEOGCRS["x"]]`))
}
