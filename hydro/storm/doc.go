// Package storm sends the water that a storm leaves on the ground into the
// hollows and says how deep it stands, where, and for how long.
//
// # Model
//
// What runs off each cell runs to the hollow its steepest way down leads to,
// and gathers there. A hollow that is full spills into its neighbour; two that
// are full on both sides of their saddle become one and rise together; what
// reaches the rim leaves the site. This is the hierarchy of depressions of
// Barnes, Callaghan and Wickert, over the exact storage of the cells.
//
// [Site.Fill] takes no time: all of the water has come down and nothing has
// gone. The order in which it comes cannot matter, since where a drop goes is
// decided only by which hollows are full, and they stay so. [Site.Rise] walks
// from hollow filled to hollow filled while the runoff rises and so knows what
// depth of it wets each place first.
//
// [Site.Run] takes time. Runoff comes in steps of even intensity; standing
// water sinks by what soaks in, what evaporates and what outlets carry, and a
// pond that falls to its inner saddle parts into two that dry apart. Between
// two events (a cell gets wet or dry, a hollow is full, ponds join or part, a
// step ends) every level moves along a straight line, so nothing is stepped
// through and nothing is lost: what came equals what stands, left, soaked in
// and evaporated.
//
// Where water stands the soaking and the evaporation act on its surface, so a
// level without inflow sinks at their sum whatever the shape of the hollow. At
// a level where gains and losses change places water stays: a pond whose
// inflow wets one cell more than it can keep wet stands at that cell.
//
// The roots of a tree count as wet while water stands above its crown, and
// after that until the drainable water of the root zone has left it at an even
// rate: [Roots].
//
// # Ditches, pipes and culverts
//
// A [Link] with no limit is as good as a notch in the ground: above its bottom
// level its two ends hold their water in common, and one to the outside is
// where its hollow spills. A link with a capacity carries that much, m³/s,
// while the water stands above its level, and whatever comes while it stands
// at the level; it takes no part in Fill, which takes no time. It may not lead
// into a hollow that can stand above its level: backwater is not modelled.
//
// # Units
//
// Elevations, levels and depths of standing water are metres, areas square
// metres, volumes cubic metres. Runoff, like rain, is millimetres, soaking and
// evaporation are millimetres an hour, times are hours from the start. The
// capacity of a link is cubic metres a second.
//
// # Limits
//
// Water runs to the hollows at once. What runs over ground between hollows
// does not soak in on the way. Ponds do not soak in through their banks. Rain
// on a pond is part of the runoff of its catchment; where soaking into dry
// ground is taken off the rain, it is taken off there too. The rate at which
// water soaks in is one for all of a hollow, and stays what it is until the
// room in the soil, if a limit is given, is used up; that room does not come
// back in the same run. The room of a pond is a depth of soil under all the
// ground that it has stood on, used up by whatever soaks in, wherever it does:
// water under a bank that was wet for an hour is taken to find its way below
// the floor. So soil too fast to hold water back lets it stand lower and wet
// less ground, and may in the end take less than slow soil does.
//
// # References
//
//   - Barnes, R., Callaghan, K.L., Wickert, A.D. (2020). Computing water flow
//     through complex landscapes – Part 2: Finding hierarchies in depressions
//     and morphological segmentations. Earth Surface Dynamics 8, 431–445.
//   - Barnes, R., Callaghan, K.L., Wickert, A.D. (2021). Computing water flow
//     through complex landscapes – Part 3: Fill–Spill–Merge: flow routing in
//     depression hierarchies. Earth Surface Dynamics 9, 105–121.
//   - Chu, X., Yang, J., Chi, Y., Zhang, J. (2013). Dynamic puddle delineation
//     and modeling of puddle-to-puddle filling-spilling-merging-splitting
//     overland flow processes. Water Resources Research 49, 3825–3829.
//   - Filippov, A.F. (1988). Differential equations with discontinuous
//     righthand sides. Kluwer: what a level does where its rate jumps.
package storm
