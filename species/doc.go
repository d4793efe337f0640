// Package species knows what trees bear: how long each lives with its roots
// under water, who says so, and what that makes of a spot in a field.
//
// # Model
//
// A species has a tolerance in days of saturated root zone in the growing
// season (low, likely, high), put together from sources that often disagree.
// The sources, their own words and their clashes are kept beside the figure.
// A spot has what the ground says of it. Judge holds the two together: how
// much water the spot sees, in five steps from dry to deep (Exposure), against
// the class of the species. Time is not in it: Judge knows that a hollow can
// fill, not how long it stays so.
//
// # Classes
//
// The words of the sources are read as one of five classes:
//
//	class        days    stands for  UF/IFAS     Forest Service  South Dakota  index     PLANTS
//	no wet feet  0-2     1           not         sensitive                     to 1.5    none
//	short soak   3-7     4           moderately                  low           to 2.5    low
//	wet spell    8-30    14          tolerant    moderately      intermediate  to 3.5    medium
//	wet season   31-120  45                      tolerant        high          to 4.5    high
//	swamp        121 up  180                                                   above
//
// What UF/IFAS HS202, the Forest Service list and South Dakota mean in days
// was read there. The day meanings of the waterlogging index of Niinemets and
// Valladares (2006) are from memory. PLANTS gives words with no days. Laying
// them side by side, and the figure that stands for a class, are common
// practice. The class of each species is our reading of all its facts, trials
// and field floods before extension classes before the index before PLANTS
// and ECOCROP words before wetland ratings; the reason is kept with it.
//
// # Days
//
// The likely days are the figure that stands for the class. A day count read
// in a source can lower it, as far as the edge of the class, and never raise
// it: trees in pots are spared the root rots that kill in the field. Low and
// high are the edges of the class where confidence is high, the figures of
// the classes on either side where it is medium, and of one class below and
// two above where it is low; then they are widened to take in every day count
// for established trees in leaf. Counts from cool seasons, special rootstocks
// and whole submersion are kept as facts and left out of the range.
//
// # Facts and figures
//
// Each figure of an Entry is drawn from the first of its Facts of that kind;
// of heights and spacings the likely one is the middle. The facts of an Entry
// stand in the order of trust, a grower's own before all others.
//
// # Units
//
// Days, metres, degrees Celsius. Percentiles run from 0 to 100.
//
// # Limits
//
// Expect an error of one class either way. Survival is not a crop. A rule of
// thumb or a figure from memory is marked so, wherever it is shown. Cultivars
// and rootstocks can move a crop by a class or two and are not told apart.
// Fresh water only: days do not hold for floods of salt water.
//
// # References
//
//   - Crane, J.H., Balerdi, C.F., Schaffer, B. Managing Your Tropical Fruit
//     Grove under Changing Water Table Levels. UF/IFAS Extension HS202.
//   - Niinemets, Ü., Valladares, F. (2006). Tolerance to shade, drought, and
//     waterlogging of temperate Northern Hemisphere trees and shrubs.
//     Ecological Monographs 76(4), 521–547.
//   - All others in data/sources.csv.
package species
