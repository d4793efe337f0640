package contour_test

import (
	"fmt"
	"math"
	"testing"

	"wetfeet/terrain/contour"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestIntervalIsTidy(t *testing.T) {
	for _, tt := range []struct {
		name          string
		lo, hi, least float64
		units         quantity.Units
		want          string
	}{
		{"a metre of relief", 96.2, 97.2, 0, quantity.Metric, "0.1 m"},
		{"a little more than twelve tenths", 96, 97.25, 0, quantity.Metric, "0.2 m"},
		{"twelve exactly", 0, 1.2, 0, quantity.Metric, "0.1 m"},
		{"two and a half", 0, 2.9, 0, quantity.Metric, "0.25 m"},
		{"error of 5 cm asks for 16.45 cm", 0, 1, contour.Trust * 0.05, quantity.Metric, "0.2 m"},
		{"hills", 100, 700, 0, quantity.Metric, "50 m"},
		{"a metre in feet", 0, 1, 0, quantity.Feet, "0.5 ft"},
		{"a hand in feet", 0, 0.1, 0, quantity.Feet, "0.05 ft"},
		{"no relief", 5, 5, 0, quantity.Metric, "1 m"},
		{"nothing known", math.Inf(1), math.Inf(-1), 0, quantity.Feet, "1 ft"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, contour.Interval(tt.lo, tt.hi, tt.least, tt.units).String())
		})
	}
}

func TestLevelsAreMultiplesWithinTheRange(t *testing.T) {
	for _, units := range []quantity.Units{quantity.Metric, quantity.Feet} {
		for _, lohi := range [][2]float64{{-0.61, 0.58}, {31.02, 33.9}, {1499.7, 1530}, {0, 1}} {
			s := contour.Interval(lohi[0], lohi[1], 0, units)
			levels := s.Levels(lohi[0], lohi[1])
			require.NotEmpty(t, levels)
			assert.LessOrEqual(t, len(levels), 13)
			for i, l := range levels {
				assert.GreaterOrEqual(t, l.Z, lohi[0]-1e-9)
				assert.LessOrEqual(t, l.Z, lohi[1]+1e-9)
				k := l.Z / s.Metres()
				assert.InDelta(t, math.Round(k), k, 1e-6)
				assert.Equal(t, int(math.Round(k))%5 == 0, l.Index)
				if i > 0 {
					assert.Greater(t, l.Z, levels[i-1].Z)
				}
			}
		}
	}
}

func TestLevelLabels(t *testing.T) {
	label := func(levels []contour.Level) (out []string) {
		for _, l := range levels {
			out = append(out, l.Label)
		}
		return out
	}
	quarter := contour.Spacing{Step: 0.25, Units: quantity.Metric}
	assert.Equal(t, []string{"-0.25", "0.00", "0.25", "0.50"}, label(quarter.Levels(-0.3, 0.5)))
	half := contour.Spacing{Step: 0.5, Units: quantity.Feet}
	assert.Equal(t, []string{"3.0", "3.5", "4.0"}, label(half.Levels(0.9, 1.25)))
	assert.Empty(t, quarter.Levels(1, 0))
	assert.Empty(t, quarter.Levels(math.Inf(-1), 0))
}

func TestTidyUp(t *testing.T) {
	for _, tt := range []struct{ v, want float64 }{
		{1, 1}, {1.01, 2}, {2, 2}, {2.1, 2.5}, {2.6, 5}, {5.1, 10}, {0.1, 0.1}, {0.3, 0.5}, {0.011, 0.02}, {999, 1000}, {1e-7, 1e-7},
	} {
		assert.Equal(t, tt.want, contour.TidyUp(tt.v), "for %v", tt.v)
	}
}

func TestRoundKeepsEndsAndRings(t *testing.T) {
	open := orb.LineString{{0, 0}, {4, 0}, {4, 4}}
	assert.Equal(t, orb.LineString{{0, 0}, {3, 0}, {4, 1}, {4, 4}}, contour.Round(open, 1))
	ring := orb.LineString{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}
	once := contour.Round(ring, 1)
	assert.Equal(t, orb.LineString{{1, 0}, {3, 0}, {4, 1}, {4, 3}, {3, 4}, {1, 4}, {0, 3}, {0, 1}, {1, 0}}, once)
	// Corners cut to a closed quadratic spline: a square of side 4 keeps 5/6
	// of its area in the end. Chaikin (1974); the figure by Simpson's rule on
	// the four parabolas, each leaving 1/6 of its quarter.
	limit := contour.Round(ring, 8)
	assert.InDelta(t, 16*5.0/6, signedArea(limit), 0.01)
	assert.Equal(t, ring, contour.Round(ring, 0))
	assert.Equal(t, orb.LineString{{0, 0}, {1, 1}}, contour.Round(orb.LineString{{0, 0}, {1, 1}}, 3))
}

func ExampleLines() {
	// A small mound, and the contour halfway up.
	z := made(5, 5, 1, func(x, y float64) float64 { return 4 - math.Abs(x-102.5) - math.Abs(y-197.5) })
	for _, l := range contour.Lines(z, []float64{2.5}) {
		fmt.Println(l.Closed, len(l.Points)-1, "sides")
	}
	// Output: true 12 sides
}

func BenchmarkLines(b *testing.B) {
	for _, side := range []int{512, 2048} {
		b.Run(fmt.Sprintf("side=%d", side), func(b *testing.B) {
			z := made(side, side, 1, func(x, y float64) float64 {
				return 30 + 0.002*x + 0.4*math.Sin(x/40)*math.Cos(y/55)
			})
			levels := contour.Interval(29, 35, 0, quantity.Metric).Levels(29, 35)
			at := make([]float64, len(levels))
			for i, l := range levels {
				at[i] = l.Z
			}
			b.ReportAllocs()
			for b.Loop() {
				contour.Lines(z, at)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(z.Len()), "ns/cell")
		})
	}
}
