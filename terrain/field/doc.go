// Package field draws equally likely grounds: what the ground may be given a
// raster with an error, or given shots, rather than a raster with more error
// added to it.
//
// # Model
//
// Error added to a raster that has error already lowers the rims of hollows a
// second time, and costs ponds a fifth to a third of their storage. So the
// draws here are of the true ground given the data. Both are Gaussian:
//
//   - [OfRaster]: raster = ground + error, the error exponential in space with
//     some noise from cell to cell. The ground given the raster has the
//     spectrum SN/(S+N) about the raster filtered by S/(S+N), with S the
//     spectrum of the ground and N that of the error. S is drawn too, from
//     those that are as likely as each other given the raster, by wavenumber
//     and direction: taken for known, it makes draws too sure. Waves that stand
//     out of the rest, as of furrows, have an energy of their own; and where the
//     ground stands out of the error far more than elsewhere, as at a bank, a
//     ditch or a pit, it has a spectrum of its own. [Draws.Agree]
//     then brings the draws to shots, by one S.
//   - [OfSurvey]: universal kriging of shots. A draw is the kriged ground and
//     how far a field of the same covariance is off when kriged from the same
//     places (Matheron). The covariance may be drawn too, from those that are
//     as likely as each other given the shots.
//   - [OfSpread]: a mean and a standard deviation of its own in every cell, for
//     what fits neither.
//
// Fields are made by circulant embedding: a transform of white noise on a torus
// with room for the ground and twice the reach of the covariance, two fields at
// a time.
//
// # Random numbers
//
// A pair of draws follows from the seed and its number alone, so the same
// draws come out at any number of threads and in any order.
//
// # Units
//
// Metres. Draws are float32, as grids are. A void is NaN and stays one.
//
// # Limits
//
// One covariance holds for the ground of a whole survey, and two for that of a
// raster: of what is loud and of the rest. Draws brought to shots scatter by
// that of the rest alone, and are too sure where the ground is loud. That of
// a raster's error is taken for known. Rolling ground keeps the storage of its
// hollows, within a few per cent where the error's range is well within the
// site. A lone hollow with a crisp rim on even ground does not: the spectrum of
// the whole says that such a thing is rare, and the draws round it off. The
// bowl of the tests, of 70 m³, holds a third of that where the error is 2 cm
// and hardly any where it is 5 cm, range 15 m. What is left
// of a lone bank or ditch in the spectrum of the rest still roughens the draws
// everywhere a little.
// At the rim of a raster and beside voids, as far as the error reaches, draws
// are a little too sure: they scatter as if the raster went on. A draw is drawn
// at the middles of cells.
//
// # References
//
//   - Wiener, N. (1949). Extrapolation, Interpolation, and Smoothing of
//     Stationary Time Series. MIT Press.
//   - Whittle, P. (1953). Estimation and information in stationary time
//     series. Arkiv för Matematik 2, 423–434.
//   - Dietrich, C.R., Newsam, G.N. (1997). Fast and exact simulation of
//     stationary Gaussian processes through circulant embedding of the
//     covariance matrix. SIAM Journal on Scientific Computing 18(4), 1088–1107.
//   - Wood, A.T.A., Chan, G. (1994). Simulation of stationary Gaussian
//     processes in [0, 1]^d. Journal of Computational and Graphical Statistics
//     3(4), 409–432.
//   - Journel, A.G. (1974). Geostatistics for conditional simulation of ore
//     bodies. Economic Geology 69, 673–687. (conditioning by kriging, after
//     Matheron)
//
// The references are given from memory.
package field
