package calibration

import (
	"math"
	"math/rand/v2"
)

// Waves are plane waves that add up to a rough surface.
type waves []wave

type wave struct{ high, east, north, phase float64 } // m, radians a metre twice, radians

// at is the height of the surface at a place, m.
func (w waves) at(x, y float64) float64 {
	sum := 0.0
	for i := range w {
		sum += w[i].high * math.Cos(w[i].east*x+w[i].north*y+w[i].phase)
	}
	return sum
}

// rolling is ground that rolls in waves of so many lengths, m, one standard
// deviation high, m. Longer ones are higher, as rough makes it: by length to
// the power rough.
func rolling(r *rand.Rand, sd, least, most, rough float64) waves {
	const count = 150
	w := make(waves, count)
	power := 0.0
	for i := range w {
		long := least * math.Pow(most/least, r.Float64())
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		k := 2 * math.Pi / long
		w[i] = wave{math.Pow(long, rough), k * cos, k * sin, 2 * math.Pi * r.Float64()}
		power += w[i].high * w[i].high / 2
	}
	for i := range w {
		w[i].high *= sd / math.Sqrt(power)
	}
	return w
}
