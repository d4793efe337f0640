package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The slow obvious version: of every step the mean of its eleven days.
func TestSoilFollowsTheAirOfElevenDays(t *testing.T) {
	for _, step := range []time.Duration{24 * time.Hour, time.Hour} {
		r := &Record{Start: time.Date(2003, 1, 1, 0, 0, 0, 0, time.UTC), Step: step}
		days := 11 * int(24*time.Hour/step)
		for i := range 60 * int(24*time.Hour/step) {
			least := 20*math.Sin(float64(i)/17) - 3
			if i%7 == 3 || i > days && i < 2*days {
				least = math.NaN()
			}
			r.Rain, r.TMin, r.TMax = append(r.Rain, 0), append(r.TMin, least), append(r.TMax, least+9)
		}
		got := r.SoilTemperature()
		blank := 0
		for i := range got {
			sum, n, all := 0.0, 0, 0
			for k := max(0, i-days+1); k <= i; k++ {
				if all++; !math.IsNaN(r.TMin[k]) {
					sum += (r.TMin[k] + r.TMax[k]) / 2
					n++
				}
			}
			if 2*n < all || n == 0 {
				blank++
				assert.True(t, math.IsNaN(got[i]), i)
				continue
			}
			assert.InDelta(t, max(0, sum/float64(n)), got[i], 1e-9, i)
		}
		assert.Positive(t, blank)
	}
	assert.Nil(t, (&Record{Step: time.Hour, Rain: []float64{1}}).SoilTemperature())
}

// A year of one temperature a month: the soil of a month is between that of it
// and the month before, which it still holds some days of.
func TestSoilOfAMonth(t *testing.T) {
	r := &Record{Start: time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC), Step: 24 * time.Hour}
	for day := range 365 {
		m := float64(r.Start.AddDate(0, 0, day).Month())
		r.Rain, r.TMin, r.TMax = append(r.Rain, 0), append(r.TMin, 2*m-1), append(r.TMax, 2*m+1)
	}
	assert.InDelta(t, 2, r.MonthlySoilTemperature(time.January), 1e-9)
	// The first ten days of a month hold 10, 9, ... 1 of the eleven days before.
	assert.InDelta(t, 12-2*55.0/11/30, r.MonthlySoilTemperature(time.June), 1e-9)
	assert.True(t, math.IsNaN((&Record{Step: 24 * time.Hour}).MonthlySoilTemperature(time.June)))
}
