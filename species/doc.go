// Package species knows what trees bear: how long each lives with its roots
// under water, who says so, and what that makes of a spot in a field.
//
// # Model
//
// A species has a tolerance in days of saturated root zone in the growing
// season (low, likely, high), put together from sources that often disagree.
// The sources, their own words and their clashes are kept beside the figure.
// A spot has what the ground says of it. Judge holds the two together.
//
// # Units
//
// Days, metres, degrees Celsius. Percentiles run from 0 to 100.
//
// # Limits
//
// Expect an error of one class either way. Survival is not a crop. A rule of
// thumb or a figure from memory is marked so, wherever it is shown.
package species
