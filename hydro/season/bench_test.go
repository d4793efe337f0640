package season

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"wetfeet/hydro/storm"
	"wetfeet/hydro/weather"
)

// BenchmarkThirtyYears is thirty invented years of days over some ten thousand
// hollows with a thousand positions.
func BenchmarkThirtyYears(b *testing.B) {
	s := prepare(b, rough(310, 1))
	record := weather.WarmTemperate.Invent(1, 1991, 30)
	zone := loam()
	var places []Position
	for k := range 1000 {
		places = append(places, Position{Cell: k * 310 * 310 / 1000, Roots: storm.Roots{Crown: 0.02, Depth: 0.4, Porosity: 0.08, Drainage: 2}})
	}
	for _, cn := range []float64{61, 80} {
		for _, isTable := range []bool{false, true} {
			b.Run(fmt.Sprintf("CN=%g/table=%v", cn, isTable), func(b *testing.B) {
				zone.Curve.CN = cn
				o := Options{Zones: []Zone{zone}, Infiltration: []float64{3}, Latitude: 33, Positions: places}
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
				b.ReportMetric(float64(wet)/30, "runoffdays/year")
				b.ReportMetric(res.Balance.Error()/res.Balance.Rain, "error/rain")
			})
		}
	}
}
