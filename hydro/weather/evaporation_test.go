package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var nan = math.NaN()

// Allen et al. (1998), FAO-56, examples 2, 3, 5, 8, 9 and 14: each to half of
// the last digit that the paper prints. The answers are from memory; all were
// found again by working them out apart from this program.
func TestPhysicsOfFAO56(t *testing.T) {
	assert.InDelta(t, 81.8, AirPressure(1800), 0.05, "example 2")
	assert.InDelta(t, 0.054, Psychrometric(AirPressure(1800)), 0.0005, "example 2")

	assert.InDelta(t, 3.075, SaturationPressure(24.5), 0.0005, "example 3")
	assert.InDelta(t, 1.705, SaturationPressure(15), 0.0005, "example 3")
	assert.InDelta(t, 2.39, MeanSaturationPressure(15, 24.5), 0.005, "example 3")

	assert.InDelta(t, 1.70, VapourPressure(18, 25, 54, 82), 0.005, "example 5")

	assert.InDelta(t, 32.2, Extraterrestrial(-20, 246), 0.05, "example 8")
	assert.InDelta(t, 11.7, Daylight(-20, 246), 0.05, "example 9")

	assert.InDelta(t, 2.4, WindAt2m(3.2, 10), 0.05, "example 14")
}

// FAO-56, examples 10 to 12: Rio de Janeiro, 15 May.
func TestRadiationOfFAO56Examples10To12(t *testing.T) {
	d := Day{Latitude: -22.9, DayOfYear: 135, TMin: 19.1, TMax: 25.1, Vapour: 2.1, Sun: 7.1, Wind: nan, Ground: nan}
	assert.InDelta(t, 25.1, Extraterrestrial(d.Latitude, d.DayOfYear), 0.05)
	assert.InDelta(t, 10.9, Daylight(d.Latitude, d.DayOfYear), 0.05)
	assert.InDelta(t, 14.5, d.SolarRadiation(), 0.05)
	_, long := d.radiation()
	assert.InDelta(t, 3.5, long, 0.05)
	assert.InDelta(t, 7.6, d.NetRadiation(), 0.05)
}

// FAO-56, example 17: Bangkok, the mean of April. Over a month the ground takes
// up heat as well, 0.14 MJ/m² and day for each degree warmer than the month
// before (44).
func TestPenmanMonteithOfFAO56Example17(t *testing.T) {
	d := Day{Latitude: 13.73, Elevation: 2, DayOfYear: 105, TMin: 25.6, TMax: 34.8, Vapour: 2.85, Wind: 2, Sun: 8.5, Ground: 0.14 * (30.2 - 29.2)}
	assert.InDelta(t, 38.06, Extraterrestrial(d.Latitude, d.DayOfYear), 0.01)
	assert.InDelta(t, 22.65, d.SolarRadiation(), 0.01)
	assert.InDelta(t, 14.33, d.NetRadiation(), 0.01)
	assert.InDelta(t, 5.72, d.PenmanMonteith(), 0.01)
}

// FAO-56, example 18: Uccle, 6 July.
func TestPenmanMonteithOfFAO56Example18(t *testing.T) {
	d := Day{Latitude: 50.8, Elevation: 100, DayOfYear: 187, TMin: 12.3, TMax: 21.5, Vapour: VapourPressure(12.3, 21.5, 63, 84),
		Wind: WindAt2m(10/3.6, 10), Sun: 9.25, Ground: nan}
	assert.InDelta(t, 2.078, d.Wind, 0.001)
	assert.InDelta(t, 1.997, MeanSaturationPressure(12.3, 21.5), 0.001)
	assert.InDelta(t, 1.409, d.Vapour, 0.001)
	assert.InDelta(t, 41.09, Extraterrestrial(d.Latitude, d.DayOfYear), 0.01)
	assert.InDelta(t, 22.07, d.SolarRadiation(), 0.01)
	assert.InDelta(t, 13.28, d.NetRadiation(), 0.01)
	assert.InDelta(t, 3.88, d.PenmanMonteith(), 0.01)
}

// FAO-56, example 20: Lyon in July with temperatures alone, 4.56 by
// Penman-Monteith and 5.03 by Hargreaves.
func TestMissingDataOfFAO56Example20(t *testing.T) {
	d := Day{Latitude: 45 + 43.0/60, Elevation: 200, DayOfYear: 196, TMin: 14.8, TMax: 26.6, Vapour: nan, Wind: nan, Sun: nan, Ground: nan}
	assert.InDelta(t, 22.29, d.SolarRadiation(), 0.01)
	assert.InDelta(t, 4.56, d.PenmanMonteith(), 0.01)
	assert.InDelta(t, 5.03, d.Hargreaves(), 0.01)
}

// FAO-56, table 12 (Kc 1.05) and Linacre (1993), his formula worked out by hand.
func TestOpenWater(t *testing.T) {
	assert.InDelta(t, 4.074, OpenWater(3.88), 1e-9)
	assert.InDelta(t, 6.006, OpenWater(5.72), 1e-9)
	assert.InDelta(t, 4.315822, Linacre(20, 12, 230, 2, 100), 1e-6)
}

