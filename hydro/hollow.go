package hydro

import "wetfeet/terrain"

// Outside stands where a hollow has no such neighbour: water that leaves the
// site spills Outside, and an outermost hollow has Outside for a parent.
const Outside = -1

// A Hollow is a closed depression: ground that would hold water up to the
// level at which it spills.
//
// Hollows nest. When two neighbours are both full they become one larger
// hollow, their parent, which fills on to its own spill level. A hollow
// without children, around a single pit, is called a leaf.
type Hollow struct {
	ID int // 1 and up, larger volumes first, equal ones by FloorCell

	Floor     float64 // lowest elevation, m
	FloorCell int
	Spill     float64 // level at which it overflows, m
	SpillCell int     // the cell the overflow crosses

	// SpillsTo is the index in Hollows.All of the leaf into whose catchment
	// the overflow runs, or Outside where it runs off without meeting a
	// hollow. If that leaf is full the water is passed on: to what the leaf
	// spills to, or, once the leaf and its neighbour are both full, into
	// their parent.
	SpillsTo int

	Parent   int    // index of the hollow it is part of once full, or Outside
	Children [2]int // indices of the two hollows that join to make it, or Outside twice

	Cells     int     // cells below the spill level, islands not counted
	Area      float64 // of those cells, m²
	Volume    float64 // from floor to spill level, m³, exact for the grid
	Catchment float64 // ground that drains to it by the steepest way, itself included, m²
}

// Depth is the depth of a hollow filled to the brim, m.
func (h *Hollow) Depth() float64 { return h.Spill - h.Floor }

// IsLeaf reports whether a hollow has no hollows within it.
func (h *Hollow) IsLeaf() bool { return h.Children[0] == Outside }

// Hollows is the tree of the hollows of a ground.
type Hollows struct {
	terrain.Frame

	All []Hollow // ordered by ID: All[i].ID == i+1

	// Outer is, for every cell, one more than the index of the outermost
	// hollow that covers it when full, and 0 where none does.
	Outer []int32

	// Inner is, for every cell, one more than the index of the leaf its water
	// runs to by the steepest way, and 0 where it runs off without meeting a
	// hollow. Voids have 0.
	Inner []int32

	// Noise counts the hollows that were found and left out because they are
	// no more than the error of the ground.
	Noise int

	ground *terrain.Grid[float32]

	// wetted holds the cells below the spill level of any hollow. The cells
	// of hollow i are wetted[first[i]:][:All[i].Cells]. Those that belong to
	// none of its children come before theirs.
	wetted []int32
	first  []int32
}

// FindHollows finds every hollow of the ground z, down to single cells a hair
// below their neighbours; [Hollows.Significant] leaves out those that mean
// nothing. Cells have eight neighbours; the rim of the grid and every cell
// beside a void let water out at their own level. The hollows are those that
// [Fill] fills: a cell that Fill raises comes to the spill level of its
// outermost hollow.
//
// Three or more hollows that meet at one level join two at a time, by the
// index of the saddle cells, so that the first to join make a hollow with no
// water of its own.
//
// The Hollows hold on to z, which must not change while they are in use. The
// result does not depend on the number of processors.
func FindHollows(z *terrain.Grid[float32]) *Hollows {
	b := findBasins(z, steepestWay)
	t := growTree(z, b)
	b.saddles = nil
	return measure(z, t.nodes, b.label, t.drain, t.drain)
}

// Covering is the outermost hollow that covers a cell when full, or nil where
// none does.
func (h *Hollows) Covering(cell int) *Hollow {
	if i := h.Outer[cell]; i > 0 {
		return &h.All[i-1]
	}
	return nil
}
