// Package hydro sends water downhill over a terrain grid and says where it
// gathers.
//
// # Model
//
// The ground is a surface known at the middle of each cell. Water on a cell
// runs to lower cells among its eight neighbours. The rim of the grid and
// every void let water out: a cell beside them drains to its lower neighbours
// like any other, and water with no lower neighbour leaves there. Ground that
// holds water is never filled away: a hollow is the answer, not an error.
//
// Elevations are ordered by (level, cell index) everywhere, so that all steps
// agree on ties and neither threads nor machines show in the result.
//
// # Units
//
// Elevations, depths and distances are metres, areas square metres, volumes
// cubic metres. Slopes are rise over run. A void is NaN, and NaN in gives NaN
// out.
//
// # Limits
//
// Water takes no time and does not soak in: what this package calls wet is a
// leaning of the ground and not a forecast. A ditch narrower than a cell is
// not seen. Cells are square and lie in a projected system.
package hydro
