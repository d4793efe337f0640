// Package soil says what of the rain soaks into the ground and what runs over
// it, and how fast standing water sinks.
//
// # Model
//
// Two models of loss part rain into what the ground keeps and what is left
// over. [Curve] is the runoff curve number of the NRCS: one number for soil
// and cover, no rate, the usual choice where the soil is known by name alone.
// [GreenAmpt] is a sharp wetting front drawn down by its own weight and by
// suction; it knows about intensity, about standing water and, by [Column],
// about the rest between two bursts of rain. Both are a [Loss].
//
// What is known of a soil is a [Known]: its texture, its hydrologic group, a
// measured rate, or some of them. A measured rate wins over every table. How
// fast water sinks is a [Rate], a log-normal with the doubt that its source
// deserves: textures give the order of magnitude and little more.
//
// # Units
//
// Rain, runoff, suction and water in the soil are millimetres, rates are
// millimetres an hour, times are hours. Contents and shares are fractions. The
// field tests take lengths in millimetres and times in hours.
//
// # Limits
//
// The ground is not frozen, cracked, crusted or water repellent. The curve
// number was made for whole storms on small watersheds; along a storm it says
// when water runs off only roughly, and below half an inch of runoff it is
// weak. Green-Ampt knows one soil, the same all the way down, over water as
// deep as [GreenAmpt] is told. Against Richards' equation on soils without an
// air-entry zone it let 7 to 22 % too much in; what a rest of 6 to 48 hours gave
// back was right to 7 %.
//
// # References
//
//   - Natural Resources Conservation Service (1986). Urban hydrology for small
//     watersheds. Technical Release 55, chapter 2 and appendices A and F.
//   - NRCS. National Engineering Handbook, part 630: chapter 7 (2009),
//     hydrologic soil groups; chapter 10 (2004), direct runoff.
//   - Hawkins, R.H. et al. (2002). Runoff curve number method: examination of
//     the initial abstraction ratio. 2nd Federal Interagency Hydrologic
//     Modeling Conference, Las Vegas.
//   - Green, W.H., Ampt, G.A. (1911). Studies on soil physics, part 1. Journal
//     of Agricultural Science 4(1), 1–24.
//   - Mein, R.G., Larson, C.L. (1973). Modeling infiltration during a steady
//     rain. Water Resources Research 9(2), 384–394.
//   - Rawls, W.J., Brakensiek, D.L., Miller, N. (1983). Green-Ampt infiltration
//     parameters from soils data. Journal of Hydraulic Engineering 109(1),
//     62–70.
//   - Ogden, F.L., Saghafian, B. (1997). Green and Ampt infiltration with
//     redistribution. Journal of Irrigation and Drainage Engineering 123(5),
//     386–393.
//   - Chow, V.T., Maidment, D.R., Mays, L.W. (1988). Applied Hydrology.
//     McGraw-Hill, chapters 4 and 5.
//   - Reynolds, W.D., Elrick, D.E. (1990). Ponded infiltration from a single
//     ring: I. Analysis of steady flow. Soil Science Society of America
//     Journal 54(5), 1233–1241.
package soil
