// Package plansheet draws a contour plan on one sheet of paper, as a picture
// or as PDF: contours, spot heights, breaklines and all that a contractor has
// to know before trusting them.
//
// # Model
//
// The sheet is true to scale: a metre of ground is the same length all over it,
// and the scale is one of those that scale rules have, the largest at which the
// ground fits. A check bar tells whether the printer kept it. What is drawn
// follows these rules:
//
//   - The contour interval is no finer than the error of the surface allows
//     ([wetfeet/terrain/contour.Trust]); where the surface is worse than the
//     interval asks for, contours are broken lines.
//   - A long narrow site is turned along the sheet and laid out in strips where
//     that makes the scale a good deal larger. The arrow then shows where north
//     is.
//   - Labels do not overlap each other or a spot height. Contours on which
//     others are counted come first, then spot heights, spread evenly, then the
//     other contours. What finds no room is left out and the sheet says so.
//   - Every kind of line differs by its shape and not by colour alone, so that
//     a black-and-white print or copy says the same.
//
// # Units
//
// The ground is metres, the sheet millimetres; it is lettered in the reader's
// units. No word is smaller than 7 points, none on the plan smaller than 8.
//
// # References
//
//   - ISO 5455:1979. Technical drawings — Scales. (1, 2 and 5 times powers of
//     ten; 1:250, 1:1250 and 1:2500 are common practice beside them, no source.
//     So are the scales in feet, whole tens of feet to the inch.)
package plansheet
