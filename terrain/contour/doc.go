// Package contour draws lines of equal elevation over a terrain grid.
//
// # Model
//
// The ground is known at the middle of each cell and taken as straight along
// the line between two neighbouring middles. A contour crosses that line where
// the straight ground has its level, and runs straight through the square
// between four middles: marching squares, after Lorensen and Cline (1987)
// brought down to two dimensions. A middle exactly at a level counts as above
// it.
//
// Where two opposite corners of a square are above the level and two below,
// the square is a saddle and the grid alone does not say which pair belongs
// together. The mean of the four corners decides: at or above the level, the
// two high corners are joined. The rule is the same for every level, so lines
// of different levels never cross.
//
// # Units
//
// Elevations and coordinates are metres. Intervals are tidy in the units a
// reader uses, metres or feet of 0.3048 m.
//
// # Limits
//
// A square with a void at a corner has no contour; lines end there. A line is
// as good as the ground it is drawn on: on noisy ground, smooth the ground
// first. [Round] is for the eye alone and moves lines by up to a quarter of a
// cell.
//
// # References
//
//   - Lorensen, W.E., Cline, H.E. (1987). Marching cubes: a high resolution 3D
//     surface construction algorithm. Computer Graphics 21(4), 163–169.
//   - Chaikin, G.M. (1974). An algorithm for high-speed curve generation.
//     Computer Graphics and Image Processing 3(4), 346–349.
package contour
