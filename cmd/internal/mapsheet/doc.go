// Package mapsheet draws an assessed site as one picture to print or carry:
// shaded ground, contours, hollows with the water of a storm, the ways water
// runs, rows, and every planned tree by its risk.
//
// # Model
//
// The sheet takes the shape of the site, between two wide to one high and the
// proportion of a paper sheet (1 to √2) upright; a long narrow site is laid
// out in several strips. All the known ground is shown unless that would draw
// the planting more than 2.5 times smaller; then it is the planting, the whole
// of every hollow that holds a tree with the place where it spills, and the
// spot heights around them.
// What is drawn over the ground comes from it by these rules:
//
//   - Shading and contours follow the ground smoothed for its noise, with
//     heights exaggerated just enough that flat land shows relief; the sheet
//     says by how much. The contour interval is no finer than the error of the
//     ground allows ([wetfeet/terrain/contour.Trust]).
//   - A hollow is tinted by the depth of the water that stands in it when the
//     rain ends, where it is wet by the rule of [wetfeet/cmd/internal/brim];
//     dashes show its brim where the water does not reach it. Without a storm
//     it is tinted as when it is full. Its number is that of words and tables; a
//     mark shows where it spills.
//   - Flow lines end at the brim of a hollow and short of the rim of
//     the known ground, along which water leaves everywhere.
//   - Ditches of the plan are drawn as their two banks and pipes as dashes.
//   - Labels never overlap one another or a tree. The names of rows come first,
//     then those of ditches and pipes, flagged trees in order of risk, hollows
//     and contours.
//     The label of a hollow lies in its pool or beside it, never across its edge.
//     What finds no room is left out and the legend says how many were.
//
// The legend holds the classes that are on the sheet and no others.
//
// # Units
//
// Results are in metres, the sheet is lettered in the units of the site, and
// sizes on it are pixels of a sheet 2400 wide, scaled to the width asked for.
//
// # References
//
//   - Horn, B.K.P. (1981). Hill shading and the reflectance map. Proceedings
//     of the IEEE 69(1), 14–47.
package mapsheet
