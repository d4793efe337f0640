package look

import "image/color"

// What a long section is drawn in: the ground seen from its side, cut open.
var (
	SectionSoil = rgb(0xe6dcc8)
	SoilLine    = rgb(0x6b5334)
	SoilDetail  = rgb(0xb39d7c)
	WaterLine   = Shore
)

// A Stage is how the water of one moment of a storm is drawn: the longer the
// water has stood, the darker, and each with a line of its own.
type Stage struct {
	Fill  color.RGBA
	Dash  string // as SVG has it; empty is a line without breaks
	Width float64
}

// Stages are those of the moments a storm shows, the first of them when the
// rain ends.
func Stages() []Stage {
	return []Stage{
		{rgb(0xd6e8f6), "", 2.5},
		{rgb(0xb7d6ee), "12 4", 1.8},
		{rgb(0x96c3e6), "6 4", 1.8},
		{rgb(0x74afdc), "2.5 3", 1.8},
		{rgb(0x559ace), "10 3 2.5 3", 1.8},
	}
}

// The brim of a full hollow in a section: a thin line of dots.
const (
	BrimDash  = "0.1 4.5"
	BrimWidth = 1.8
)
