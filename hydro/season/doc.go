// Package season carries a weather record of many years through the soil, the
// ponds and the water table of a site, and says for each place how long its
// roots were wet, year by year, and how often to expect it.
//
// # Model
//
// Each step of the record, a day or an hour, goes through three stores.
//
// The soil of a [Zone] is a bucket between wilting and full. Rain fills it, but
// for what runs off; what is above field capacity drains below the roots as fast
// as the ground lets it and the water table has room for it; plants draw on it
// after FAO-56, chapter 8, freely until the readily available water is gone and
// then in proportion to what is left, in closed form and so at any length of
// step. What runs off is told by a curve number whose storage follows the water
// in the bucket, a storm being a calendar day, or by a Green-Ampt column that
// starts from it. When the pores are full the rest runs off too.
//
// Runoff goes to the ponds of package storm, which carries them over from step
// to step, event by event: they fill, spill, merge, soak away, evaporate, part
// and dry. Open water evaporates 1.05 times the reference.
//
// The water table, if there is one ([WaterTable]), is that of package watertable,
// two stores whose water says how deep it stands at any place. What drains below
// the roots and what soaks out of ponds raises it. Water drains below the roots,
// and ponds soak away, no faster than there is room above it.
//
// The roots of a [Position] are wet while water stands above their crown and
// until the root zone has drained after it, on days when the water table is
// nearer to the crown than they bear, and on days when the rain fills all pores
// of their zone. Hours need not count alike: by [Options.Weights] a wet spell in
// cold soil may count for less than a shorter one in warm soil ([Wetness.Doses]).
// All water is accounted for: [Balance].
//
// # Years
//
// A year is a calendar year, but where the growing season crosses new year: there
// it begins halfway between two seasons and is named after the year in which
// its season begins. Wet spells are cut at the ends of a year, and the longest of
// the whole record is not. A year that is not all in the record, or with rain
// missing in it or in the thirty days before it, is not Whole and takes no part
// in medians and return periods; for the steps missing, rain is not known and
// none falls, and the result says so.
//
// # Units
//
// Rain, evaporation and water in the soil are millimetres, volumes cubic metres,
// depths, levels and heights metres, rates millimetres an hour, spells days,
// SEW30 centimetre-days. Contents, porosities and shares are fractions of 1.
//
// # Limits
//
// Snow, frost and irrigation are not modelled. The rain of a day falls evenly
// all day unless [Options.RainHours] says otherwise: puddles that last for hours
// need an hourly record. Runoff does not soak in on its way to a hollow. The
// water table feeds no pond, and plants do not draw on it; where it would stand
// above low ground it counts as at the surface. What soaks out of a pond raises it
// all over the site and makes no mound under the pond. The ground under a pond is
// part of its zone and transpires as the rest of it.
//
// # References
//
//   - Allen, R.G., Pereira, L.S., Raes, D., Smith, M. (1998). Crop
//     evapotranspiration. FAO Irrigation and Drainage Paper 56, chapter 8.
//   - Williams, J.R., Kannan, N., Wang, X., Santhi, C., Arnold, J.G. (2012).
//     Evolution of the SCS runoff curve number method and its application to
//     continuous runoff simulation. Journal of Hydrologic Engineering 17(11),
//     1221–1229. From memory.
//   - Sieben, W.H. (1964), of whom the sum of excess water is, and Kanwar, R.S.,
//     Baker, J.L., Mukhtar, S. (1988). Excessive soil water effects at various
//     stages of development on the growth and yield of corn. Transactions of the
//     ASAE 31(1), 133–141.
//   - Weibull, W. (1939), plotting positions; Hosking (1990), L-moments.
package season
