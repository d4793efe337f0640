// Package begin makes a site out of the files a grower has: it finds out what
// each of them is, asks four questions, and writes a folder with a site file
// that can be assessed.
//
// # Model
//
// A file is told by what is in it and not by its name: an elevation raster, a
// table of spot heights, a field book, planned positions, an outline, a list
// of species, or a table of the grower's own species. Each is then read by the
// package it is for, so that what is wrong with it is told before anything is
// written.
//
// The questions are where, which soil, which storm and which trees. What is
// not answered is taken, and the site file says so beside it. Trees that have
// no positions are laid out in rows along the longer side of the known ground:
// of the smallest rectangle around it, in whatever direction. The list of
// species repeats along the rows. Any two neighbours have half of what each
// wants between them; rows are as far apart as the widest wants. That is
// common practice, no source, and something to begin with, not a planting
// plan.
//
// # Units
//
// Metres, millimetres of rain, in Answers and in what a Draft holds. The site
// file has the units of the grower.
//
// # Limits
//
// A raster has at most 512 MiB here, a table 64 MiB, and there is at most one
// file of each kind but for lists of species. Rows hold at most 2,000 trees and
// are at most 250 m long: where the ground is larger they lie in its middle.
package begin
