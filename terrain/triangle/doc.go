// Package triangle joins points to triangles and reads heights off them.
//
// # Model
//
// The triangulation is that of Delaunay: no point lies inside the circle
// through the corners of a triangle, so the triangles are as little slender
// as they can be. Edges that must be there, such as a ditch bottom, are kept
// as they are; then the rule holds for every point that can be seen from the
// triangle without looking across such an edge (constrained Delaunay). The
// ground on a triangle is the plane through its corners.
//
// Which side of a line a point lies on, and whether it lies inside a circle,
// is decided exactly: in plain arithmetic where its error bound allows,
// otherwise in expansions of several numbers that lose nothing. So points in
// a line, points on a circle and points a hair apart are no trouble.
//
// # Units
//
// Coordinates and heights in metres, in a projected or local system.
//
// # Limits
//
// Coordinates go up to 1e8 m and are held to 2⁻⁴⁰ m (a trillionth of a
// metre). Where four points lie on one circle, as on any regular grid, two
// triangulations are right and which of them comes out follows from the
// places of the points alone. Outside the convex hull nothing is known.
//
// Points are put in along a Hilbert curve (Bowyer–Watson); then edges by
// flips (Sloan). Time goes with n log n: 100,000 points took a sixth of
// a second and 20 MB, a million two and a half seconds and 134 MB.
//
// # References
//
//   - Bowyer, A. (1981). Computing Dirichlet tessellations. The Computer
//     Journal 24(2), 162–166. Watson, D.F. (1981), same volume, 167–172.
//   - Lawson, C.L. (1977). Software for C1 surface interpolation. In
//     Mathematical Software III, Academic Press, 161–194. (flips)
//   - Sloan, S.W. (1993). A fast algorithm for generating constrained
//     Delaunay triangulations. Computers & Structures 47(3), 441–450.
//   - Shewchuk, J.R. (1997). Adaptive precision floating-point arithmetic and
//     fast robust geometric predicates. Discrete & Computational Geometry 18,
//     305–363.
package triangle
