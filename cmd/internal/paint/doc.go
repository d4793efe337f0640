// Package paint draws lines, areas and words into a picture or onto a page.
//
// # Model
//
// A [Canvas] is an opaque picture. Everything is a [Path]: areas are filled
// by it, lines are widened into one, words are the outlines of their letters.
// A path covers part of each pixel it touches and is mixed in by that part.
// Paths drawn together count as one: where they overlap, colour is not laid
// twice.
//
// A [Page] is a sheet of paper that keeps paths and words as such. Both are a
// [Drawing], so that what is drawn once can be looked at and printed.
//
// # Units
//
// Pixels on a canvas, with (0, 0) the outer corner of the first pixel, and
// millimetres on a page, with (0, 0) the corner of the sheet; x to the right
// and y down. Angles are radians, clockwise as seen.
//
// # Limits
//
// Colours are mixed as the numbers they are stored in, which is how screens
// and browsers do it. Letters are those of the Go fonts: Latin, Greek and
// Cyrillic; any other is an empty box.
package paint
