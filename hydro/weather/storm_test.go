package weather

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const day = 24 * time.Hour

// NRCS 24-hour distributions, ordinates of Applied Hydrology (1988), table
// 14.3.1, from memory, to the 0.003 by which tables of them differ.
func TestNRCSDistributions(t *testing.T) {
	for i, row := range [][5]float64{ // hour, I, IA, II, III
		{0, 0.000, 0.000, 0.000, 0.000}, {2, 0.035, 0.050, 0.022, 0.020}, {4, 0.076, 0.116, 0.048, 0.043},
		{6, 0.125, 0.206, 0.080, 0.072}, {7, 0.156, 0.268, 0.098, 0.089}, {8, 0.194, 0.425, 0.120, 0.115},
		{8.5, 0.219, 0.480, 0.133, 0.130}, {9, 0.254, 0.520, 0.147, 0.148}, {9.5, 0.303, 0.550, 0.163, 0.167},
		{9.75, 0.362, 0.564, 0.172, 0.178}, {10, 0.515, 0.577, 0.181, 0.189}, {10.5, 0.583, 0.601, 0.204, 0.216},
		{11, 0.624, 0.624, 0.235, 0.250}, {11.5, 0.654, 0.645, 0.283, 0.298}, {11.75, 0.669, 0.655, 0.357, 0.339},
		{12, 0.682, 0.664, 0.663, 0.500}, {12.5, 0.706, 0.683, 0.735, 0.702}, {13, 0.727, 0.701, 0.772, 0.751},
		{13.5, 0.748, 0.719, 0.799, 0.785}, {14, 0.767, 0.736, 0.820, 0.811}, {16, 0.830, 0.800, 0.880, 0.886},
		{20, 0.926, 0.906, 0.952, 0.957}, {24, 1.000, 1.000, 1.000, 1.000},
	} {
		require.Equal(t, row[0], ordinateHours[i])
		for s := TypeI; s <= TypeIII; s++ {
			h, err := Storm{Rain: 1, Duration: day, Shape: s}.Hyetograph(3 * time.Minute)
			require.NoError(t, err)
			assert.InDelta(t, row[s], h.Until(row[0]), 1e-9, "%v at %g h", s, row[0])
		}
	}
}

// A city's five-minute table of type III, seen (Austin drainage criteria, table
// 2-6). The two tables differ by up to 0.0022 near 9 h.
func TestTypeIIIAgainstAFineTable(t *testing.T) {
	h, err := Storm{Rain: 1, Duration: day, Shape: TypeIII}.Hyetograph(time.Minute)
	require.NoError(t, err)
	for hour, want := range map[float64]float64{
		0.5: 0.005, 1: 0.01, 1.3333: 0.0133, 8.0833: 0.1163, 8.5: 0.1284, 9: 0.1458, 16.1667: 0.8903, 16.5: 0.8984, 17: 0.9095,
	} {
		assert.InDelta(t, want, h.Until(hour), 0.003, "%g h", hour)
	}
	for _, from := range []float64{0.5, 1, 1.5, 2, 4, 8} {
		assert.InDelta(t, 1, h.Until(12-from)+h.Until(12+from), 0.001+1e-12, "symmetric about noon")
	}
}

// 100 mm of type II in blocks of an hour, the ordinates joined by straight
// lines, worked out by hand. The curve here is smooth: it agrees where both ends
// of an hour are ordinates.
func TestTypeIIByTheHour(t *testing.T) {
	want := []float64{1.1, 1.1, 1.3, 1.3, 1.6, 1.6, 1.8, 2.2, 2.7, 3.4, 5.4, 42.8, 10.9, 4.8, 3, 3, 1.8, 1.8, 1.8, 1.8, 1.2, 1.2, 1.2, 1.2}
	h, err := Storm{Rain: 100, Duration: day, Shape: TypeII}.Hyetograph(time.Hour)
	require.NoError(t, err)
	require.Len(t, h.Rain, 24)
	below := 0.0
	for i, w := range want {
		straight := 100 * between(ordinateHours, ordinates[TypeII], float64(i+1))
		assert.InDelta(t, w, straight-below, 0.05+1e-9, "straight, hour %d", i)
		below = straight
		off := 0.45
		if i >= 6 && i < 14 {
			off = 0.05 + 1e-9
		}
		assert.InDelta(t, w, h.Rain[i], off, "smooth, hour %d", i)
	}
	assert.Equal(t, 42.8, math.Round(10*h.Peak())/10)
	assert.InDelta(t, 100, h.Depth(), 1e-12)
}

// A table that goes about as type II and is not: 43.4, 50, 60.1 and 68.5 % at 10
// to 13 h, without a peak.
func TestTypeIIIsNotTheCurveWithoutAPeak(t *testing.T) {
	h, err := Storm{Rain: 100, Duration: day, Shape: TypeII}.Hyetograph(0)
	require.NoError(t, err)
	for hour, not := range map[float64]float64{10: 43.4, 11: 50, 12: 60.1, 13: 68.5} {
		assert.Greater(t, math.Abs(h.Until(hour)-not), 5.0)
	}
	assert.Greater(t, h.Peak(), 100.0, "more than a day's rain in an hour at its worst")
}

