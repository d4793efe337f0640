package screenmap

import (
	"image/color"

	"wetfeet/cmd/internal/look"
)

// A Symbol is how a page draws the trees of one class of risk. Its paths are
// those of SVG, in the square from −10 to 10 of package look.
type Symbol struct {
	Name  string `json:"name"`
	Shape string `json:"shape"`
	Fill  string `json:"fill"`
	Ink   string `json:"ink"`
	Mark  string `json:"mark"`
	Body  string `json:"body"`
	Marks string `json:"marks"`
}

// Symbols are those of all classes, in the order of [look.Symbols].
func Symbols() []Symbol {
	var out []Symbol
	for _, s := range look.Symbols() {
		out = append(out, Symbol{s.Name, s.Shape, look.Hex(s.Fill), look.Hex(s.Ink), look.Hex(s.Mark), s.Body.SVG(), s.Marks.SVG()})
	}
	return out
}

// Colours are those of ground, lines and words, by the names that pages have
// for them.
func Colours() map[string]string {
	return Hex(map[string]color.RGBA{
		"paper": look.Paper, "ink": look.Ink, "quiet": look.Quiet, "contour": look.ContourLine, "contourText": look.ContourText,
		"shore": look.Shore, "flow": look.Flow, "row": look.RowLine, "unknown": look.Unknown,
	})
}

// Hex is colours as style sheets have them.
func Hex(colours map[string]color.RGBA) map[string]string {
	out := make(map[string]string, len(colours))
	for name, c := range colours {
		out[name] = look.Hex(c)
	}
	return out
}
