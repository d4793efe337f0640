package look

import "image/color"

// A Tint is what a place is coloured by, from a value on.
type Tint struct {
	From  float64
	Fill  color.RGBA
	Label string
}

// Wetness are the parts of a site by the rank of their wetness, 0 to 1, driest
// first: greens, which no depth of water is.
func Wetness() []Tint {
	return []Tint{
		{0.6, rgb(0xe3eac8), "wetter than most"},
		{0.8, rgb(0xb9cf8e), "the wettest fifth"},
		{0.95, rgb(0x7da455), "the wettest twentieth"},
	}
}

// Odds are the classes of odds drawn, 0 to 1, least first: violets, which no
// depth of water is.
func Odds() []Tint {
	return []Tint{
		{0.05, rgb(0xeee6f4), "5 to 25 in 100"},
		{0.25, rgb(0xd3bde3), "25 to 50 in 100"},
		{0.50, rgb(0xa980c6), "50 to 75 in 100"},
		{0.75, rgb(0x78459f), "75 to 95 in 100"},
		{0.95, rgb(0x4b1d6e), "over 95 in 100"},
	}
}
