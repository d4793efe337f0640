package survey

import (
	"math"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

func TestOutlineOfASquare(t *testing.T) {
	o := newOutline([]orb.Point{{4, 4}, {0, 0}, {10, 0}, {5, 0}, {10, 10}, {0, 10}, {0, 0}})
	assert.Equal(t, outline{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, o)
	assert.Equal(t, 100.0, o.area())
	assert.Equal(t, 10.0, o.width())
	for _, tt := range []struct {
		p    orb.Point
		want float64
	}{
		{orb.Point{5, 5}, 0}, {orb.Point{0, 5}, 0}, {orb.Point{10, 10}, 0},
		{orb.Point{5, -2}, 2}, {orb.Point{13, 14}, 5}, {orb.Point{-1, 10}, 1},
	} {
		assert.Equal(t, tt.want, o.distance(tt.p), "%v", tt.p)
	}
}

func TestOutlineWithoutArea(t *testing.T) {
	line := newOutline([]orb.Point{{0, 0}, {3, 4}, {6, 8}})
	assert.Equal(t, outline{{0, 0}, {6, 8}}, line)
	assert.Zero(t, line.area())
	assert.Zero(t, line.width())
	assert.Equal(t, 5.0, line.distance(orb.Point{9, 12}), "beyond the end")
	assert.Zero(t, line.distance(orb.Point{3, 4}))
	assert.InDelta(t, 2.4, line.distance(orb.Point{3, 0}), 1e-12)

	point := newOutline([]orb.Point{{1, 1}, {1, 1}})
	assert.Equal(t, outline{{1, 1}}, point)
	assert.Equal(t, math.Sqrt2, point.distance(orb.Point{2, 2}))
}

// Every point is inside, and the hull turns left at every corner.
func TestOutlineHoldsAllPoints(t *testing.T) {
	points := crowd(400, 5)
	o := newOutline(points)
	for i := range o {
		assert.Positive(t, terrain.LeftOf(o[i], o[(i+1)%len(o)], o[(i+2)%len(o)]))
	}
	for _, p := range points {
		assert.InDelta(t, 0, o.distance(p), 1e-8)
	}
}