// FAO-56, table 2: 3 to 5 mm a day in moderate humid tropics, 2 to 4 in
// temperate ones, 4 to 7 where it is warm. Orders of magnitude.
func TestReferenceIsOfTheOrderOfTable2(t *testing.T) {
	moderate := Day{Latitude: 45, DayOfYear: 172, TMin: 15, TMax: 25, Vapour: nan, Wind: nan, Sun: nan, Ground: nan}
	assert.True(t, moderate.PenmanMonteith() > 2 && moderate.PenmanMonteith() < 5)
	warm := Day{Latitude: 33, DayOfYear: 190, TMin: 24, TMax: 36, Vapour: nan, Wind: nan, Sun: nan, Ground: nan}
	assert.True(t, warm.PenmanMonteith() > 4 && warm.PenmanMonteith() < 7.5)
}

// Without sun grass gains no heat from the sky, whatever stands in for the
// sunshine that was not measured: fog all day has no range of temperature.
func TestFogAllDayGivesNoHeat(t *testing.T) {
	fog := Day{Latitude: 45, Elevation: 100, DayOfYear: 300, TMin: 8, TMax: 8, Vapour: nan, Wind: nan, Sun: nan, Ground: nan}
	assert.Zero(t, fog.SolarRadiation())
	assert.Negative(t, fog.NetRadiation())
	assert.Less(t, fog.PenmanMonteith(), 0.1)
	dark := fog
	dark.Latitude, dark.DayOfYear = 80, 355
	assert.Negative(t, dark.NetRadiation())
}

// Far north the sun does not set or does not rise, and nothing breaks.
func TestPolarDayAndNight(t *testing.T) {
	assert.Equal(t, 24.0, Daylight(80, 172))
	assert.Equal(t, 0.0, Daylight(80, 355))
	for _, j := range []int{1, 80, 172, 266, 355, 366} {
		for lat := -90.0; lat <= 90; lat += 15 {
			d := Day{Latitude: lat, DayOfYear: j, TMin: -30, TMax: -20, Vapour: nan, Wind: nan, Sun: 0, Ground: nan}
			et := d.PenmanMonteith()
			assert.False(t, math.IsNaN(et) || et < 0, "latitude %g, day %d", lat, j)
			assert.False(t, math.IsNaN(d.Hargreaves()))
		}
	}
}

func TestReferenceETOfARecord(t *testing.T) {
	given := record(t, "date,rain_mm,et_mm,tmin_c,tmax_c\n2004-07-14,0,4.5,14.8,26.6\n")
	et, how, err := given.ReferenceET(45, 200)
	require.NoError(t, err)
	assert.Equal(t, "as measured", how)
	assert.Equal(t, []float64{4.5}, et)

	// Day 196 of a leap year is 14 July: the example of Lyon again.
	warm := record(t, "date,rain_mm,tmin_c,tmax_c\n2004-07-14,0,14.8,26.6\n")
	et, how, err = warm.ReferenceET(45+43.0/60, 200)
	require.NoError(t, err)
	assert.Equal(t, "by Hargreaves, from temperatures", how)
	assert.InDelta(t, 5.03, et[0], 0.01)

	// Day 187 of a common year is 6 July: Uccle.
	all := record(t, "date,rain_mm,tmin_c,tmax_c,rhmin_pct,rhmax_pct,wind_m_s,sun_h\n2003-07-06,0,12.3,21.5,63,84,2.078,9.25\n")
	et, how, err = all.ReferenceET(50.8, 100)
	require.NoError(t, err)
	assert.Equal(t, "by FAO-56 Penman-Monteith", how)
	assert.InDelta(t, 3.88, et[0], 0.01)

	all.TMin[0] = nan
	et, _, err = all.ReferenceET(50.8, 100)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(et[0]))

	for want, f := range map[string]func() error{
		"latitude 91 is not from -90 to 90 degrees":  func() error { _, _, err := warm.ReferenceET(91, 0); return err },
		"elevation 1e+06 m is not from -500 to 9000": func() error { _, _, err := warm.ReferenceET(45, 1e6); return err },
		"the record has no evaporation: give it a column et_mm, or tmin_c and tmax_c": func() error {
			_, _, err := (&Record{Step: day, Rain: []float64{1}}).ReferenceET(45, 0)
			return err
		},
		"the record is hourly and has no evaporation: give it a column et_mm, or the days with tmin_c and tmax_c": func() error {
			_, _, err := (&Record{Step: time.Hour, Rain: []float64{1}, TMin: []float64{1}, TMax: []float64{2}}).ReferenceET(45, 0)
			return err
		},
	} {
		assert.EqualError(t, f(), want)
	}
}

func BenchmarkReferenceETOfThirtyYears(b *testing.B) {
	r := &Record{Start: time.Date(1991, 1, 1, 0, 0, 0, 0, time.UTC), Step: day, Rain: make([]float64, 10957), TMin: make([]float64, 10957), TMax: make([]float64, 10957)}
	for i := range r.TMin {
		r.TMin[i], r.TMax[i] = 10, 20
	}
	r.Wind = r.TMin
	for b.Loop() {
		if _, _, err := r.ReferenceET(45, 100); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/10957, "ns/day")
}
