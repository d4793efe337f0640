package hydro

import (
	"math"
	"math/bits"
)

const (
	// FreemanExponent is the power of the slope in Freeman (1991).
	FreemanExponent = 1.1

	// MaxExponent bounds the exponent of multiple flow. At 20 a neighbour
	// half as steep as another gets a millionth of what the other gets, so
	// that more would be single flow.
	MaxExponent = 20
)

// routeMultiple shares the water of each cell among all of its lower
// neighbours, in proportion to a power of the slope towards each. Freeman
// (1991) takes no account of the length of contour a neighbour faces.
func (f *Flow) routeMultiple() {
	f.power = newPower(f.Exponent)
	f.routeSlopes()
	f.descendFlats(make([]int32, f.Len()), func(i int, lower uint8) { f.receivers[i] = lower })
}

// weigh sets the shares of the receivers of cell i, which must have some.
//
// Shares are worked out each time they are wanted. Keeping the sum of the
// weights takes eight bytes a cell and was no faster.
func (f *Flow) weigh(i int, step [8]int, shares *[8]float64) {
	z := f.z.Cells
	centre := float64(z[i])
	var sum float64
	for m := f.receivers[i]; m != 0; m &= m - 1 {
		k := bits.TrailingZeros8(m)
		// Within a flat there is no slope to go by: each way down counts the
		// same but for its length.
		w := f.power.step[k]
		if fall := centre - float64(z[i+step[k]]); fall > 0 {
			w *= f.power.of(fall)
		}
		shares[k] = w
		sum += w
	}
	scale := 1 / sum
	for m := f.receivers[i]; m != 0; m &= m - 1 {
		shares[bits.TrailingZeros8(m)] *= scale
	}
}

// A power raises falls, m, to one exponent.
//
// math.Pow took most of the time of multiple flow. A number is split here
// into its binary exponent, whose power is looked up; the first eight bits of
// its mantissa, likewise; and the little that is left, for which four terms
// of the binomial series do. For exponents up to 2 the result is good to 1
// part in 10¹¹.
//
// Falls are taken to lie between 2⁻⁴⁰ m, which no elevation on land resolves,
// and 2²⁴ m, so that no power overflows.
type power struct {
	binary   [64]float64
	mantissa [256]struct{ power, reciprocal float64 }
	series   [3]float64
	step     [8]float64 // by neighbour, the power of 1 over the distance in cells
}

const leastBinary = -40

func newPower(exponent float64) *power {
	p := new(power)
	for e := range p.binary {
		p.binary[e] = math.Pow(2, exponent*float64(leastBinary+e))
	}
	for k := range p.mantissa {
		middle := 1 + (float64(k)+0.5)/256
		p.mantissa[k].power = math.Pow(middle, exponent)
		p.mantissa[k].reciprocal = 1 / middle
	}
	p.series[0] = exponent
	p.series[1] = p.series[0] * (exponent - 1) / 2
	p.series[2] = p.series[1] * (exponent - 2) / 3
	for k := range p.step {
		p.step[k] = 1
		if isDiagonal(k) {
			p.step[k] = math.Pow(2, -exponent/2)
		}
	}
	return p
}

// of raises a positive number.
func (p *power) of(x float64) float64 {
	const mantissaBits, bias = 52, 1023
	b := math.Float64bits(x)
	e := int(b>>mantissaBits) - bias - leastBinary
	if uint(e) >= uint(len(p.binary)) {
		e = max(0, min(e, len(p.binary)-1))
	}
	m := &p.mantissa[b>>(mantissaBits-8)&255]
	d := float64(math.Float64frombits(b&(1<<mantissaBits-1)|bias<<mantissaBits)*m.reciprocal) - 1
	s := 1 + float64(d*(p.series[0]+float64(d*(p.series[1]+float64(d*p.series[2])))))
	return p.binary[e&63] * m.power * s
}
