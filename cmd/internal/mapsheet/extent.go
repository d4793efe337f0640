package mapsheet

import (
	"math"

	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

// planting is the part of the ground that has to be shown: the trees and rows,
// the whole of every hollow that holds a tree with the place where it spills,
// the spot heights among and around them, and some room.
func (s *sheet) planting() orb.Bound {
	near := s.near()
	b := none
	for _, t := range s.r.Trees {
		if near.Contains(t.Point) {
			b = b.Extend(t.Point)
		}
	}
	for _, row := range s.r.Rows {
		for _, p := range row.Line {
			if near.Contains(p) {
				b = b.Extend(p)
			}
		}
	}
	if b == none {
		return s.known
	}
	side := max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1])
	for _, i := range s.outermost() {
		if s.planted[i] {
			b = b.Union(s.pools[i])
		}
	}
	if s.r.Survey != nil {
		reach := b.Pad(shotReach * side)
		for _, p := range s.r.Survey.Points {
			if reach.Contains(p) {
				b = b.Extend(p)
			}
		}
	}
	// Room to see what lies around, as far as there is ground, and a little in
	// any case for symbols and the names of rows.
	return meet(b.Pad(max(0.1*side, 8)), s.known).Union(b.Pad(max(0.01*side, 1.5)))
}

// shotReach is how far beyond the planting a spot height still bears on it, in
// parts of the planting's longer side.
const shotReach = 0.25

// none is around nothing.
var none = orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}

// poolBounds are around each outermost hollow and the place where it spills;
// those of hollows that lie in others are around nothing.
func poolBounds(hs *hydro.Hollows) []orb.Bound {
	if hs == nil {
		return nil
	}
	bounds := make([]orb.Bound, len(hs.All))
	for i := range bounds {
		bounds[i] = none
		if hs.All[i].Parent == hydro.Outside {
			bounds[i] = none.Extend(hs.Centre(hs.Cell(hs.All[i].SpillCell)))
		}
	}
	for i, k := range hs.Outer {
		if k != 0 {
			bounds[k-1] = bounds[k-1].Extend(hs.Centre(hs.Cell(i)))
		}
	}
	return bounds
}

// near is the ground with a quarter of its size around it. A position beyond
// that is a slip in its coordinates and would make all else too small to see.
func (s *sheet) near() orb.Bound {
	b := s.known
	return b.Pad(max(b.Max[0]-b.Min[0], b.Max[1]-b.Min[1]) / 4)
}

// knownBound is around the cells whose elevation is known. A survey or a fenced
// site often lies on a larger frame of voids.
func knownBound(z *terrain.Grid[float32]) orb.Bound {
	north, south, west, east := z.Rows, -1, z.Cols, -1
	for r := range z.Rows {
		first, last, ok := terrain.KnownSpan(z.Row(r))
		if !ok {
			continue
		}
		north, south = min(north, r), r
		west, east = min(west, first), max(east, last)
	}
	return orb.Bound{
		Min: orb.Point{z.West + float64(west)*z.CellSize, z.North - float64(south+1)*z.CellSize},
		Max: orb.Point{z.West + float64(east+1)*z.CellSize, z.North - float64(north)*z.CellSize},
	}
}

// meet is the part of two bounds that both cover.
func meet(a, b orb.Bound) orb.Bound {
	return orb.Bound{
		Min: orb.Point{max(a.Min[0], b.Min[0]), max(a.Min[1], b.Min[1])},
		Max: orb.Point{min(a.Max[0], b.Max[0]), min(a.Max[1], b.Max[1])},
	}
}
