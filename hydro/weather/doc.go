// Package weather holds the rain that a site is asked about, a storm or a
// record of years, and the evaporation that dries it.
//
// # Model
//
// A [Storm] is a depth of rain in so long, shaped evenly or by one of the four
// 24-hour distributions of the NRCS. A [Hyetograph] is rain against time in
// steps, from a storm, from a rain gauge ([ReadGauge]) or typed. A [Frequency]
// table, typed from the local atlas, turns a return period into a depth and
// back. A [Record] is daily or hourly rain of years, with temperatures or
// evaporation if they were measured. Reference evapotranspiration follows
// FAO-56: Penman-Monteith with whatever was measured, or Hargreaves with
// temperatures alone.
//
// What is missing is missing: a gap in a record is an error or NaN, and never
// a day without rain.
//
// # Units
//
// Rain and evaporation are millimetres in a step, intensities millimetres an
// hour, temperatures degrees Celsius, vapour pressures kilopascals, wind
// metres a second at 2 m, radiation megajoules a square metre and day. Files
// may also carry inches and degrees Fahrenheit in columns that say so. Clocks
// do not change to summer time.
//
// # Limits
//
// A record has at most 2,000,000 steps between the years 1700 and 2200, a file
// at most 256 MiB and 4096 bytes a line. Snow is not told from rain. Tables of
// depth, duration and frequency are not carried on beyond 1.5 times the return
// periods that they hold, nor beyond their durations at all.
//
// # References
//
//   - Natural Resources Conservation Service (1986). Urban hydrology for small
//     watersheds. Technical Release 55, appendix B: the four distributions.
//   - Chow, V.T., Maidment, D.R., Mays, L.W. (1988). Applied Hydrology.
//     McGraw-Hill, chapters 12 and 14.
//   - Allen, R.G., Pereira, L.S., Raes, D., Smith, M. (1998). Crop
//     evapotranspiration. FAO Irrigation and Drainage Paper 56.
//   - Linacre, E.T. (1993). Data-sparse estimation of lake evaporation, using a
//     simplified Penman equation. Agricultural and Forest Meteorology 64,
//     237–256.
//   - Gumbel, E.J. (1958). Statistics of extremes. Columbia University Press.
//   - Richardson, C.W. (1981). Stochastic simulation of daily precipitation,
//     temperature, and solar radiation. Water Resources Research 17(1),
//     182–190.
package weather
