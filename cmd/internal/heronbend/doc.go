// Package heronbend makes the ground of Heron Bend, an orchard that does not
// exist, so that the program has somewhere to be tried where the true ground
// is known.
//
// # Model
//
// An old river terrace that falls half a metre in a hundred, a little east of
// south, is the sum of named shapes: a swale left by the river, a farm track
// on a low bank that dams it, a wide shallow hollow with two deeper bowls in
// its floor, a small hollow by itself, a knoll, a planting bed and the riser
// down to the flood plain. Ground is that sum and is smooth. What a surveyor
// would hand over is Ground with error: Raster adds white noise of 3 cm to
// every cell of half a metre, Shots gives 120 spot heights good to 1 cm.
//
// # Units
//
// Metres throughout. Coordinates are in EPSG:32614; u and v are metres east
// and north of the orchard's south-western corner.
//
// # Limits
//
// Place, rows and planting are invented, and whatever lies on earth at these
// coordinates has nothing to do with them. White noise is the plainest error
// a raster can have: real error hangs together over metres.
package heronbend
