package look

import (
	"image/color"
	"math"

	"wetfeet/terrain/quantity"
)

// A DepthClass is a range of depth of standing water and its blue, or of
// another such measure and its tint.
type DepthClass struct {
	From, To float64 // m; To of the last is +Inf
	Fill     color.RGBA
	Label    string // in the reader's units: "5 to 15 cm"
}

// A FlowClass is a range of catchment of a flow line and its width.
type FlowClass struct {
	From, To float64 // m²; To of the last is +Inf
	Width    float64 // in parts of the width of the thinnest
	Label    string  // in the reader's units: "0.1 to 0.5 ha"
}

const (
	inch = 0.0254       // m
	acre = 4046.8564224 // m², of the international foot
)

var blues = [...]color.RGBA{rgb(0xd5e8f5), rgb(0xacd0ea), rgb(0x7fb5dd), rgb(0x5397ca), rgb(0x2f76b2)}

// Depths are the classes of depth, shallowest first. They step at about ankle,
// shin and knee, and agree to a few millimetres between the two families of
// units; common practice, no source.
func Depths(u quantity.Units) []DepthClass {
	steps, labels := []float64{0, 0.05, 0.15, 0.30, 0.60}, []string{"up to 5 cm", "5 to 15 cm", "15 to 30 cm", "30 to 60 cm", "over 60 cm"}
	if u == quantity.Feet {
		steps, labels = []float64{0, 2 * inch, 6 * inch, 12 * inch, 24 * inch}, []string{"up to 2 in", "2 to 6 in", "6 to 12 in", "12 to 24 in", "over 24 in"}
	}
	classes := make([]DepthClass, len(steps))
	for i := range classes {
		classes[i] = DepthClass{steps[i], above(steps, i), blues[i], labels[i]}
	}
	return classes
}

// Flows are the classes of catchment, smallest first.
func Flows(u quantity.Units) []FlowClass {
	steps, labels := []float64{0, 1000, 5000, 20000}, []string{"up to 0.1 ha", "0.1 to 0.5 ha", "0.5 to 2 ha", "over 2 ha"}
	if u == quantity.Feet {
		steps, labels = []float64{0, acre / 4, acre, 5 * acre}, []string{"up to ¼ acre", "¼ to 1 acre", "1 to 5 acres", "over 5 acres"}
	}
	widths := [...]float64{1, 1.5, 2, 2.6}
	classes := make([]FlowClass, len(steps))
	for i := range classes {
		classes[i] = FlowClass{steps[i], above(steps, i), widths[i], labels[i]}
	}
	return classes
}

func above(steps []float64, i int) float64 {
	if i+1 < len(steps) {
		return steps[i+1]
	}
	return math.Inf(1)
}

// Depth is the class a depth of water falls in: the index in Depths.
func Depth(u quantity.Units, depth float64) int { return classOf(Depths(u), depth) }

// classOf is the class a value falls in; one at a border is in the lower.
func classOf(classes []DepthClass, v float64) int {
	for i := len(classes) - 1; i > 0; i-- {
		if v > classes[i].From {
			return i
		}
	}
	return 0
}
