package soil

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Steady strong rain and standing water know nothing of redistribution: the
// column is the closed form, in however many steps.
func TestColumnIsGreenAmptUnderSteadySupply(t *testing.T) {
	for _, tex := range textures {
		g := tex.GreenAmpt(0.4)
		for _, steps := range []int{1, 7, 100} {
			pond, rain := NewColumn(g), NewColumn(g)
			rate := 3 * g.K
			pondSum, rainSum := 0.0, 0.0
			for range steps {
				pondSum += pond.Pond(20, 12/float64(steps))
				rainSum += rain.Rain(rate*12/float64(steps), 12/float64(steps))
			}
			assert.InEpsilon(t, g.Infiltrated(12, 20), pondSum, 1e-11, tex.Name)
			hours, infiltrated := g.PondingTime(rate)
			want := rate * 12
			if hours < 12 {
				want = grow(infiltrated, g.pull(0), g.K*(12-hours))
			}
			assert.InEpsilon(t, want, rainSum, 1e-11, tex.Name)
		}
	}
}

// Water in is water stored, every step takes no more than it is offered, and
// the fronts stay in order, whatever the weather does.
func TestColumnKeepsWater(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for range 300 {
		tex := textures[rng.IntN(len(textures))]
		g := tex.GreenAmpt(0.95 * rng.Float64())
		if rng.IntN(2) == 0 {
			g.Depth = 100 + 2000*rng.Float64()
		}
		c, in := NewColumn(g), 0.0
		rain, hours := randomStorm(rng)
		for i := range rain {
			var took float64
			if rng.IntN(8) == 0 {
				took = c.Pond(200*rng.Float64(), hours[i])
			} else {
				took = c.Rain(rain[i], hours[i])
				require.LessOrEqual(t, took, rain[i])
			}
			require.GreaterOrEqual(t, took, 0.0)
			in += took
			require.InDelta(t, in, c.Stored(), 1e-9*(1+in))
			require.True(t, c.wetness > g.Saturation && c.wetness <= 1, "wetness %g", c.wetness)
			if c.second > 0 {
				require.LessOrEqual(t, c.second, c.Front()*g.Porosity*(1-c.wetness)*(1+1e-9), "the second front passed the first")
			}
			require.GreaterOrEqual(t, c.Capacity(0), 0.0)
			if g.Depth > 0 {
				require.LessOrEqual(t, c.Stored(), g.Depth*g.Deficit()*(1+1e-12))
				require.LessOrEqual(t, c.Front(), g.Depth*(1+1e-6))
			}
		}
	}
}

// What Loss promises of the excess, and that more rain never gives less of it.
func TestExcessOfGreenAmptGrowsWithRain(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 300 {
		g := textures[rng.IntN(len(textures))].GreenAmpt(0.9 * rng.Float64())
		rain, hours := randomStorm(rng)
		sum := func() (excess float64) {
			for i, q := range g.Excess(nil, rain, hours) {
				require.GreaterOrEqual(t, q, 0.0)
				require.LessOrEqual(t, q, rain[i])
				excess += q
			}
			return excess
		}
		before := sum()
		for i := range rain {
			rain[i] *= 1.2
		}
		require.GreaterOrEqual(t, sum(), before-1e-9)
	}
}

func TestRestRestoresCapacity(t *testing.T) {
	g := texture(t, "loam").GreenAmpt(0.4)
	last := 0.0
	for _, rest := range []float64{0, 1, 6, 24, 96} {
		c := NewColumn(g)
		c.Rain(40, 1)
		c.Rain(0, rest)
		second := c.Rain(40, 1)
		assert.Greater(t, second, last, "%g h of rest", rest)
		assert.Less(t, second, g.Excess(nil, []float64{40}, []float64{1})[0]+40)
		last = second
	}
	fresh := NewColumn(g).Rain(40, 1)
	assert.Less(t, last, fresh, "four days do not make the soil as dry as it was")
}

// Rest in one step or in many is the same, to the tolerance of its integration.
func TestRestDoesNotDependOnSteps(t *testing.T) {
	for _, tex := range textures {
		for _, drizzle := range []float64{0, 0.5} {
			once, often := NewColumn(tex.GreenAmpt(0.3)), NewColumn(tex.GreenAmpt(0.3))
			for _, c := range []*Column{once, often} {
				c.Rain(50, 0.5)
			}
			rain := drizzle * tex.K * 48
			once.Rain(rain, 48)
			for range 480 {
				often.Rain(rain/480, 0.1)
			}
			assert.InDelta(t, once.wetness, often.wetness, 0.002, "%s, drizzle %g K", tex.Name, drizzle)
			assert.InDelta(t, once.Stored(), often.Stored(), 1e-9)
		}
	}
}

