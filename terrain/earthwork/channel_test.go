package earthwork

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"wetfeet/terrain"
)

// Ghilani, C.D., Wolf, P.R., Elementary Surveying, example 26.1 (from memory):
// end areas of 711 and 515 square feet a hundred feet apart are 2270 cubic
// yards by the average of the ends.
func TestAverageEndAreasOfTheTextbook(t *testing.T) {
	const foot = 0.3048
	got := AverageEnd(711*foot*foot, 515*foot*foot, 100*foot) / CubicYard
	assert.InDelta(t, 2270, got, 0.5)
}

// Moscow Mathematical Papyrus, problem 14: a pyramid cut off, 6 high, 4 below
// and 2 above, holds 56. A section without a bottom whose sides run 1 across
// is as wide as deep, squared.
func TestPrismoidOfTheMoscowPapyrus(t *testing.T) {
	assert.InDelta(t, 56.0, Channel{Side: 1}.Between(4, 2, 6), 1e-12)
}

// The prismoidal correction, L (c₁ − c₂)(w₁ − w₂) / 12 with c the depths and w
// the widths at the top, is what average end areas give too much: the standard
// formula of the surveying textbooks, exact for three-level sections.
func TestPrismoidalCorrection(t *testing.T) {
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 2))
		c := Channel{Bottom: r.Float64(), Side: 3 * r.Float64()}
		a, b, apart := 2*r.Float64(), 2*r.Float64(), 20*r.Float64()
		wide := func(d float64) float64 { return c.Bottom + 2*c.Side*d }
		correction := apart * (a - b) * (wide(a) - wide(b)) / 12
		assert.InDelta(t, AverageEnd(c.Section(a), c.Section(b), apart)-correction, c.Between(a, b, apart), 1e-9)
	}
}

// A section that runs out of the ground is a wedge as far as there, by thin
// slices.
func TestCutEndsWhereTheBottomComesOut(t *testing.T) {
	c := Channel{Bottom: 0.3, Side: 1.5}
	sum := 0.0
	const slices = 100_000
	for i := range slices {
		x := (float64(i) + 0.5) / slices
		sum += c.Section(0.6-0.9*x) * 7 / slices
	}
	assert.InDelta(t, sum, c.Between(0.6, -0.3, 7), 1e-6)
	assert.InDelta(t, sum, c.Between(-0.3, 0.6, 7), 1e-6)
	assert.Zero(t, c.Between(-1, -2, 7))
	assert.Zero(t, c.Between(0, -2, 7))
}

// A bank of 1 m with a level top across a plain: by hand.
func TestDigThroughABank(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 1, Cols: 7, CellSize: 2})
	copy(z.Cells, []float32{0, 0, 1, 1, 1, 0, 0})
	c := Channel{Bottom: 0.5, Side: 1}
	d := c.Dig(z, []int{0, 1, 2, 3, 4, 5, 6}, 0)
	// Two whole lengths at 1 m and a wedge at either end, of a third of the
	// square and half of the wall.
	assert.InDelta(t, 2*2*1.5+2*2*(0.5/2+1.0/3), d.Volume, 1e-12)
	assert.Equal(t, 8.0, d.Length)
	assert.Equal(t, 1.0, d.Deepest)
	assert.Zero(t, d.Level)

	c.Fall = 0.05
	falling := c.Dig(z, []int{0, 1, 2, 3, 4, 5, 6}, 0)
	assert.InDelta(t, -0.6, falling.Level, 1e-12)
	assert.InDelta(t, 1.4, falling.Deepest, 1e-12)
	assert.Greater(t, falling.Volume, d.Volume)

	trench := Channel{Bottom: 0.3}
	assert.InDelta(t, 0.3*(2*2*1+2*2*0.5), trench.Dig(z, []int{0, 1, 2, 3, 4, 5, 6}, 0).Volume, 1e-12, "upright sides")
}

func TestDigAlongADiagonalIsLonger(t *testing.T) {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 2, Cols: 2, CellSize: 3})
	for i := range z.Cells {
		z.Cells[i] = 1
	}
	c := Channel{Bottom: 1}
	assert.InDelta(t, 3*math.Sqrt2, c.Dig(z, []int{0, 3}, 0).Volume, 1e-12)
	assert.InDelta(t, 3.0, c.Dig(z, []int{0, 1}, 0).Volume, 1e-12)
	assert.Panics(t, func() { c.Dig(z, []int{0, 0}, 0) })
	z.Cells[1] = terrain.Void()
	assert.Panics(t, func() { c.Dig(z, []int{0, 1}, 0) })
}

func TestChannelsThatCannotBe(t *testing.T) {
	assert.EqualError(t, Channel{Fall: -1}.Check(), "a channel without a width holds nothing\nthe bottom falls -1 m a metre, not 0 to 1")
	assert.NoError(t, Channel{Bottom: 0.3, Side: 1.5, Fall: 0.002}.Check())
}
