// Package look is how things look wherever the program draws them: the
// colours, shapes and words of risk, depth of water, flow, ground and error, the
// same on map, page, sheet and screen.
//
// # Model
//
// Risk is told by shape first, then by lightness, then by hue: a plan printed
// in grey or read by a colour-blind grower in the sun says the same. Depth of
// water runs from light to dark blue. All ink is dark and has a light halo
// where it lies over anything but paper. The tests of this package hold every
// pair that meets to the contrast asked by the Web Content Accessibility
// Guidelines 2.2 (W3C, 2023), criteria 1.4.3 and 1.4.11, and the risk colours
// to a least distance under full protanopia, deuteranopia and tritanopia.
//
// # Units
//
// Depths are metres, catchments square metres. Shapes are drawn in a square
// from −10 to 10, y down, and are scaled from there.
package look
