package hydro

// Routing is a way of sharing the water of a cell among its lower neighbours.
type Routing int

const (
	// Multiple gives every lower neighbour a share that grows with the slope
	// towards it: Freeman, T.G. (1991), Calculating catchment area with
	// divergent flow based on a regular grid, Computers & Geosciences 17(3),
	// 413–422.
	Multiple Routing = iota

	// Single sends all of it down the steepest of the eight: O'Callaghan,
	// J.F., Mark, D.M. (1984), The extraction of drainage networks from
	// digital elevation data, Computer Vision, Graphics, and Image
	// Processing 28(3), 323–344.
	Single

	// Facet splits it between the two cells beside the steepest of eight
	// triangular facets: Tarboton, D.G. (1997), A new method for the
	// determination of flow directions and upslope areas in grid digital
	// elevation models, Water Resources Research 33(2), 309–319.
	Facet
)

// String is the word the command line uses.
func (r Routing) String() string {
	return [...]string{"multiple", "single", "facet"}[r]
}
