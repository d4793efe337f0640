package assess

import (
	"fmt"
	"math"
	"path/filepath"

	"wetfeet/hydro/season"
	"wetfeet/hydro/weather"
	"wetfeet/species"
)

// The kinds of species for which hours of wet roots count differently: those that
// cool soil and rest help, and those of the tropics.
const (
	temperate = iota
	tropical
	kinds
)

// weights are what an hour of each step of a record counts, by kind of species:
// by the warmth of the soil that day where the record has temperatures, and
// outside the growing season where one is known as much as at rest. They are nil
// where neither is known, and the sentence says what was taken.
func (p Plan) weights(record *weather.Record, growing season.Growing, known bool) ([][]float64, string) {
	soil := record.SoilTemperature()
	if soil == nil && !known {
		return nil, "The days of wet roots in those years count alike, whatever the season, as neither temperatures nor a growing season are known."
	}
	out := make([][]float64, kinds)
	for k := range out {
		out[k] = make([]float64, record.Len())
	}
	for i := range record.Rain {
		warmth := math.NaN()
		if soil != nil {
			warmth = soil[i]
		}
		at := record.Time(i)
		rest := known && !growing.Has(at.Month(), at.Day())
		for k := range out {
			out[k][i] = species.HourWeight(warmth, rest, k == tropical)
		}
	}
	by := ""
	if soil != nil {
		by = fmt.Sprintf(" by how warm the soil is that day, as the air of eleven days in %s, each 10 °C more twice as much", filepath.Base(p.Season.File))
	}
	if known {
		if by != "" {
			by += ", and"
		}
		by += " outside the growing season no more than in soil of 5 °C"
	}
	return out, fmt.Sprintf("An hour of wet roots in those years counts%s; for species of the tropics cold and rest take nothing off. The spell of a year that counts most is held against the tree.", by)
}

// doses are what the wet spells of the median year of a position count, by kind,
// days; the longest spell where hours count alike.
func (s *Season) doses(k int) [kinds]float64 {
	longest := season.Median(s.Longest(k))
	out := [kinds]float64{longest, longest}
	if !s.Weighed {
		return out
	}
	for kind := range out {
		var days []float64
		for y, w := range s.Result.Wetness[k] {
			if s.Result.Years[y].Whole {
				days = append(days, w.Doses[kind])
			}
		}
		out[kind] = season.Median(days)
	}
	return out
}
