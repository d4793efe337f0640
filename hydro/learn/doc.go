// Package learn lets what was seen after a storm change what a site is thought
// to be: how fast its soil takes water, how high its ground lies, how deep its
// water table, how much its trees bear.
//
// # Model
//
// What is not known of a site is a row of parameters, each a standard normal
// deviate before anything was seen, and whatever else a [Model] draws by the
// number of the draw. The model turns each draw into outcomes: the depth of
// water at a tree on a day, the hours until it is dry, the depth to the water
// table. A [Reading] says how likely what was seen is for such an outcome, by
// the error of whoever looked. Bayes' rule then weights the draws.
//
// Draws that were made before anything was seen may all but miss what was
// seen. Then the few that come near it, or come nearest, show where to draw
// again: from a normal distribution with their mean and covariance. All draws
// together count as one sample from the mixture of what they were drawn from,
// so that each weight is prior × likelihood / mixture, and no draw can weigh
// much more than the prior allows. This goes on until as many draws carry the
// weight as were asked for.
//
// Which observation to make next is asked of the weighted draws as well: each
// says what it would be seen as, and what would be thought after that.
//
// # Units
//
// Parameters are without a unit; outcomes and readings have those of the model,
// the same in both.
//
// # Limits
//
// The errors of readings are independent of each other, given the draw.
// What the model draws besides the parameters is not drawn towards what was
// seen, so many sharp readings that hang on it leave few draws; Effective tells.
// Proposals have one peak: where what was seen leaves two, they cover both, and
// it takes more draws.
//
// # References
//
//   - Cornuet, J.-M., Marin, J.-M., Mira, A., Robert, C.P. (2012). Adaptive
//     multiple importance sampling. Scandinavian Journal of Statistics 39(4),
//     798–812 (from memory).
//   - Owen, A., Zhou, Y. (2000). Safe and effective importance sampling.
//     Journal of the American Statistical Association 95, 135–143: mixtures
//     that keep the prior bound the weights (from memory).
//   - Kong, A., Liu, J.S., Wong, W.H. (1994). Sequential imputations and
//     Bayesian missing data problems. Journal of the American Statistical
//     Association 89, 278–288: the effective number of draws (from memory).
//   - Raiffa, H., Schlaifer, R. (1961). Applied Statistical Decision Theory:
//     what an observation is worth before it is made (from memory).
package learn
