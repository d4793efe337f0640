package watertable

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Both stores in a hundred thousand steps of Runge and Kutta.
func TestStepsAreExactHoweverLong(t *testing.T) {
	runge := func(x, days float64, rate func(x float64) float64) float64 {
		const n = 100_000
		h := days / n
		for range n {
			a := rate(x)
			b := rate(x + h/2*a)
			c := rate(x + h/2*b)
			d := rate(x + h*c)
			x += h / 6 * (a + 2*b + 2*c + d)
		}
		return x
	}
	s := Slope{M: 0.03, Full: 0.02}
	for _, r := range []float64{0, 1e-15, 0.001, 0.05, -0.004} {
		for _, start := range []float64{0.1, -0.02} {
			want := runge(start, 3, func(d float64) float64 { return s.Outflow(d) - r })
			got, out := s.Step(start, r, 3)
			assert.InDelta(t, want, got, 1e-9, "slope, recharge %v from %v", r, start)
			assert.InDelta(t, got-start, out-3*r, 1e-15)
			assert.Greater(t, out, 0.0)
			half, first := s.Step(start, r, 1.5)
			whole, second := s.Step(half, r, 1.5)
			assert.InDelta(t, got, whole, 1e-14, "two steps are one")
			assert.InDelta(t, out, first+second, 1e-14)
		}
	}
	f := Flat{Reaction: 0.4}
	for _, r := range []float64{0, 0.001, -0.01, -0.002} {
		for _, start := range []float64{0.02, 0, -0.0015} {
			want := runge(start, 3, func(x float64) float64 { return r - 0.4*max(0, x) })
			got, out := f.Step(start, r, 3)
			assert.InDelta(t, want, got, 1e-7, "flat, recharge %v from %v", r, start)
			assert.InDelta(t, got-start, 3*r-out, 1e-15)
			assert.GreaterOrEqual(t, out, 0.0)
		}
	}
}

func TestSlopeBearsAFloodInOneStep(t *testing.T) {
	s := Slope{M: 0.001, Full: 0.001}
	got, out := s.Step(0.05, 2, 1)
	assert.InDelta(t, 0.05-2+out, got, 1e-12)
	assert.InDelta(t, MeanDeficit(s.Full, 2, s.M), got, 1e-9, "steady under such a flow")
}

func TestDailyLosesNoWaterInThirtyYears(t *testing.T) {
	d := &Daily{Slope: SlopeAt(0.03, 0.08, 0.001), Flat: FlatBetween(Drawdown{Transmissivity: 0.7, Porosity: 0.05, Spacing: 30}), Deficit: 0.08}
	assert.NoError(t, d.Check())
	assert.InDelta(t, 0.001, d.Slope.Outflow(0.08), 1e-15)
	assert.InDelta(t, math.Pi*math.Pi*0.7/(0.05*900), d.Flat.Reaction, 1e-12)
	rng := rand.New(rand.NewPCG(1, 1))
	start := d.Deficit
	for day := range 30 * 365 {
		r := 0.0
		if rng.IntN(5) == 0 {
			r = 0.02 * rng.ExpFloat64()
		}
		if day%365 > 120 && day%365 < 270 {
			r -= 0.002
		}
		d.Step(r)
	}
	b := d.Balance
	assert.InDelta(t, 0, (b.Recharge-b.SlopeRanOut-b.SlopeGained)/b.SlopeRanOut, 1e-9)
	assert.InDelta(t, 0, (b.Recharge-b.FlatRanOut-b.FlatGained)/b.FlatRanOut, 1e-9)
	assert.InDelta(t, start-d.Deficit, b.SlopeGained, 1e-9)
	assert.InDelta(t, d.Stored, b.FlatGained, 1e-9)
	assert.Greater(t, b.SlopeRanOut, 10.0)
}

func TestMoreRechargeNeverLowersTheTable(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 2000 {
		s, f := Slope{M: 0.01 + 0.05*rng.Float64(), Full: 0.03 * rng.Float64()}, Flat{Reaction: 0.01 + rng.Float64()}
		from, r, more := 0.2*rng.NormFloat64(), 0.02*rng.NormFloat64(), 0.02*rng.Float64()
		a, _ := s.Step(from, r, 1)
		b, _ := s.Step(from, r+more, 1)
		assert.LessOrEqual(t, b, a+1e-12)
		a, _ = f.Step(from, r, 1)
		b, _ = f.Step(from, r+more, 1)
		assert.GreaterOrEqual(t, b, a-1e-12)
	}
}

func TestDailyRefusesStoresOutOfRange(t *testing.T) {
	err := (&Daily{Slope: Slope{M: 0, Full: math.NaN()}, Flat: Flat{Reaction: -1}, Deficit: math.Inf(1)}).Check()
	assert.EqualError(t, err, "m of the slopes 0 is not more than 0\n"+
		"full outflow of the slopes NaN is not more than 0\n"+
		"reaction factor of the flats -1 is not more than 0\n"+
		"a store begins with +Inf m of water")
}

func BenchmarkThirtyYearsAtAThousandPositions(b *testing.B) {
	positions := make([]Position, 1000)
	for i := range positions {
		positions[i] = Position{Base: float64(i) / 1000, PerDeficit: 10, PerStored: float64(i % 20)}
	}
	sum := 0.0
	for b.Loop() {
		d := &Daily{Slope: SlopeAt(0.03, 0.08, 0.001), Flat: Flat{Reaction: 0.2}, Deficit: 0.08}
		for day := range 30 * 365 {
			d.Step(0.002 * float64(day%7-2))
			for _, p := range positions {
				sum += p.Depth(d)
			}
		}
	}
	if math.IsNaN(sum) {
		b.Fatal("a depth is not a number")
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(30*365*1000), "ns/position-day")
}
