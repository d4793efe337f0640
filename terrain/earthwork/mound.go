package earthwork

import (
	"errors"
	"fmt"
	"math"
)

// What a mound is unless the caller says otherwise.
const (
	// SideSlope is run over rise: earth placed by hand and planted holds 2
	// across for 1 up. Common practice, no source.
	SideSlope = 2

	// Settlement is the share of its volume that loose soil loses in its first
	// year or two. Common practice, no source: a fifth to a third.
	Settlement = 0.25
)

// CubicYard is a cubic yard, m³: that of the international yard of 0.9144 m,
// exactly. NIST Special Publication 811 prints 7.645 549 E−01.
const CubicYard = 0.9144 * 0.9144 * 0.9144

// A Mound is a truncated cone of soil, settled.
type Mound struct {
	Top    float64 // diameter of the level platform, m
	Height float64 // m
	Side   float64 // run over rise; 0 is SideSlope
}

func (m Mound) side() float64 {
	if m.Side == 0 {
		return SideSlope
	}
	return m.Side
}

// Check says what is wrong with a mound, all of it.
func (m Mound) Check() error {
	var bad []error
	for _, x := range []struct {
		what string
		v    float64
		most float64
	}{{"the platform is %v m across, not 0 to %v", m.Top, 100}, {"the mound is %v m high, not 0 to %v", m.Height, 10}, {"the sides run %v across for 1 up, not 0 to %v", m.Side, 20}} {
		if !(x.v >= 0 && x.v <= x.most) {
			bad = append(bad, fmt.Errorf(x.what, x.v, x.most))
		}
	}
	return errors.Join(bad...)
}

// Base is the diameter of the mound at the ground, m.
func (m Mound) Base() float64 {
	if m.Height == 0 {
		return 0
	}
	return m.Top + 2*m.side()*m.Height
}

// Volume is the soil in a mound that touches no other, m³: a truncated cone.
func (m Mound) Volume() float64 {
	top, base := m.Top/2, m.Top/2+m.side()*m.Height
	return math.Pi * m.Height / 3 * (base*base + base*top + top*top)
}

// BedVolume is the soil in a metre of a long bed of the same section, m³/m.
func (m Mound) BedVolume() float64 { return m.Height * (m.Top + m.side()*m.Height) }

// radius is that of the mound at a height, m; below 0 above its top.
func (m Mound) radius(height float64) float64 {
	if height >= m.Height {
		return -1
	}
	return m.Top/2 + m.side()*(m.Height-height)
}

// at is the height of the mound so far from its middle, m.
func (m Mound) at(distance float64) float64 {
	if distance <= m.Top/2 {
		return m.Height
	}
	return max(0, m.Height-(distance-m.Top/2)/m.side())
}

// Loose is what is to be brought, m³, for a volume to lie there once a share
// of what was brought has settled. It panics on a share that is not from 0 to
// less than 1.
func Loose(settled, share float64) float64 {
	if !(share >= 0 && share < 1) {
		panic(fmt.Sprintf("earthwork: a settlement of %v", share))
	}
	return settled / (1 - share)
}

// Loads is how many times a trailer that holds so much runs to bring a volume,
// both m³. It panics on a trailer that holds nothing.
func Loads(volume, trailer float64) int {
	if !(trailer > 0) {
		panic(fmt.Sprintf("earthwork: a trailer of %v m³", trailer))
	}
	const hair = 1e-9 // a full last load is no load more
	return int(math.Ceil(volume/trailer - hair))
}
