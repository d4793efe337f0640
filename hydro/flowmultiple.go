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
func (f *Flow) weigh(i int, step *[8]int, shares *[8]float64) {
	z, p, m := f.z.Cells, f.power, f.receivers[i]
	centre := float64(z[i])
	var sum float64
	for left := m; left != 0; left &= left - 1 {
		k := bits.TrailingZeros8(left) & 7
		// Within a flat there is no slope to go by: each way down counts the
		// same but for its length.
		w := p.step[k]
		if fall := centre - float64(z[i+step[k]]); fall > 0 {
			w *= p.of(fall)
		}
		shares[k] = w
		sum += w
	}
	scale := 1 / sum
	for left := m; left != 0; left &= left - 1 {
		shares[bits.TrailingZeros8(left)&7] *= scale
	}
}

// A power raises falls, m, to one exponent.
//
// math.Pow took most of the time of multiple flow. A number is split here
// into its binary exponent, whose power is looked up; the first nine bits of
// its mantissa, likewise; and the little that is left, for which three terms
// of the binomial series do. For exponents up to 2 the result is good to 1
// part in 10¹⁰.
//
// Falls are taken to lie between 2⁻⁴⁰ m, which no elevation on land resolves,
// and 2²⁴ m, so that no power overflows.
type power struct {
	binary   [512]float64 // by exponent, from leastBinary
	mantissa [512]struct{ power, reciprocal float64 }
	series   [2]float64
	step     [8]float64 // by neighbour, the power of 1 over the distance in cells
}

// Of a float64, and of the difference of two float32, which is never smaller.
const (
	mantissaBits = 52
	bias         = 1023
	leastBinary  = -256 // below that of any float32
)

func newPower(exponent float64) *power {
	p := new(power)
	for e := range p.binary {
		p.binary[e] = math.Pow(2, exponent*float64(min(max(leastBinary+e, -40), 24)))
	}
	for k := range p.mantissa {
		middle := 1 + (float64(k)+0.5)/float64(len(p.mantissa))
		p.mantissa[k].power = math.Pow(middle, exponent)
		p.mantissa[k].reciprocal = 1 / middle
	}
	p.series[0] = exponent
	p.series[1] = exponent * (exponent - 1) / 2
	for k := range p.step {
		p.step[k] = 1
		if isDiagonal(k) {
			p.step[k] = math.Pow(2, -exponent/2)
		}
	}
	return p
}

// of raises a positive number. It is just short enough to be inlined.
func (p *power) of(x float64) float64 {
	b := math.Float64bits(x)
	m := &p.mantissa[b>>(mantissaBits-9)&511]
	d := float64(math.Float64frombits(b&(1<<mantissaBits-1)|bias<<mantissaBits)*m.reciprocal) - 1
	return p.binary[(b>>mantissaBits-(bias+leastBinary))&511] * m.power * (1 + float64(d*(p.series[0]+float64(d*p.series[1]))))
}