// Drizzle on dry soil settles where water flows on as fast as it comes: the
// conductivity behind the front is then the rain less what suction takes, which
// fades as the front deepens.
func TestDrizzleSettlesAtItsOwnConductivity(t *testing.T) {
	tex := texture(t, "sandy loam")
	g := tex.GreenAmpt(0.2)
	c := NewColumn(g)
	rate := g.K / 4
	assert.Equal(t, rate*2000, c.Rain(rate*2000, 2000))
	s := c.wetness
	k := g.K * math.Pow(s, c.b)
	flux := k - g.K*math.Pow(0.2, c.b) + g.K*c.drive(0.2, s)/c.Front()
	assert.InEpsilon(t, rate, flux, 0.02)
}

func TestSoilOverWaterFillsAndStops(t *testing.T) {
	g := texture(t, "sandy loam").GreenAmpt(0.5)
	g.Depth = 200
	c := NewColumn(g)
	room := 200 * g.Deficit()
	assert.InDelta(t, room, c.Rain(150, 10), 1e-9)
	assert.Equal(t, 0.0, c.Capacity(100))
	assert.Equal(t, 0.0, c.Pond(100, 24))
	assert.Equal(t, 0.0, c.Rain(5, 24))

	// Drizzle fills it as well.
	c = NewColumn(g)
	sum := 0.0
	for range 100 {
		sum += c.Rain(1, 1)
	}
	assert.InDelta(t, room, sum, 1e-9)

	// Soil that is full at first takes what K lets through.
	full := texture(t, "sandy loam").GreenAmpt(1)
	assert.InDelta(t, 24*full.K, NewColumn(full).Pond(0, 24), 1e-9)
	assert.InDelta(t, 3*full.K, NewColumn(full).Rain(30*full.K, 3), 1e-9)
}

// Spreadsheet solution of an exercise (f0 3, fc 0.55 cm/h, k 0.29 /h), printed
// to six decimals, and a second exercise in inches worked out by the formula.
func TestHortonExercises(t *testing.T) {
	h := Horton{Initial: 30, Final: 5.5, Decay: 0.29}
	for hours, want := range map[float64][2]float64{1: {2.383246, 2.676739}, 2: {1.921751, 4.8181}, 5: {1.124697, 9.216561}, 10: {0.6848069, 13.48342}} {
		assert.InDelta(t, want[0], h.Capacity(hours)/10, 1e-5)
		assert.InDelta(t, want[1], h.Infiltrated(hours)/10, 1e-5)
	}
	h = Horton{Initial: 2.1 * 25.4, Final: 0.2 * 25.4, Decay: 0.4}
	for hours, want := range map[float64][2]float64{2: {1.053725, 3.015687}, 6: {0.3723641, 5.51909}} {
		assert.InDelta(t, want[0], h.Capacity(hours)/25.4, 1e-5)
		assert.InDelta(t, want[1], h.Infiltrated(hours)/25.4, 1e-5)
	}
	assert.Equal(t, 20.0, Horton{Initial: 10, Final: 1}.Infiltrated(2))
}

// Applied Hydrology (1988), example 4.2.1: 100 cm³ into a horizontal column of
// 40 cm² in 15 min is a sorptivity of 5 cm/√h; half an hour upright with K = 0.4
// cm/h is 3.74 cm.
func TestPhilipOfAppliedHydrologyExample421(t *testing.T) {
	s := 100.0 / 40 / math.Sqrt(0.25)
	assert.InDelta(t, 5, s, 1e-12)
	p := Philip{Sorptivity: 10 * s, K: 4}
	assert.InDelta(t, 37.4, p.Infiltrated(0.5), 0.05)
	assert.InDelta(t, 37.35534, p.Infiltrated(0.5), 5e-6)
	assert.InDelta(t, (p.Infiltrated(0.5+1e-6)-p.Infiltrated(0.5-1e-6))/2e-6, p.Capacity(0.5), 1e-5)

	hours := []float64{0, 0.1, 0.25, 0.5, 1}
	read := make([]float64, len(hours))
	for i, h := range hours {
		read[i] = p.Infiltrated(h)
	}
	fit, ok := FitPhilip(hours, read)
	require.True(t, ok)
	assert.InDelta(t, p.Sorptivity, fit.Sorptivity, 1e-9)
	assert.InDelta(t, p.K, fit.K, 1e-9)
	_, ok = FitPhilip([]float64{0, 1, 1}, []float64{0, 5, 6})
	assert.False(t, ok)
}

func BenchmarkColumnRain(b *testing.B) {
	rng := rand.New(rand.NewPCG(13, 14))
	rain, hours := make([]float64, 8766), make([]float64, 8766)
	for i := range rain {
		hours[i] = 1
		if rng.IntN(20) == 0 {
			rain[i] = 8 * rng.ExpFloat64()
		}
	}
	for _, name := range []string{"sandy loam", "clay"} {
		g := texture(b, name).GreenAmpt(0.5)
		b.Run("texture="+name, func(b *testing.B) {
			b.ReportAllocs()
			dst := make([]float64, len(rain))
			for b.Loop() {
				dst = g.Excess(dst, rain, hours)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(rain)), "ns/step")
		})
	}
}

func BenchmarkInfiltrated(b *testing.B) {
	g := texture(b, "loam").GreenAmpt(0.4)
	for b.Loop() {
		g.Infiltrated(3, 10)
	}
}
