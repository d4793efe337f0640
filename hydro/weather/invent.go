package weather

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// A Climate is what invented weather is like, month by month. It describes no
// place.
type Climate struct {
	WetAfterDry [12]float64 // chance that a day is wet after a dry one
	WetAfterWet [12]float64 // and after a wet one
	WetDay      [12]float64 // mean rain of a wet day, mm
	Shape       float64     // of the gamma distribution of wet days; below 1: mostly little, at times much

	MeanTemperature float64 // of the year, °C
	Swing           float64 // of the daily mean, half of summer less winter, °C
	Range           float64 // of a dry day, highest less lowest, °C
	Wobble          float64 // of the daily mean about its season, one standard deviation, °C
	Latitude        float64 // degrees; below 0 the seasons are the other way round
}

// WarmTemperate is an invented climate with about 1130 mm a year, wet in spring
// and early summer, frost in some winters.
var WarmTemperate = Climate{
	WetAfterDry: [12]float64{0.22, 0.22, 0.24, 0.24, 0.25, 0.24, 0.22, 0.20, 0.18, 0.17, 0.20, 0.22},
	WetAfterWet: [12]float64{0.48, 0.48, 0.48, 0.47, 0.50, 0.48, 0.46, 0.44, 0.44, 0.44, 0.46, 0.48},
	WetDay:      [12]float64{8, 9, 10.5, 12, 13, 12, 10.5, 10, 11, 11.5, 10, 9},
	Shape:       0.75,

	MeanTemperature: 17, Swing: 9.5, Range: 12, Wobble: 3, Latitude: 33,
}

// Invent makes a daily record of whole calendar years that never happened, the
// same for the same seed on any machine. It is made up and says so in Remarks.
//
// After Richardson (1981): whether a day is wet depends on the day before, a
// Markov chain of the first order with the chances of the month; the rain of a
// wet day is gamma distributed about the month's mean (Marsaglia and Tsang
// 2000, ACM TOMS 26(3)); the mean temperature is a cosine of the season, coldest
// on 20 January, with a wobble of which 0.7 stays to the next day; wet days have
// 0.6 of the range of dry ones. Rain and temperatures are rounded to 0.1.
func (c Climate) Invent(seed uint64, first, years int) *Record {
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	start := time.Date(first, 1, 1, 0, 0, 0, 0, time.UTC)
	days := int((time.Date(first+years, 1, 1, 0, 0, 0, 0, time.UTC).Unix() - start.Unix()) / 86400)
	r := &Record{
		Start: start, Step: 24 * time.Hour,
		Rain: make([]float64, days), TMin: make([]float64, days), TMax: make([]float64, days),
		Remarks: []string{fmt.Sprintf("the weather is invented (seed %d): no such years were measured anywhere", seed)},
	}
	coldest := 20.0
	if c.Latitude < 0 {
		coldest += 182.5
	}
	const stays = 0.7
	wet, wobble := false, c.Wobble*rng.NormFloat64()
	for i := range days {
		date := r.Time(i)
		month := date.Month() - 1
		chance := c.WetAfterDry[month]
		if wet {
			chance = c.WetAfterWet[month]
		}
		wet = rng.Float64() < chance
		spread := c.Range
		if wet {
			// A wet day has rain that a gauge can tell.
			r.Rain[i] = max(0.1, tenth(gamma(rng, c.Shape)*c.WetDay[month]/c.Shape))
			spread *= 0.6
		}
		wobble = stays*wobble + c.Wobble*math.Sqrt(1-stays*stays)*rng.NormFloat64()
		season := math.Cos(2 * math.Pi * (float64(date.YearDay()) - coldest) / 365.25)
		mean := c.MeanTemperature - c.Swing*season + wobble
		r.TMin[i], r.TMax[i] = tenth(mean-spread/2), tenth(mean+spread/2)
	}
	return r
}

func tenth(v float64) float64 { return math.Round(10*v) / 10 }

// gamma draws from the gamma distribution with this shape and scale 1.
func gamma(rng *rand.Rand, shape float64) float64 {
	if shape < 1 {
		return gamma(rng, shape+1) * math.Pow(1-rng.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v *= v * v
		if math.Log(1-rng.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}
