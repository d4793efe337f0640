// Package fieldsheet writes what is carried to the field on paper, as PDF: a map
// with squares to find one's place by, the stakes in walking order, what to
// buy and bring, the cautions.
//
// # Model
//
// The map is true to scale, its north up, and is cut by a grid of squares that
// bear a letter and a number; letters that name a row of the site are left out,
// so that a square and a stake are not mistaken for each other. Where trees
// stand too close on one sheet to be told apart, the map goes on in sheets of a
// larger scale. The list goes through the rows as the site has them, each from
// its start, where the tape begins; single positions are measured from the
// nearest row. A plant in twenty is bought as a spare, rounded up for each
// species: common practice, no source.
//
// # Units
//
// Results are metres, sheets millimetres; they are lettered in the units of the
// site. No word is smaller than 10 points, and all are black or nearly so on
// white: paper is read at arm's length in the sun.
//
// # Limits
//
// Beyond 20,000 trees the sheets show the flagged ones alone, and say so. They
// have no tags for readers that speak.
//
// # References
//
//   - Scales and sizes of paper are those of [wetfeet/cmd/internal/plansheet].
package fieldsheet
