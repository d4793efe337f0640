// Package reliability asks whether stated odds can be taken at their word: of
// all the trees given three chances in ten, do three in ten get wet?
//
// # Model
//
// The Brier score is the mean square of the odds less what happened, 1 or 0;
// lower is better. Its skill over another forecast is the part of that
// forecast's score it takes away.
//
// The least-squares curve through what happened that never falls as the odds
// rise, found by pooling adjacent violators, says how often each odds came
// true; no bins have to be chosen. With it the score has three parts,
//
//	Brier = miscalibration − discrimination + uncertainty
//
// where uncertainty is the score of giving everyone the overall share,
// discrimination what the curve takes off that, and miscalibration what is
// lost by not reading the odds through the curve. All three are 0 or more.
//
// Chance alone bends the curve. The band of consistency is where the curve lies
// if the odds are right, found by letting the odds themselves say, again and
// again, what might have happened.
//
// # Units
//
// Odds, shares and coverages are probabilities, 0 to 1.
//
// # Limits
//
// Trees of one hollow get wet together. A band or an interval that takes
// each as a draw of its own is then too narrow; Consistency takes the joint
// draws of a site where there are some, and Bias wants one value a site.
//
// # References
//
//   - Brier, G.W. (1950). Verification of forecasts expressed in terms of
//     probability. Monthly Weather Review 78(1), 1–3.
//   - Ayer, M., Brunk, H.D., Ewing, G.M., Reid, W.T., Silverman, E. (1955). An
//     empirical distribution function for sampling with incomplete
//     information. Annals of Mathematical Statistics 26(4), 641–647.
//   - Dimitriadis, T., Gneiting, T., Jordan, A.I. (2021). Stable reliability
//     diagrams for probabilistic classifiers. Proceedings of the National
//     Academy of Sciences 118(8), e2016191118.
//   - Wilson, E.B. (1927). Probable inference, the law of succession, and
//     statistical inference. Journal of the American Statistical Association
//     22(158), 209–212.
//   - Kish, L. (1965). Survey sampling. Wiley. (from memory)
//   - Cochran, W.G. (1977). Sampling techniques, 3rd edition, chapter 6. Wiley.
package reliability
