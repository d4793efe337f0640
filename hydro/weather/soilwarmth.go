package weather

import (
	"math"
	"time"
)

// soilMemory is how many days of air make the warmth of the soil in the root
// zone: the running mean of eleven days is the soil at 10 cm in the model of
// Zheng, D., Hunt, E.R., Running, S.W. (1993), A daily soil temperature model based
// on air temperature and precipitation for continental applications, Climate
// Research 2, 183–191 (from memory).
const soilMemory = 11

// SoilTemperature is how warm the soil of the root zone is at each step of the
// record, °C: the mean of the air over the eleven days that end with it, and no
// less than 0, since soil that freezes stays at that until it is frozen through.
// It is NaN where fewer than half of those days have a temperature, and nil for a
// record without any.
//
// Snow, shade and the water that stands on it are not in it: under them soil
// follows the air later and less.
func (r *Record) SoilTemperature() []float64 {
	if r.TMin == nil || r.TMax == nil {
		return nil
	}
	window := soilMemory * max(1, int(24*time.Hour/r.Step))
	air := func(i int) float64 { return (r.TMin[i] + r.TMax[i]) / 2 }
	out := make([]float64, r.Len())
	sum, known := 0.0, 0
	for i := range out {
		if t := air(i); !math.IsNaN(t) {
			sum += t
			known++
		}
		if i >= window {
			if t := air(i - window); !math.IsNaN(t) {
				sum -= t
				known--
			}
		}
		out[i] = math.NaN()
		if 2*known >= min(window, i+1) && known > 0 {
			out[i] = math.Max(0, sum/float64(known))
		}
	}
	return out
}

// MonthlySoilTemperature is the mean of [Record.SoilTemperature] over a month of
// all years, °C; NaN where none of it is known.
func (r *Record) MonthlySoilTemperature(m time.Month) float64 {
	sum, n := 0.0, 0
	for i, t := range r.SoilTemperature() {
		if !math.IsNaN(t) && r.Time(i).Month() == m {
			sum += t
			n++
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / float64(n)
}
