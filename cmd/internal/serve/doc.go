// Package serve is the local page on which a site is planned.
//
// # Model
//
// The program reads the site once, keeps its ground ready and answers a page
// in the browser of the same machine. The page holds what the grower has
// changed and sends all of it with every question, so two pages on one site
// do not disturb each other and the server has nothing to lose. Water is drawn
// by the page: it has the ground, the hollow each cell drains to and the course
// of the level over the floor of each, which is all there is to know.
//
// # Safety
//
// The server listens on the loopback address alone unless told otherwise, and
// then wants a key that works once. A question whose Host is not the address
// served, or that another site's page asks, is refused. Bodies, connections,
// uploads and times are bounded. A save is a new file in the place of the old
// one, whole or not at all, and never over a change made meanwhile.
//
// # Units
//
// Metres in the system of the ground, hours from the start of the rain,
// millimetres of rain.
package serve
