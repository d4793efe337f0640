package look

import (
	"math"

	"wetfeet/cmd/internal/paint"
	"wetfeet/terrain/quantity"
)

// An ErrorClass is a range of the standard error of a surface and its tint.
type ErrorClass = DepthClass

// The browns of error, least first: no blue among them, which is water.
var browns = [...]uint32{0xfff8e2, 0xfae0a0, 0xedb44f, 0xc97a1e, 0x8a4a12, 0x4a230c}

// Errors are the classes of the standard error of a surface, least first. They
// are those of quality of work: a level and staff, a laser on rough ground, a
// tape of levels too far apart, a free raster; common practice, no source.
func Errors(u quantity.Units) []ErrorClass {
	steps, labels := []float64{0, 0.01, 0.02, 0.05, 0.10, 0.20}, []string{"up to 1 cm", "1 to 2 cm", "2 to 5 cm", "5 to 10 cm", "10 to 20 cm", "over 20 cm"}
	if u == quantity.Feet {
		steps, labels = []float64{0, inch / 2, inch, 2 * inch, 4 * inch, 8 * inch}, []string{"up to ½ in", "½ to 1 in", "1 to 2 in", "2 to 4 in", "4 to 8 in", "over 8 in"}
	}
	classes := make([]ErrorClass, len(steps))
	for i := range classes {
		classes[i] = ErrorClass{steps[i], above(steps, i), rgb(browns[i]), labels[i]}
	}
	return classes
}

// Error is the class a standard error falls in: the index in Errors.
func Error(u quantity.Units, sd float64) int { return classOf(Errors(u), sd) }

// Suspect is how many standard deviations a shot may be off before it is drawn
// as suspicious, and Blunder as hardly to be believed. Of good shots 5 in 100
// are beyond the first and 3 in 1000 beyond the second: the normal law.
const (
	Suspect = 2
	Blunder = 3
)

// Residual is how a shot is drawn that is so many standard deviations above
// (or, if negative, below) what the others say.
func Residual(standardised float64) Symbol {
	up := polygon(0, -9, 9.2, 7.4, -9.2, 7.4)
	down := polygon(0, 9, -9.2, -7.4, 9.2, -7.4)
	pale, full := rgb(0xead5ee), Shot
	bar := paint.Rectangle(-4.6, 2.2, 4.6, 5) // near the broad side
	barDown := paint.Rectangle(-4.6, -5, 4.6, -2.2)
	switch t := standardised; {
	case math.IsNaN(t):
		return Symbol{Name: "not checked", Shape: "diagonal cross", Fill: Ink, Ink: Paper, Mark: Ink, Body: cross(5, 2)}
	case t >= Blunder:
		return Symbol{Name: "far too high", Shape: "dark triangle with a bar, pointing up", Fill: full, Ink: Ink, Mark: Paper, Body: up, Marks: bar}
	case t <= -Blunder:
		return Symbol{Name: "far too low", Shape: "dark triangle with a bar, pointing down", Fill: full, Ink: Ink, Mark: Paper, Body: down, Marks: barDown}
	case t >= Suspect:
		return Symbol{Name: "high", Shape: "pale triangle pointing up", Fill: pale, Ink: Ink, Mark: Ink, Body: up}
	case t <= -Suspect:
		return Symbol{Name: "low", Shape: "pale triangle pointing down", Fill: pale, Ink: Ink, Mark: Ink, Body: down}
	}
	return Symbol{Name: "as expected", Shape: "small open circle", Fill: Paper, Ink: Quiet, Mark: Quiet, Body: paint.Circle(0, 0, 5)}
}

// Residuals are all of those symbols, the farthest off first.
func Residuals() []Symbol {
	return []Symbol{Residual(Blunder), Residual(-Blunder), Residual(Suspect), Residual(-Suspect), Residual(0)}
}

// ResidualSize is how large the mark of a shot is drawn beside the smallest
// triangle: as its residual is, up to six standard deviations.
func ResidualSize(standardised float64) float64 {
	t := math.Abs(standardised)
	if !(t > Suspect) { // also of one not checked
		return 1
	}
	return 1 + 0.22*min(t-Suspect, 4)
}
