package season

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
)

// BenchmarkThirtyYears is thirty invented years of days over some ten thousand
// hollows with a thousand positions.
func BenchmarkThirtyYears(b *testing.B) {
	s := prepare(b, rough(310, 1))
	days := weather.WarmTemperate.Invent(1, 1991, 30)
	et, _, err := days.ReferenceET(33, 0)
	require.NoError(b, err)
	days.ET = et
	zone := loam()
	var places []Position
	for k := range 1000 {
		places = append(places, Position{Cell: k * 310 * 310 / 1000, Roots: storm.Roots{Crown: 0.02, Depth: 0.4, Porosity: 0.08, Drainage: 2}})
	}
	for _, tt := range []struct {
		cn      float64
		isTable bool
		record  *weather.Record
	}{
		{61, false, days}, {61, true, days}, {80, false, days}, {80, true, days}, {80, true, inFiveHours(days)},
	} {
		cn, isTable, record := tt.cn, tt.isTable, tt.record
		b.Run(fmt.Sprintf("CN=%g/table=%v/step=%v", cn, isTable, record.Step), func(b *testing.B) {
			zone.Curve.CN = cn
			o := Options{Zones: []Zone{zone}, Infiltration: []float64{3}, Positions: places}
			if isTable {
				o.WaterTable = between()
			}
			var res *Result
			for b.Loop() {
				res = run(b, s, record, o)
			}
			wet := 0
			for _, q := range res.Runoff {
				if q > 0 {
					wet++
				}
			}
			require.InDelta(b, 0, res.Balance.Error(), 1e-9*res.Balance.Rain)
			b.ReportMetric(float64(len(s.Hollows().All)), "hollows")
			b.ReportMetric(float64(wet)/30, "runoffsteps/year")
			b.ReportMetric(1e15*math.Abs(res.Balance.Error())/res.Balance.Rain, "femto-error/rain")
		})
	}
}

// inFiveHours is an hourly record whose rain falls in the first five hours of
// the day.
func inFiveHours(days *weather.Record) *weather.Record {
	h := hourly(days)
	for i := range h.Rain {
		if i%24 < 5 {
			h.Rain[i] = days.Rain[i/24] / 5
		} else {
			h.Rain[i] = 0
		}
	}
	return h
}
