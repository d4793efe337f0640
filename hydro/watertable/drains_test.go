package watertable

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The closed form of van der Molen and Wesseling (1991), remembered and derived
// again by images: a row of line sinks gives ln(L/(π r)), the mirrored rows add
// F. The values were computed from it by another program.
func TestEquivalentDepthOfHooghoudt(t *testing.T) {
	barriers := []float64{0.5, 1, 2, 5, 10}
	const radius = 0.1
	for spacing, row := range map[float64][]float64{
		5:   {0.447, 0.629, 0.703, 0.710, 0.710},
		10:  {0.472, 0.772, 1.030, 1.132, 1.135},
		20:  {0.486, 0.872, 1.359, 1.812, 1.887},
		30:  {0.490, 0.911, 1.522, 2.299, 2.550},
		50:  {0.494, 0.944, 1.683, 2.933, 3.621},
		75:  {0.496, 0.962, 1.777, 3.402, 4.598},
		100: {0.497, 0.971, 1.828, 3.697, 5.316},
	} {
		for k, want := range row {
			got := EquivalentDepth(spacing, barriers[k], radius)
			assert.InDelta(t, want, got, 0.0005, "L %v D %v: three decimals are printed", spacing, barriers[k])
			assert.InEpsilon(t, moody(spacing, barriers[k], radius), got, 0.07, "L %v D %v", spacing, barriers[k])
		}
	}
	// Hooghoudt's own table, from memory, has 3.49 m here, by an older
	// approximation.
	assert.InEpsilon(t, 3.49, EquivalentDepth(75, 5, 0.1), 0.03)
}

// Moody, W.T. (1966). Nonlinear differential equation of drain spacing. Journal
// of the Irrigation and Drainage Division ASCE 92(IR2), 1–9; from memory.
func moody(l, d, r float64) float64 {
	if d/l <= 0.3 {
		return d / (1 + d/l*(8/math.Pi*math.Log(d/r)-3.4))
	}
	return math.Pi * l / (8 * (math.Log(l/r) - 1.15))
}

func TestBarrierTermHasNoStepWhereItsFormsMeet(t *testing.T) {
	const x = 0.5
	series := 0.0
	for n := 1.0; n < 400; n += 2 {
		e := math.Exp(-2 * n * x)
		series += 4 * e / (n * (1 - e))
	}
	assert.InDelta(t, series, barrierTerm(x), 1e-8)
	assert.InDelta(t, barrierTerm(x), barrierTerm(math.Nextafter(x, 1)), 1e-8)
}

// The pattern of the example in ILRI Publication 16, which was not seen; the
// numbers were computed from the formula by another program. Tables give
// answers within 3 %.
func TestDrainSpacing(t *testing.T) {
	d := Drains{Above: 0.14, Below: 0.14, Barrier: 5, Radius: 0.1}
	for q, want := range map[float64][2]float64{0.001: {45.84087, 2.827061}, 0.002: {29.41447, 2.275032}} {
		l, err := d.Spacing(q, 0.6)
		require.NoError(t, err)
		assert.InDelta(t, want[0], l, 5e-5)
		assert.InDelta(t, want[1], EquivalentDepth(l, 5, 0.1), 5e-6)
		assert.InDelta(t, q, d.Discharge(l, 0.6), 1e-15)
		assert.InDelta(t, 0.6, d.Height(l, q), 1e-12)
	}
	l := 75.0
	for _, want := range []float64{49.87625, 46.5899, 45.98643, 45.8694, 45.84647, 45.84197} {
		l = math.Sqrt(d.carries(l, 0.6) / 0.001)
		assert.InDelta(t, want, l, 5e-5)
	}
}

// Drains on the barrier: q = 4 K h²/L², printed in many handbooks.
func TestDrainSpacingOnTheBarrier(t *testing.T) {
	d := Drains{Above: 0.5, Below: 0.5, Radius: 0.1}
	l, err := d.Spacing(0.007, 0.8)
	require.NoError(t, err)
	assert.InDelta(t, 13.52247, l, 5e-6)
}

func TestDrainsRefuseNonsense(t *testing.T) {
	_, err := Drains{Above: -1, Below: 1e9, Barrier: -2, Radius: math.NaN()}.Spacing(0, math.Inf(1))
	assert.EqualError(t, err, "saturated conductivity -1 m/day is not between 1e-06 and 10000\n"+
		"saturated conductivity 1e+09 m/day is not between 1e-06 and 10000\n"+
		"a barrier -2 m below the drains is not between 0 and 1000\n"+
		"a drain radius of NaN m is not between 0 and 10\n"+
		"a discharge of 0 m/day is not more than 0\n"+
		"a water table +Inf m above the drains is not more than 0")
}

// Hiscock, K.M., Hydrogeology: principles and practice, box 2.9, equation 19,
// with x from the divide midway: h² = ha² + (W/K)(a² − x²).
func TestDupuitMound(t *testing.T) {
	b := Between{Conductivity: 0.5, Spacing: 20, Left: 1, Right: 1}
	for x, want := range map[float64]float64{0: 1.414214, 5: 1.322876, 10: 1} {
		assert.InDelta(t, want, b.Mound(10+x, 0.005), 5e-7)
		assert.InDelta(t, math.Sqrt(1+0.01*(100-x*x)), b.Mound(10-x, 0.005), 1e-12)
	}
	assert.True(t, math.IsNaN(b.Mound(10, -0.1)))
}

// Glover's series for a level start and the forms with its first term alone,
// 4/π = 1.27, and with 1.16 for a parabola of the fourth degree, Dumm (1960);
// the days were computed from them by another program.
func TestFallingWaterTableBetweenDrains(t *testing.T) {
	d := Drawdown{Transmissivity: 0.7, Porosity: 0.05, Spacing: 30}
	days, err := d.Days(0.5)
	require.NoError(t, err)
	assert.InDelta(t, 6.087019, days, 1e-4)
	assert.InDelta(t, 6.088249, math.Log(4/math.Pi/0.5)/d.rate(), 5e-7)
	parabola, err := d.DaysParabola(0.5)
	require.NoError(t, err)
	assert.InDelta(t, 5.481552, parabola, 5e-7)
	assert.InDelta(t, 0.5, d.Left(days), 1e-12)
	l, err := FallSpacing(0.7, 0.05, 0.5, days)
	require.NoError(t, err)
	assert.InDelta(t, 30, l, 1e-9)
	assert.Equal(t, 1.0, d.Left(0))
	for _, part := range []float64{0, 1, math.NaN()} {
		_, err := d.Days(part)
		assert.Error(t, err)
	}
}

func TestDrawdownFormsMeet(t *testing.T) {
	const x = 0.1
	sum, sign := 0.0, 4/math.Pi
	for n := 1.0; n < 99; n += 2 {
		sum += sign * math.Exp(-n*n*x) / n
		sign = -sign
	}
	assert.InDelta(t, sum, leftMidway(math.Nextafter(x, 0)), 1e-12)
	assert.InDelta(t, sum, leftMidway(x), 1e-12)
}

// The definition of specific yield; van Beers (1965), from memory: 25, 100 and
// 400 cm a day have 5, 10 and 20 %.
func TestDrainablePorosityAndRise(t *testing.T) {
	assert.InDelta(t, 0.200, Rise(0.020, 0.1), 1e-12)
	assert.InDelta(t, -0.0625, Rise(-0.005, 0.08), 1e-12)
	for k, want := range map[float64]float64{0.25: 0.05, 1: 0.10, 4: 0.20, 100: 0.35} {
		assert.InDelta(t, want, DrainablePorosity(k), 1e-12)
	}
}
