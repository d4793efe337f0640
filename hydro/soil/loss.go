package soil

import "fmt"

// A Loss parts rain into what the ground keeps and what is left over.
type Loss interface {
	// Excess is how much of the rain of each step, mm, does not soak in. The
	// steps are hours long, each with its own length. The result is written
	// to dst, which grows if it must, and is from 0 to the rain of the step.
	// It panics where rain and hours differ in length. Every call is a storm
	// of its own on ground as it was at first.
	Excess(dst, rain, hours []float64) []float64
}

// Impervious is ground from which all rain runs off.
type Impervious struct{}

// Excess is the rain itself.
func (Impervious) Excess(dst, rain, hours []float64) []float64 {
	dst = sized(dst, rain, hours)
	copy(dst, rain)
	return dst
}

// Patchwork is pervious ground with impervious patches whose water leaves
// whole, without crossing the rest.
type Patchwork struct {
	Pervious   Loss
	Impervious float64 // share of the ground, 0 to 1
}

// Excess is the excess of both kinds of ground, by their shares.
func (p Patchwork) Excess(dst, rain, hours []float64) []float64 {
	dst = p.Pervious.Excess(dst, rain, hours)
	for i, r := range rain {
		dst[i] += p.Impervious * (r - dst[i])
	}
	return dst
}

// sized is dst at the length of the storm.
func sized(dst, rain, hours []float64) []float64 {
	if len(rain) != len(hours) {
		panic(fmt.Sprintf("soil: %d steps of rain but %d lengths", len(rain), len(hours)))
	}
	if cap(dst) < len(rain) {
		return make([]float64, len(rain))
	}
	return dst[:len(rain)]
}