// Arithmetic: 50 mm in 24 h is 2.083333 mm/h, 1.968504 in, and 20 m³ on 400 m².
func TestEvenStormByHand(t *testing.T) {
	h, err := Storm{Rain: 50, Duration: day}.Hyetograph(0)
	require.NoError(t, err)
	assert.Equal(t, Hyetograph{[]float64{24}, []float64{50}}, h)
	assert.InDelta(t, 2.083333, h.Peak(), 5e-7)
	assert.InDelta(t, 1.968504, h.Depth()/25.4, 5e-7)
	assert.InDelta(t, 20, h.Depth()/1000*400, 1e-9)

	h, err = Storm{Rain: 90, Duration: 90 * time.Minute}.Hyetograph(time.Hour)
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 0.5}, h.Hours)
	assert.InDeltaSlice(t, []float64{60, 30}, h.Rain, 1e-12)
	assert.Equal(t, "150 mm in 24 h, type II", Storm{150, day, TypeII}.String())
	assert.Equal(t, "20 mm in 30 min, even", Storm{20, 30 * time.Minute, Even}.String())
}

func TestStormsThatCannotBe(t *testing.T) {
	for want, s := range map[string]Storm{
		"3810 mm (150 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 150 mm?":         {3810, day, Even},
		"90000 mm (3543 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 90 mm?":        {90000, day, Even},
		"1270 mm (50 in) of rain in 1 h is more than ever fell on earth, about 401 mm; did you mean 50 mm?":             {1270, time.Hour, Even},
		"1e+06 mm (3.937e+04 in) of rain in 24 h is more than ever fell on earth, about 1825 mm; did you mean 1000 mm?": {1e6, day, Even},
		"a storm of -3 mm: its rain must be 0 or more":                                                                  {-3, day, Even},
		"a storm of NaN mm: its rain must be 0 or more":                                                                 {math.NaN(), day, Even},
		"a storm of 0s: its duration must be from 1 min to 366 d":                                                       {10, 0, Even},
		"a storm of 9000h0m0s: its duration must be from 1 min to 366 d":                                                {10, 9000 * time.Hour, Even},
		"a type II storm of 6 h: the NRCS types are of 24 h; use 24 h, or the shape even":                               {10, 6 * time.Hour, TypeII},
		"a storm of shape 9: shapes are 0 to 4":                                                                         {10, day, 9},
	} {
		assert.EqualError(t, s.Check(), want)
		assert.ErrorIs(t, s.Check(), ErrInput)
		_, err := s.Hyetograph(0)
		assert.EqualError(t, err, want)
	}
	_, err := Storm{10, day, Even}.Hyetograph(time.Nanosecond)
	assert.EqualError(t, err, "steps of 1ns in a storm of 24h0m0s: there must be 1 to 2000000")
	// Storms that were measured are taken: 305 mm in 42 min at Holt, Missouri,
	// 1947; 1825 mm in a day on La Réunion, 1966 (both from memory).
	assert.NoError(t, Storm{305, 42 * time.Minute, Even}.Check())
	assert.NoError(t, Storm{1825, day, Even}.Check())
}

func TestParseShape(t *testing.T) {
	for s, want := range map[string]Shape{"even": Even, "Uniform": Even, "type II": TypeII, "II": TypeII, "SCS Type-III": TypeIII, "type_ia": TypeIA, "1": TypeI} {
		got, err := ParseShape(s)
		require.NoError(t, err, s)
		assert.Equal(t, want, got, s)
		again, err := ParseShape(got.String())
		require.NoError(t, err)
		assert.Equal(t, got, again)
	}
	_, err := ParseShape("type V")
	assert.EqualError(t, err, `"type V" is not a shape of storm: use even, type I, type IA, type II or type III`)
}

func TestHyetographIsChecked(t *testing.T) {
	for want, h := range map[string]Hyetograph{
		"the hyetograph has 1 depths of rain but 2 steps":                  {[]float64{1, 1}, []float64{1}},
		"the hyetograph has no steps; at least one is needed":              {},
		"step 2 of the hyetograph is 0 h long; it must be above 0":         {[]float64{1, 0}, []float64{1, 1}},
		"step 1 of the hyetograph has -1 mm of rain; it must be 0 or more": {[]float64{1}, []float64{-1}},
	} {
		assert.EqualError(t, h.Check(), want)
	}
	assert.NoError(t, Hyetograph{[]float64{1, 2}, []float64{0, 3}}.Check())
}

// However the rain is cut, none is lost, and what has fallen by any cut is the
// same.
func TestResampleKeepsTheRain(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 300 {
		var h Hyetograph
		for range 1 + rng.IntN(30) {
			h.Hours = append(h.Hours, 0.01+2*rng.Float64())
			h.Rain = append(h.Rain, max(0, 20*rng.NormFloat64()))
		}
		step := 0.05 + 3*rng.Float64()
		got := h.Resample(step)
		require.InDelta(t, h.Depth(), got.Depth(), 1e-9)
		require.InDelta(t, h.Duration(), got.Duration(), 1e-9)
		for i := range got.Rain {
			require.GreaterOrEqual(t, got.Rain[i], 0.0)
			require.Greater(t, got.Hours[i], 0.0)
			require.InDelta(t, h.Until(float64(i)*step), got.Until(float64(i)*step), 1e-9)
		}
		if h.Depth() > 0 {
			require.InDelta(t, 80, h.Scale(80).Depth(), 1e-9)
		}
	}
	assert.Panics(t, func() { Hyetograph{[]float64{1}, []float64{1}}.Resample(0) })
}
