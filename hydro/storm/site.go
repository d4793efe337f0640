package storm

import (
	"fmt"
	"sync"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// Options are what a site may have beside its ground. The zero value is bare
// ground, one zone.
type Options struct {
	// Zone is, for every cell, the zone its runoff is given for, from 0 to
	// Zones−1. Nil puts all of the site in zone 0.
	Zone  *terrain.Grid[uint8]
	Zones int // 0 is 1

	Links []Link
}

// A Site is ground made ready for storms: what any of them needs, so that a
// storm does not look at cells. It may be used by several goroutines at once.
type Site struct {
	h     *hydro.Hollows
	store func() *hydro.Storage // under way since Prepare; the first who asks waits for it
	frame terrain.Frame

	hollow  []rim
	inwards []int32 // all hollows, each before its children
	across  []int32 // all leaves, as they lie on the ground
	outlets [][]outlet

	zones  int
	area   []float64 // m², by hollow and zone, that drains to a leaf first
	beyond []float64 // m², by zone, that drains to none

	owners func() []int32
}

// A rim is what a storm needs of a hollow, close together.
type rim struct {
	capacity float64 // m³, to the spill level
	parent   int32   // or outside
	sibling  int32   // the other child of its parent, or outside
	child    int32   // one of its children, or outside for a leaf
	spillsTo int32   // leaf, or outside
}

const outside = hydro.Outside

// Prepare makes a site of the hollows of a ground: of all of them, noise
// included, or of those that [hydro.Hollows.Significant] keeps.
//
// Links that carry whatever comes change the tree: [Site.Hollows] is then
// another than h. The error names every link that cannot be.
func Prepare(h *hydro.Hollows, o Options) (*Site, error) {
	zones := max(o.Zones, 1)
	if o.Zone != nil && o.Zone.Frame != h.Frame {
		panic("storm: zones lie on another grid than the ground")
	}
	joined, limited, err := joinLinks(h, o.Links)
	if err != nil {
		return nil, err
	}
	n := len(joined.All)
	s := &Site{
		h:      joined,
		store:  sync.OnceValue(joined.Storage),
		frame:  h.Frame,
		hollow: make([]rim, n),
		zones:  zones,
	}
	go s.store() // a storm needs it only once it is over
	s.owners = sync.OnceValue(s.own)
	terrain.Bands(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			a := &joined.All[i]
			r := rim{a.Volume, int32(a.Parent), outside, int32(a.Children[0]), int32(a.SpillsTo)}
			if a.Parent != outside {
				k := joined.All[a.Parent].Children
				r.sibling = int32(k[0] + k[1] - i)
			}
			s.hollow[i] = r
		}
	})
	s.inwards, s.across = order(joined), across(joined)
	if err := s.divide(o.Zone); err != nil {
		return nil, err
	}
	return s, s.place(limited)
}

// across lists the leaves by where their floors lie, strip of the ground by
// strip. Water spills to neighbours: taken so, what is known of those is asked
// for again while it is still at hand, where hollows by size lie all over the
// site.
func across(h *hydro.Hollows) []int32 {
	const strips = 1 << 16
	wide := h.Len()/strips + 1
	first := make([]int32, h.Len()/wide+2) // by strip, of its leaves in the list
	for i := range h.All {
		if a := &h.All[i]; a.IsLeaf() {
			first[a.FloorCell/wide+1]++
		}
	}
	for k := 1; k < len(first); k++ {
		first[k] += first[k-1]
	}
	list := make([]int32, first[len(first)-1])
	for i := range h.All {
		if a := &h.All[i]; a.IsLeaf() {
			k := a.FloorCell / wide
			list[first[k]] = int32(i)
			first[k]++
		}
	}
	return list
}

// order lists all hollows, each before its children.
func order(h *hydro.Hollows) []int32 {
	// A hollow holds more than its children do, so it comes before them, but
	// for what rounding may have made equal.
	list := make([]int32, len(h.All))
	sorted := true
	for i := range h.All {
		list[i] = int32(i)
		sorted = sorted && h.All[i].Parent < i
	}
	if sorted {
		return list
	}
	list = list[:0]
	for i := range h.All {
		if h.All[i].Parent == outside {
			list = append(list, int32(i))
		}
	}
	for k := 0; k < len(list); k++ {
		if c := h.All[list[k]].Children; c[0] != outside {
			list = append(list, int32(c[0]), int32(c[1]))
		}
	}
	return list
}

