package season

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/hydro/soil"
)

// FAO-56, chapter 8: a full-grown tomato on loam, water at field capacity 0.32
// and at wilting 0.12, roots 0.8 m, p 0.4 (the inputs of its example 38, from
// memory; the figures follow from equations 82 to 84 by hand).
func tomato() Zone {
	return Zone{RootDepth: 0.8, WiltingPoint: 0.12, FieldCapacity: 0.32, Porosity: 0.46, Drainage: 2,
		Curve: soil.Curve{CN: 70}, Crop: 1.2, Depletion: 0.4}
}

func TestDepletionFAO56(t *testing.T) {
	z := tomato()
	assert.InDelta(t, 160, z.available(), 1e-9, "TAW, equation 82")
	assert.InDelta(t, 64, z.available()-z.stressed(), 1e-9, "RAW, equation 83")

	t.Run("down to the readily available water the crop gets all it wants", func(t *testing.T) {
		b := newBucket(&z)
		b.water = 160 - 55
		f := b.step(0, 5, 24, math.Inf(1)) // Kc ETo = 6 mm
		assert.InDelta(t, 6, f.transpired, 1e-12)
		assert.InDelta(t, 61, 160-b.water, 1e-12)
	})
	t.Run("below it the stress coefficient is (TAW − Dr)/((1 − p) TAW)", func(t *testing.T) {
		for _, depletion := range []float64{64, 80, 120, 150} {
			b := newBucket(&z)
			b.water = 160 - depletion
			const hours = 0.001 // at once, as equation 84 is meant
			f := b.step(0, 5*hours/24, hours, math.Inf(1))
			assert.InDelta(t, (160-depletion)/((1-0.4)*160), f.transpired/(6*hours/24), 1e-5, "depletion %g", depletion)
		}
	})
	t.Run("the length of the step does not show", func(t *testing.T) {
		a, b := newBucket(&z), newBucket(&z)
		a.water, b.water = 110, 110
		all := a.step(0, 30, 240, math.Inf(1)).transpired
		sum := 0.0
		for range 240 {
			sum += b.step(0, 30.0/240, 1, math.Inf(1)).transpired
		}
		assert.InDelta(t, sum, all, 1e-9)
	})
}

func TestWaterAboveFieldCapacityDrains(t *testing.T) {
	z := tomato()
	z.Drainage, z.Curve.CN = 0.5, 40
	b := newBucket(&z)
	b.newDay()
	f := b.step(30, 0, 24, math.Inf(1))
	require.Zero(t, f.runoff)
	assert.InDelta(t, 12, f.percolated, 1e-12, "as fast as the ground takes it")
	f = b.step(0, 0, 24, 5)
	assert.InDelta(t, 5, f.percolated, 1e-12, "no more than there is room for")
	f = b.step(0, 0, 240, math.Inf(1))
	assert.InDelta(t, 13, f.percolated, 1e-9, "and what is left of the 30 mm")
	assert.InDelta(t, 160, b.water, 1e-9)

	// Pores above field capacity: 0.14 of 800 mm, 112 mm. A table at the
	// surface lets nothing through.
	for range 20 {
		b.newDay()
		f = b.step(20, 0, 24, 0)
	}
	assert.InDelta(t, z.pores(), b.water, 1e-9)
	assert.InDelta(t, 20, f.runoff, 1e-9, "full ground keeps nothing")
	assert.True(t, b.filled)
}

// The storage of the curve number is that of the antecedent conditions I and III
// at wilting and at field capacity, and 2.54 mm (curve number 99) when full. Where
// the ground cannot make as much room by drying, it is what room it makes.
func TestRetentionMeetsTheAntecedentConditions(t *testing.T) {
	for _, cn := range []float64{45, 61, 75, 85, 91} {
		z := tomato()
		z.Curve.CN = cn
		r := z.retention()
		s := func(m soil.Moisture) float64 { return soil.Curve{CN: cn, Before: m}.Storage() }
		assert.InEpsilon(t, s(soil.WetBefore), r.at(z.available()), 1e-9, "curve number %g", cn)
		if cn >= 85 {
			assert.InEpsilon(t, s(soil.DryBefore), r.at(0), 1e-9, "curve number %g", cn)
			assert.InEpsilon(t, 2.54, r.at(z.pores()), 1e-9)
		} else {
			assert.Less(t, r.at(0), s(soil.DryBefore))
			assert.GreaterOrEqual(t, r.at(z.pores()), 2.54-1e-9)
		}
		last := r.at(0)
		for w := 0.5; w <= z.pores()+5; w += 0.5 {
			require.LessOrEqual(t, r.at(w), last, "curve number %g, %g mm", cn, w)
			require.LessOrEqual(t, 1.2*(last-r.at(w)), 0.5+1e-9, "curve number %g, %g mm", cn, w)
			last = r.at(w)
		}
	}
	z := tomato()
	z.Curve.CN = 100
	r := z.retention()
	assert.Zero(t, r.at(50))
}

// A day's runoff is that of the curve number of the day's moisture, whether it
// comes in a day or in hours.
func TestRunoffOfADayIsThatOfTheCurve(t *testing.T) {
	z := tomato()
	z.Drainage = 0
	day, hours := newBucket(&z), newBucket(&z)
	day.newDay()
	f := day.step(60, 0, 24, math.Inf(1))
	assert.InEpsilon(t, soil.Curve{CN: 70, Before: soil.WetBefore}.Runoff(60), f.runoff, 1e-9)
	hours.newDay()
	sum := 0.0
	for range 24 {
		sum += hours.step(2.5, 0, 1, math.Inf(1)).runoff
	}
	assert.InDelta(t, f.runoff, sum, 1e-9)

	z.Impervious = 0.25
	b := newBucket(&z)
	b.newDay()
	assert.InDelta(t, 0.75*f.runoff+0.25*60, b.step(60, 0, 24, 0).runoff, 1e-9)
}

// Under Green-Ampt an hour's burst on ground at field capacity soaks in as the
// soil says, and the same rain over a day soaks in whole.
func TestGreenAmptMindsIntensity(t *testing.T) {
	loam, err := soil.FindTexture("loam")
	require.NoError(t, err)
	g := loam.GreenAmpt(0)
	z := tomato()
	z.WiltingPoint, z.FieldCapacity, z.Porosity, z.GreenAmpt = loam.WiltingPoint, loam.FieldCapacity, loam.Porosity, &g
	b := newBucket(&z)
	b.newDay()
	burst := b.step(40, 0, 1, math.Inf(1))
	want := loam.GreenAmpt(loam.SaturationAt(loam.FieldCapacity)).Excess(nil, []float64{40}, []float64{1})
	assert.InEpsilon(t, want[0], burst.runoff, 1e-9)
	b = newBucket(&z)
	b.newDay()
	assert.Zero(t, b.step(40, 0, 24, math.Inf(1)).runoff)
}

func TestZoneOfSaysWhatItAssumed(t *testing.T) {
	z, assumed := ZoneOf(soil.Known{Group: "C"}, 0.5)
	require.NoError(t, z.Check())
	assert.Contains(t, assumed[0], "sandy clay loam")
	assert.Equal(t, 0.255, z.FieldCapacity)
	assert.Equal(t, soil.Known{Group: "C"}.Rate().Median, z.Drainage)
}
