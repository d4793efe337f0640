package survey

import (
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// A Surface is ground made of spot heights: a [Model] or [Triangles].
type Surface interface {
	// Predict is the height of the ground at a point and one standard deviation
	// of what is not known about it, m.
	Predict(p orb.Point) (z, sd float64)

	// Covers reports whether a point lies where the surface is drawn.
	Covers(p orb.Point) bool

	// Grid draws both on a frame; Heights the surface alone.
	Grid(f terrain.Frame) (z, sd *terrain.Grid[float32])
	Heights(f terrain.Frame) *terrain.Grid[float32]

	// LeaveOneOut predicts every shot from the others.
	LeaveOneOut() Validation

	// Blocks predicts the shots of one of k parts of the site after another
	// from all others; 10 parts if k is 0.
	Blocks(k int) (Validation, error)
}

var (
	_ Surface = (*Model)(nil)
	_ Surface = (*Triangles)(nil)
)
