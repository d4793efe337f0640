// Package earthwork says how much soil a mound takes and a cut gives, and what
// mounds do to the ground.
//
// # Model
//
// A mound is a truncated cone: a round level platform over sides of even
// slope. Mounds that touch run together into a bed, and the soil where they
// overlap is brought once: the volume is that under the highest of them at
// every point. Fresh soil settles by a share of its volume, so more is to be
// brought than will lie there in the end.
//
// A channel is a trapezoid in section, level across its bottom, with sides of
// even slope, dug along a path from cell centre to cell centre. Between two
// stations the ground runs straight, and the section changes as a prismoid.
// A trench for a pipe is a channel with upright sides.
//
// # Units
//
// Lengths, widths, heights and depths are metres, areas square metres, volumes
// cubic metres. Side slopes are run over rise, as they are said in the field:
// 2 is two across for one up. Falls are rise over run.
//
// # Limits
//
// Volumes of mounds are those on level ground; [Stamp] measures what they take
// on the ground as it lies. Soil that is dug is counted as it lay: loose it
// takes up more. Nothing here says whether a bank stands or a trench is safe.
//
// # References
//
//   - National Institute of Standards and Technology (2008). Guide for the Use
//     of the International System of Units. Special Publication 811, appendix
//     B: the cubic yard.
//   - Ghilani, C.D., Wolf, P.R. Elementary Surveying, chapter on volumes: end
//     areas and the prismoidal formula (from memory).
package earthwork
