// Package watertable says how deep below the ground the water table stands,
// from a few depths someone measured, and how it moves from day to day.
//
// # Model
//
// Where the ground slopes, water runs sideways down the slope and the table
// follows it: [Topmodel], by which the deficit, the water that would bring
// the table up to the ground, falls with the wetness index,
//
//	Dᵢ = D̄ + m (λ − Iᵢ),  depth = Dᵢ / drainable porosity.
//
// Where it is flat, something holds the table: a ditch, a drain, a pond. Between
// them it stands as the linearised equation of Boussinesq has it, T ∇²h + R = 0,
// solved on a grid ([Aquifer]). [Prepare] takes both and blends them by the
// slope and by the reach of ditches; [Model.Fit] finds the mean deficit, m and
// the recharge that the observed depths ask for, and [Model.Table] draws the
// map. All of it is linear in those three, so a fit is one small system of
// equations. Closed forms for drains in level land stand beside the grid:
// [Drains] after Hooghoudt, [Between] after Dupuit, [Drawdown] after Glover and
// Dumm.
//
// Through a season the same two states, the mean deficit of the slopes and the
// outflow of the flats, are stepped a day at a time by closed forms: [Daily].
// The table at a position is a straight sum of them: [Position].
//
// # Units
//
// Lengths, depths, heads and amounts of water are metres, areas square metres,
// volumes cubic metres, times days, conductivities and recharge m/day,
// transmissivities m²/day. A head is a height in the datum of the ground; a
// depth is below the ground. SEW30 alone is in centimetre days, as the trade
// has it.
//
// # Limits
//
// The map is of one state of the ground, that of the day of the observations.
// The soil is one all over the site, over a barrier parallel to the ground.
// Nothing flows across the rim of the grid but on slopes. A table that comes
// out above the ground is cut off there and reported as seepage; that the
// seepage draws down the land beside it is left out, which errs to the wet
// side. Perched water, artesian water, frost and tides are not modelled. Tile
// lines nobody drew are not seen.
//
// # References
//
//   - Beven, K.J., Kirkby, M.J. (1979). A physically based, variable
//     contributing area model of basin hydrology. Hydrological Sciences
//     Bulletin 24(1), 43–69.
//   - Boussinesq, J. (1904). Recherches théoriques sur l'écoulement des nappes
//     d'eau infiltrées dans le sol. Journal de Mathématiques Pures et
//     Appliquées 10, 5–78.
//   - Hooghoudt, S.B. (1940); Ernst, L.F. (1956); Dumm, L.D. (1954): see the
//     functions.
package watertable
