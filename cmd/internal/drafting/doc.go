// Package drafting is what every drawn sheet needs, whatever it is of: room
// for labels that do not overlap, lines broken where their labels stand, scale
// bars and north arrows.
//
// # Model
//
// A label is a [Box], which may be turned. What is drawn takes its boxes in a
// [Placement], the most important first; what comes later looks for room that
// is still free. A [Walk] goes along a drawn line by its length and finds where
// it is straight enough for a label.
//
// # Units
//
// Those of the drawing, pixels or millimetres, x to the right and y down, as
// in [wetfeet/cmd/internal/paint].
package drafting
