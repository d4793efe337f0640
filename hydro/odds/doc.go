// Package odds says how likely water is to stand, how deep and how long, on
// ground that is not known exactly: it runs the same chain on many equally
// likely sites and counts.
//
// # Model
//
// A draw is one ground that may be the true one, with a soil and a storm drawn
// to go with it. On each draw the hollows are found, the storm fills them, they
// spill, merge, and dry, all as packages hydro and storm do it. What is kept of
// a draw is little: whether each cell was ponded, how deep and how long each
// watched cell was wet, and how much each hollow known from the likeliest
// ground holds there. [Run] returns the draws themselves; a share of them is a
// probability ([Share]) and their quantiles are an interval ([Quantile]). What a
// hollow holds is less sure than the draws say, by an [Allowance] for ground
// that is not as they take it to be ([Hollow.Outlook]).
//
// The draws must be of the true ground given the data, such as those of
// terrain/field, and not the data with noise added. A hollow spills over the
// lowest cell of its rim, so noise always lowers the spill level: a bowl of
// 71 m³ lost a fifth to a third of its storage that way.
//
// Hollows shallower than [Options.MinDepth] are left out on every draw; no
// cell in them could count as ponded, and their water runs on.
//
// Draws are numbered, and all that is random in one must follow from its
// number. Then the result has the same bits at any number of workers, and a
// run that was stopped is the beginning of one that was not.
//
// # Hollows found again
//
// Each draw has hollows of its own. One known from the likeliest ground is
// taken to be, on a draw, the hollow whose extent is most like its own: the
// cells wet in both, when full, over the cells wet in either (the index of
// Jaccard). It must wet a tenth of the known one at least, lest a puddle left
// in a corner of it pass for it; one that has swallowed it passes. The known
// hollow is real on that draw if the other is as deep as
// [Options.HollowDepth]. Ditches and pipes have no part in this: it is a
// question of the ground. See [Match].
//
// # Units
//
// Elevations, levels, depths and heights are metres, volumes cubic metres,
// times hours. Runoff is millimetres, soaking and evaporation are millimetres
// an hour. Probabilities are shares of 1.
//
// # Limits
//
// The odds are those of the draws: an error nobody told the program of is not
// in them. A share of N draws is itself known to √(p(1−p)/N) only, 0.035 for
// one half of 200.
//
// # References
//
//   - Hyndman, R.J., Fan, Y. (1996). Sample quantiles in statistical packages.
//     The American Statistician 50(4), 361–365.
//   - Jaccard, P. (1901). Étude comparative de la distribution florale dans une
//     portion des Alpes et des Jura. Bulletin de la Société Vaudoise des
//     Sciences Naturelles 37, 547–579.
package odds
