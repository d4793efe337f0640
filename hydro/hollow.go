package hydro

import "wetfeet/terrain"

// Outside stands where a hollow has no such neighbour: water that leaves the
// site spills Outside, and an outermost hollow has Outside for a parent.
const Outside = -1

// A Hollow is a closed depression: ground that would hold water up to the
// level at which it spills.
//
// Hollows nest. When two neighbours are both full they become one larger
// hollow, their parent, which fills on to its own spill level.
type Hollow struct {
	ID int // 1 and up, larger volumes first, equal ones by FloorCell

	Floor     float64 // lowest elevation, m
	FloorCell int
	Spill     float64 // level at which it overflows, m
	SpillCell int     // the cell the overflow crosses

	SpillsTo int // index in Hollows.All of the hollow the overflow runs to, or Outside
	Parent   int // index of the hollow it is part of once full, or Outside
	Children [2]int

	Cells     int     // cells below the spill level, islands not counted
	Area      float64 // of those cells, m²
	Volume    float64 // from floor to spill level, m³, exact for the grid
	Catchment float64 // ground that drains to it, itself included, m²
}

// Depth is the depth of a hollow filled to the brim, m.
func (h *Hollow) Depth() float64 { return h.Spill - h.Floor }

// Hollows is the tree of the hollows of a ground.
type Hollows struct {
	terrain.Frame

	All []Hollow // ordered by ID: All[i].ID == i+1

	// Outer is, for every cell, one more than the index of the outermost
	// hollow that covers it when full, and 0 where none does.
	Outer []int32

	// Noise counts the hollows that were found and left out because they are
	// no deeper than the error of the ground.
	Noise int
}
