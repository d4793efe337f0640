// Package trial asks how well a measure of the ground tells spots that were
// seen wet from spots that were not.
//
// # Model
//
// A measure gives every spot a score, higher meaning wetter. The area under
// its receiver operating characteristic, AUC, is the chance that a spot seen
// wet scores higher than a spot that was not, ties counting half: 1 is
// perfect and 0.5 is a coin. Its error, and that of the difference of two
// measures scored on the same spots, comes from the placements of each spot
// among those of the other kind.
//
// # Units
//
// Areas and their errors are probabilities, 0 to 1. Coordinates, radii and
// elevations are metres.
//
// # Limits
//
// The error treats spots as independent draws. Neighbours flood together, so
// it is a lower bound where spots lie close. A measure can only be as good as
// its subject: on a plain flooded by a river, an index of rain running
// downhill answers another question than the one that was seen answered.
//
// # References
//
//   - Hanley, J.A., McNeil, B.J. (1982). The meaning and use of the area under
//     a receiver operating characteristic (ROC) curve. Radiology 143(1), 29–36.
//   - DeLong, E.R., DeLong, D.M., Clarke-Pearson, D.L. (1988). Comparing the
//     areas under two or more correlated receiver operating characteristic
//     curves: a nonparametric approach. Biometrics 44(3), 837–845.
package trial
