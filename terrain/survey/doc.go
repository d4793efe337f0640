// Package survey makes ground out of a grower's own spot heights: it reads
// them from a table, and breaklines from another, fits a surface through them
// and says how far off that surface may be; it names shots that look wrong,
// brings a raster to the shots, merges surveys of several days and says where
// to hold the staff next.
//
// # Model
//
// The ground is a plane (or a level) plus a random surface that is alike at
// points near each other, seen through the error of the instrument:
//
//	z(p) = trend(p) + s(p),   shot = z + error
//
// The random surface is Gaussian, with a covariance that falls with distance
// (Matérn 3/2, exponential or spherical). What is reported at a point is its
// mean given the shots and the standard deviation about that mean: universal
// kriging with the nugget taken as error of the shots, so that the surface
// passes by a shot within its error, and through it when it has none. The
// standard deviation is that of the ground; a new shot there would scatter
// more, by its own error.
//
// Sill, range and nugget are those of greatest restricted likelihood (REML),
// which unlike plain likelihood does not take the trend for known. A range
// that is longer in one direction is fitted too, and kept where the ratio of
// the likelihoods is beyond what chance gives once in a hundred times.
//
// # Breaklines
//
// Ditch bottoms, bank tops, bed edges and walls are lines the surface does not
// smooth across. Each line lifts the ground to its left and lowers that to its
// right, in a dimension of its own, by half the way round its nearer end, and
// distances are measured there: two points on either side of a line are then
// as far apart as a walk round it, and the covariance remains one (see the
// type barrier). A line with heights is held at them from both sides, at
// stations a third of the shots' spacing apart, so that the ground is
// continuous but creased; a line without heights may be a step. The
// covariance is learnt from the shots alone.
//
// [Triangulate] has the lines for edges of triangles: a check on the kriged
// surface, and the choice where lines say most. [BendPlate] is a check too; a
// thin plate sees no lines, but assumes nothing that kriging does.
//
// # Size
//
// Up to 300 shots the likelihood is that of all of them; above, it is that of
// blocks of neighbours, taken as independent of each other but for one common
// trend, from at most 16 blocks spread over the site. Up to 3,000 shots the
// surface is solved at once by Cholesky. Above that, and for the standard
// deviation on a grid above 250 shots, the site is cut into patches, each
// solved with the 160 shots nearest to it and blended smoothly into the next,
// so that the surface has no steps and memory does not grow with the square
// of the shots.
//
// # Units
//
// Metres: coordinates in a projected or local system, heights, errors (one
// standard deviation). Sill and nugget are variances, m². Tables and lines may
// be in degrees of longitude and latitude; they must be projected before a
// surface is fitted.
//
// # Limits
//
// One covariance holds for the whole site, and the surface knows nothing of
// ditches and banks that no shot and no line was taken on. The standard
// deviation takes sill, range and nugget for known and so is a little too
// small where shots are few; [Model.Likely] tells which others there are. At
// least three shots not in a line are needed; with fewer than 12 the range is
// not fitted but set to a third of the site's breadth, with fewer than 40 it is
// the same in all directions. Where a range is long against a short line,
// distances close to the line are drawn out by up to two fifths.
//
// # References
//
//   - Matheron, G. (1963). Principles of geostatistics. Economic Geology 58,
//     1246–1266. (variogram, kriging)
//   - Patterson, H.D., Thompson, R. (1971). Recovery of inter-block
//     information when block sizes are unequal. Biometrika 58, 545–554.
//     (restricted likelihood)
//   - Cressie, N. (1985). Fitting variogram models by weighted least squares.
//     Mathematical Geology 17, 563–586.
//   - Dubrule, O. (1983). Cross validation of kriging in a unique
//     neighborhood. Mathematical Geology 15, 687–699. (leave-one-out in
//     closed form)
//   - Rasmussen, C.E., Williams, C.K.I. (2006). Gaussian Processes for Machine
//     Learning. MIT Press. (algorithm 2.1, section 2.7)
//   - Butler, H. and others (2016). The GeoJSON Format. RFC 7946.
package survey