// divide measures the catchment of every leaf in every zone.
func (s *Site) divide(zone *terrain.Grid[uint8]) error {
	cell := s.frame.CellArea()
	s.area, s.beyond = make([]float64, len(s.h.All)*s.zones), make([]float64, s.zones)
	if zone == nil {
		known := terrain.Known(s.h.Ground())
		s.beyond[0] = float64(known) * cell
		drained := 0.0
		for i := range s.h.All {
			if a := &s.h.All[i]; a.IsLeaf() {
				s.area[i*s.zones] = a.Catchment
				drained += a.Catchment
			}
		}
		s.beyond[0] -= drained
		return nil
	}
	// Counts are whole numbers, so their order cannot show.
	for c, z := range s.h.Ground().Cells {
		if terrain.IsVoid(z) {
			continue
		}
		k := int(zone.Cells[c])
		if k >= s.zones {
			row, col := s.frame.Cell(c)
			return fmt.Errorf("row %d, column %d lies in zone %d of %d, counted from 0", row, col, k, s.zones)
		}
		if in := int(s.h.Inner[c]) - 1; in >= 0 {
			s.area[in*s.zones+k] += 1
		} else {
			s.beyond[k]++
		}
	}
	for i := range s.area {
		s.area[i] *= cell
	}
	for k := range s.beyond {
		s.beyond[k] *= cell
	}
	return nil
}

// own finds, for every cell, the innermost hollow that wets it when full, or
// outside.
func (s *Site) own() []int32 {
	owner := make([]int32, s.frame.Len())
	for i := range owner {
		owner[i] = outside
	}
	eachHollow(len(s.h.All), func(i int) {
		for _, c := range s.h.Own(i) {
			owner[c] = int32(i)
		}
	})
	return owner
}

// Hollows are the hollows of the site, as its links make them. All indices of
// hollows in this package are of their All.
func (s *Site) Hollows() *hydro.Hollows { return s.h }

// Storage are the storage curves of the hollows.
func (s *Site) Storage() *hydro.Storage { return s.store() }

// Catchment is the ground that drains to leaf i first, m². A hollow that is
// no leaf has none but theirs.
func (s *Site) Catchment(i int) float64 {
	sum := 0.0
	for _, a := range s.area[i*s.zones : (i+1)*s.zones] {
		sum += a
	}
	return sum
}

// An Inflow is water on its way to the hollows, m³.
type Inflow struct {
	To     []float64 // by index of a hollow; only leaves have any
	Beyond float64   // runs off the site without meeting a hollow
}

// Total is all the water, m³.
func (in Inflow) Total() float64 {
	sum := total{sum: in.Beyond}
	for _, v := range in.To {
		sum.add(v)
	}
	return sum.value()
}

// Runoff is the inflow when so many millimetres run off each zone. One number
// stands for all zones. It panics if there are neither one nor as many as
// zones.
func (s *Site) Runoff(mm ...float64) Inflow {
	if len(mm) != 1 && len(mm) != s.zones {
		panic(fmt.Sprintf("storm: runoff for %d zones, the site has %d", len(mm), s.zones))
	}
	in := Inflow{To: make([]float64, len(s.h.All))}
	for k := range s.zones {
		depth := mm[min(k, len(mm)-1)] / 1000
		in.Beyond += float64(depth * s.beyond[k])
		for i := range in.To {
			in.To[i] += float64(depth * s.area[i*s.zones+k])
		}
	}
	return in
}

// Mean is the mean of something over the cells that each hollow wets when
// full, by index of the hollow, such as the rate at which water soaks in.
func (s *Site) Mean(value func(cell int) float64) []float64 {
	sum := make([]float64, len(s.h.All))
	eachHollow(len(sum), func(i int) {
		for _, c := range s.h.Own(i) {
			sum[i] += value(int(c))
		}
	})
	for k := len(s.inwards) - 1; k >= 0; k-- {
		if i := s.inwards[k]; s.hollow[i].parent != outside {
			sum[s.hollow[i].parent] += sum[i]
		}
	}
	for i := range sum {
		sum[i] /= float64(s.h.All[i].Cells)
	}
	return sum
}
