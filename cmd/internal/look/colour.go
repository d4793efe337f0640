package look

import (
	"fmt"
	"image/color"
	"math"
)

func rgb(hex uint32) color.RGBA {
	return color.RGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 0xff}
}

// The ground and what is drawn on it.
var (
	Paper = rgb(0xffffff) // of the sheet, and of halos
	Ink   = rgb(0x1c1c1a) // words and outlines
	Quiet = rgb(0x55544e) // lesser words, frames
	Print = rgb(0x000000) // words and lines of sheets made to be printed and copied, which anything lighter would dot

	GroundLight = rgb(0xfbf9f3) // shaded ground facing the light
	GroundDark  = rgb(0xd3cbbb) // and turned away from it
	Unknown     = rgb(0xf4f4f4) // no elevation is known here
	UnknownLine = rgb(0xbdbdbd) // the hatch over it

	ContourLine = rgb(0x8a6238)
	ContourText = rgb(0x5c3a17)
	Shore       = rgb(0x14426f) // outline of a hollow
	Flow        = rgb(0x0c3f66)
	RowLine     = rgb(0x4d4c40)
	Grid        = rgb(0x9b9788) // crosses of the coordinate grid
	Shot        = rgb(0x7b2d8e) // a spot height
)

// Hex is a colour as a style sheet has it: "#1c1c1a".
func Hex(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Contrast is the contrast ratio of two colours, 1 to 21, as defined by the
// Web Content Accessibility Guidelines 2.2 (W3C, 2023).
func Contrast(a, b color.RGBA) float64 {
	p, q := luminance(a), luminance(b)
	return (max(p, q) + 0.05) / (min(p, q) + 0.05)
}

// luminance is the relative luminance of the same guidelines.
func luminance(c color.RGBA) float64 {
	r, g, b := linear(c)
	return 0.2126*r + 0.7152*g + 0.0722*b
}

// linear is a colour in linear light: IEC 61966-2-1 (sRGB), with the
// guidelines' bend at 0.04045.
func linear(c color.RGBA) (r, g, b float64) {
	f := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return f(c.R), f(c.G), f(c.B)
}
