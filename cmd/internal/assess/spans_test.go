package assess

import (
	"slices"
	"testing"

	"wetfeet/hydro/odds"
	"wetfeet/terrain/quantity"

	"github.com/stretchr/testify/assert"
)

func TestSpansAsPeopleSayThem(t *testing.T) {
	volume := func(low, high float64) string { return VolumeSpan(Interval{Low: low, High: high}, quantity.Metric) }
	assert.Equal(t, "0.4 to 2.0 m³", volume(0.4, 2))
	assert.Equal(t, "8.4 to 19 m³", volume(8.4, 19))
	assert.Equal(t, "12 m³", volume(11.8, 12.2))
	assert.Equal(t, "none to 19 m³", volume(0.01, 19))
	assert.Equal(t, "none", volume(0, 0.04))
	assert.Equal(t, "11 to 25 yd³", VolumeSpan(Interval{Low: 8.4, High: 19}, quantity.Feet))
	assert.Equal(t, "none to 12 cm", DepthSpan(Interval{High: 0.12}, quantity.Metric))
	assert.Equal(t, "never to 2.0 days", HoursSpan(Interval{High: 48}))
	assert.Equal(t, "never", HoursSpan(Interval{}))
	assert.Equal(t, "5.5 to 10 cm", DepthSpan(Interval{Low: 0.055, High: 0.1}, quantity.Metric))
	assert.Equal(t, "none", DepthSpan(Interval{High: 0.004}, quantity.Metric))
}

// What a hollow holds is told with the allowance of how the ground is known:
// that of a raster holds for shots that only correct one.
func TestHollowsAreToldWithTheAllowanceOfTheirGround(t *testing.T) {
	draws := []float32{5, 1, 9, 3, 2, 7, 4, 8, 6}
	r := &Result{Odds: &Odds{Result: &odds.Result{Hollows: []odds.Hollow{{Real: 0.9, Volume: draws}}}}}
	told := func() Surety { return r.Sureties()[0] }
	of := func(a odds.Allowance) Surety {
		sorted := slices.Sorted(slices.Values(draws))
		low, middle, high := a.Spread(sorted, 0.8)
		return Surety{0.9, a.Expected(sorted), Interval{low, middle, high}}
	}
	assert.Equal(t, of(odds.ByRaster), told())
	r.Survey = &SurveyNote{Raster: true}
	assert.Equal(t, of(odds.ByRaster), told())
	r.Survey = &SurveyNote{}
	assert.Equal(t, of(odds.BySurvey), told())
	r.Odds = nil
	assert.Nil(t, r.Sureties())
}
