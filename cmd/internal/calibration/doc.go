// Package calibration holds the odds of the program against made sites whose
// truth is known.
//
// # Model
//
// A site is 120 cells a side of low flat ground: a plane that falls 1 to 5 in
// 1,000, waves of all lengths from 3 m on, 2 to 6 cm high, and on it bowls and
// knolls, raised beds, a ditch and a bank, a winding swale, or nothing more. Of
// four sites three are seen through a raster with an error that neighbours
// share, 3 to 8 cm, its range 5 to 20 m, and noise from cell to cell; the fourth
// through a level survey of some 150 shots good to 0.5 to 2 cm. What soaks in
// and how wet the ground was before the storm are drawn from what the program
// believes of the soil that is named.
//
// None of these grounds is the random surface that the program takes ground
// for. The error of a raster is what is stated.
//
// The program answers as it does for a grower: packages field and odds, the
// ground, the soil and the wetness before the storm drawn. Against it stand the
// single surface, the likeliest, with the median soil, as yes or no; and the
// naive answer, which adds the error to a raster that has it already. Scored
// are trees on a lattice, by whether water deeper than a centimetre stands
// there at any time in the storm, and the volume of hollows: of each that the
// single surface shows, found again in the truth as in the draws, and of all of
// a site together. Of a hollow, interval and mean are those the program tells,
// with its allowances, and those of the draws alone. The allowances were found
// on made sites of another seed ([Allowance]), so that no truth that is scored
// is in them; but they are made alike. A site's hollows and trees go together,
// so that how well a figure is known follows from how it scatters from site to
// site.
//
// # Units
//
// Metres, cubic metres, millimetres of rain, hours.
//
// # Limits
//
// The mix of grounds is invented; another would score otherwise. The storm is
// known, and the stated error true. Allowances put right what is wrong on
// average over the mix, not on each kind of ground: rolling ground gets too
// much by them and lone bowls too little.
package calibration
