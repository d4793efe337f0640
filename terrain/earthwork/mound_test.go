package earthwork

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NIST Special Publication 811, appendix B.8, prints 7.645 549 E−01 m³ to the
// cubic yard; 27 cubic feet of 2.831 685 E−02 m³ are the same.
func TestCubicYardIsThatOfNIST(t *testing.T) {
	assert.InDelta(t, 7.645549e-01, CubicYard, 5e-8)
	assert.InDelta(t, 27*2.831685e-02, CubicYard, 27*5e-9)
	assert.InDelta(t, 0.764554857984, CubicYard, 1e-15)
}

// A cone is a third of its cylinder, a mound with upright sides the cylinder,
// and a truncated cone the cone less its tip.
func TestVolumeOfAMoundIsThatOfItsSolid(t *testing.T) {
	assert.InDelta(t, math.Pi/3, Mound{Height: 1, Side: 1}.Volume(), 1e-12)
	assert.InDelta(t, math.Pi*4*0.5, Mound{Top: 4, Height: 0.5, Side: 1e-12}.Volume(), 1e-9)
	m := Mound{Top: 1.2, Height: 0.4}
	assert.InDelta(t, 2.8, m.Base(), 1e-12)
	tip := m.Top / 2 / SideSlope
	assert.InDelta(t, math.Pi/3*(1.4*1.4*(m.Height+tip)-0.6*0.6*tip), m.Volume(), 1e-12)
	assert.Zero(t, Mound{Top: 2}.Volume())
	assert.InDelta(t, 0.4*(1.2+2.8)/2, m.BedVolume(), 1e-12, "a trapezoid")
}

func TestLooseSoilAndLoads(t *testing.T) {
	assert.InDelta(t, 4.0, Loose(3, 0.25), 1e-12)
	assert.Equal(t, 3.0, Loose(3, 0))
	assert.Equal(t, 4, Loads(3.01, 1))
	assert.Equal(t, 3, Loads(3, 1))
	assert.Equal(t, 3, Loads(0.3, 0.1), "a full last load is no load more")
	assert.Equal(t, 0, Loads(0, 2))
	assert.Panics(t, func() { Loose(1, 1) })
	assert.Panics(t, func() { Loads(1, 0) })
}

func TestMoundsThatCannotBe(t *testing.T) {
	assert.EqualError(t, Mound{Top: -1, Height: math.NaN(), Side: 30}.Check(),
		"the platform is -1 m across, not 0 to 100\nthe mound is NaN m high, not 0 to 10\nthe sides run 30 across for 1 up, not 0 to 20")
	assert.NoError(t, Mound{Top: 1, Height: 0.3}.Check())
}

// summed is the volume of mounds by looking at a fine grid.
func summed(mounds []Placed, cell float64) (sum float64) {
	b := orb.MultiPoint{}
	widest := 0.0
	for _, m := range mounds {
		b = append(b, m.At)
		widest = max(widest, m.Base())
	}
	box := b.Bound().Pad(widest / 2)
	for x := box.Min[0] + cell/2; x < box.Max[0]; x += cell {
		for y := box.Min[1] + cell/2; y < box.Max[1]; y += cell {
			h := 0.0
			for _, m := range mounds {
				h = max(h, m.at(math.Hypot(x-m.At[0], y-m.At[1])))
			}
			sum += h * cell * cell
		}
	}
	return sum
}

func TestMoundsThatRunTogetherCountSoilOnce(t *testing.T) {
	m := Mound{Top: 1.2, Height: 0.4}
	at := func(m Mound, x, y float64) Placed { return Placed{m, orb.Point{x, y}} }
	apart := []Placed{at(m, 0, 0), at(m, m.Base(), 0), at(m, 20, 7)}
	assert.InDelta(t, 3*m.Volume(), Volume(apart), 1e-9)
	assert.InEpsilon(t, m.Volume(), Volume([]Placed{at(m, 5, 5), at(m, 5, 5)}), 1e-5, "one upon the other")
	low := Mound{Top: 0.4, Height: 0.1}
	assert.InEpsilon(t, m.Volume(), Volume([]Placed{at(m, 5, 5), at(low, 5.1, 5)}), 1e-5, "one within the other")

	// A row so close that it is a bed, but for its ends: two halves of a mound.
	var row []Placed
	for i := range 201 {
		row = append(row, at(m, 0.05*float64(i), 0))
	}
	assert.InEpsilon(t, 10*m.BedVolume()+m.Volume(), Volume(row), 1e-3)

	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 1))
		var mounds []Placed
		for i := range 2 + r.IntN(6) {
			mounds = append(mounds, at(Mound{Top: r.Float64() * 2, Height: 0.1 + 0.5*r.Float64(), Side: 1 + r.Float64()*2},
				float64(i)*(0.5+r.Float64()), r.Float64()))
		}
		require.InEpsilon(t, summed(mounds, 0.01), Volume(mounds), 1e-3, "seed %d", seed)
	}
}

func TestVolumeDoesNotDependOnOrderOrPlace(t *testing.T) {
	var a, b []Placed
	for i := range 9 {
		m := Mound{Top: 1, Height: 0.2 + 0.03*float64(i%4)}
		a = append(a, Placed{m, orb.Point{1.5 * float64(i), 0}})
		b = append([]Placed{{m, orb.Point{500_000 - 1.5*float64(i), 4_000_000}}}, b...)
	}
	assert.InEpsilon(t, Volume(a), Volume(b), 1e-6)
}
