// Package relief says what it takes to let water out of a hollow, and where
// that water goes.
//
// # Model
//
// A hollow is relieved by a ditch whose bottom lies so far below the level at
// which it spills, or by a pipe from its floor. Either leads, over the way that
// takes the least digging, to lower ground: to the first cell that is no higher
// than the bottom of the cut and from which water runs to another hollow or
// off the site, or to the rim. That way is found by Dijkstra's method over the
// cells with their eight neighbours, the volume dug from each to the next being
// the cost; where water stands at the level of the cut anyway there is nothing
// to dig. With a fall the bottom lies the deeper the longer the way, which is
// followed along each way as it is found, so that a way somewhat cheaper may be
// missed; without, the way is the cheapest there is.
//
// What it does is found by sending the same storm over the site with and
// without it, as a [storm.Link]: how much less stands in the hollow when the
// rain ends, how much of that then stands in other hollows and how much has
// left the site, and how fast it leaves. A hollow below may drown what stood
// dry: the water is not gone.
//
//	Dijkstra, E.W. (1959). A note on two problems in connexion with graphs.
//	Numerische Mathematik 1, 269–271.
//
// # Units
//
// Elevations, levels, depths and lengths are metres, volumes cubic metres,
// rates of flow cubic metres a second.
//
// # Limits
//
// A ditch carries whatever comes, whatever its width; a pipe does up to its
// capacity. The rate at which water leaves is the mean over each step of the
// storm, of water that takes no time on its way. A way that takes the least
// digging on ground with an error winds through the lowest of that error, so
// that a straight ditch takes somewhat more. Whether it may be dug, and what is
// buried there, the ground does not tell.
package relief
