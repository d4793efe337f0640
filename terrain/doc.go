// Package terrain holds the ground: elevations on a grid, where that grid
// lies, and the plain geometry of its surface.
//
// # Model
//
// The ground is a surface known at the middle of each square cell. Rows run
// from north to south and columns from west to east, as a map is read. A cell
// that nobody measured is a void: NaN for numbers.
//
// # Units
//
// Coordinates, cell sizes and elevations are metres in a projected system.
// Slopes are rise over run, never degrees.
//
// # Limits
//
// Cells are square and the grid is not rotated. A feature narrower than a
// cell is not seen. The packages below this one bring grids in from files
// ([wetfeet/terrain/raster]) and from a surveyor's notes
// ([wetfeet/terrain/survey]); this one needs neither and builds without C.
package terrain
