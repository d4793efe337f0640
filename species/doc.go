// Package species knows what trees bear: how long each lives with its roots
// under water, who says so, and what that makes of a spot in a field.
//
// # Model
//
// A species has a tolerance in days of saturated root zone in the growing
// season (low, likely, high), put together from sources that often disagree.
// The sources, their own words and their clashes are kept beside the figure.
// A spot has what the ground and its water say of it. Judge holds the two
// together: the days the roots are wet, in and after a storm and on end in the
// median year of a rain record, the longer of them, against the days borne.
// Water deeper than the days were seen in makes the risk a step worse, water
// over the head of a young tree takes it for lost. A second measure
// speaks also where no water stands: ground that is among the wettest of the site by its
// wetness index and does not lie high above the water it drains to. A third is
// a water table nearer than the species wants. The worst of the three counts.
//
// What is judged is a tree newly planted, in leaf, in still water and sound soil of
// 20 °C, unless Conditions say otherwise: a new planting bears half the days of
// an established one. The days of an Entry and of Explain are those of the
// established tree. A spell of the median year counts hour by hour (HourWeight)
// where the season is known.
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
// # Odds
//
// Given the water of the spot on many equally likely sites (Odds), the verdict
// is the probability that the tree is lost. Of each site the dose is taken:
// the hours the ground is wet on end, as the mean over the 0.3 m under the root
// crown (RootHours), so that a mound counts by the roots it lifts out. Where
// the worst spell of a usual year counts for more than that of the storm, it is
// the dose (Usual). What the tree bears is a distribution of days
// (Tolerance): low, likely and high of the Entry are taken as the days in which
// one tree in ten, half and nine in ten are lost, the logarithm being normal
// with one spread under the likely figure and another above it, and with tails
// of one spread for all species. A new planting bears half of it, a tree three
// years in the ground all; an hour in soil at T °C weighs 2^((T-20)/10) of one
// at 20 °C (Warmth), in the tropics never less than 1; rest, moving water, root
// rot and a known rootstock move it as Conditions say. Water deeper than the
// days are known for shortens them, to those of the class below where it
// reaches the graft, and makes at least a moderate risk; over the head of a
// young tree it is taken for lost, 9 in 10, but for one of the swamp.
// The mean over the sites is the probability, and RiskOf its class: moderate
// from 0.10, high from 0.30, severe from 0.60.
//
// The distribution is what is not known of the species as much as how its
// trees differ. No published curve from hours, warmth and depth to death was
// found for orchard trees: the shape, the thresholds and most factors are
// common practice and say so; the tests hold them against the floods of which
// days and losses were printed, one by one. It gives four in five of them
// within its spread, and is on the cautious side: the trees of those trials,
// chosen in hope and mostly spared the rots of the field, bore about twice
// the days that it gives them. Where odds are given the wetness
// index of the ground is not asked, as the draws know better; the water table
// of the wet season is, as they do not know it.
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
// and rootstocks can move a crop by a class or two and are not told apart, but
// for the few rootstocks of which a flood was read.
// Fresh water only: days do not hold for floods of salt water.
//
// Where nobody says when a storm comes, its days are those of the growing season
// in warm soil: dormant trees of temperate species, and citrus in cool soil, bear
// weeks where they would be flagged then; hot soil shortens the days of all.
// But by odds, a root zone wet in part counts as wet. Repeated short floods,
// with too little time between them to recover, count no more than the longest.
//
// # References
//
//   - Crane, J.H., Balerdi, C.F., Schaffer, B. Managing Your Tropical Fruit
//     Grove under Changing Water Table Levels. UF/IFAS Extension HS202.
//   - Niinemets, Ü., Valladares, F. (2006). Tolerance to shade, drought, and
//     waterlogging of temperate Northern Hemisphere trees and shrubs.
//     Ecological Monographs 76(4), 521–547.
//   - Oosterbaan, R.J. (1994). Agricultural drainage criteria. In Ritzema,
//     H.P. (ed.), Drainage Principles and Applications, ILRI Publication 16,
//     chapter 17.
//   - Kozlowski, T.T. (1984). Flooding and Plant Growth. Academic Press. From
//     memory.
//   - Ponnamperuma, F.N. (1972). The chemistry of submerged soils. Advances in
//     Agronomy 24, 29–96. From memory.
//   - All others in data/sources.csv.
package species
