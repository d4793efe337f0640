package storm

import (
	"fmt"
	"math"
)

// A State is water at rest on a site.
type State struct {
	site   *Site
	volume []float64 // by hollow, m³; counts where over[i] == i
	over   []int32   // by hollow: the hollow whose water covers it, itself or one it is part of; else outside

	// Water that came, stands in hollows and left the site, m³.
	In, Ponded, Left float64
}

// Fill lets an inflow run into dry hollows, spill, merge and leave.
// It panics on an inflow that is less than nothing or not a number.
func (s *Site) Fill(in Inflow) *State {
	st := &State{site: s, volume: make([]float64, len(s.hollow)), In: in.Total()}
	c := newCourses(s)
	left := total{sum: in.Beyond}
	for _, v := range in.To {
		if !(v >= 0) || math.IsInf(v, 1) {
			panic(fmt.Sprintf("storm: inflow of %g m³", v))
		}
	}
	for _, leaf := range s.across {
		if v := in.To[leaf]; v > 0 {
			left.add(c.pour(leaf, v))
		}
	}
	st.Left = left.value()
	for i := range st.volume {
		st.volume[i] = c.sets[i].water
	}
	st.settle(c.one)
	return st
}

// Storm fills dry hollows with so many millimetres of runoff from all of the
// site.
func (s *Site) Storm(mm float64) *State { return s.Fill(s.Runoff(mm)) }

// pour lets water run to a leaf and on, and returns what leaves the site.
func (c *courses) pour(leaf int32, water float64) (left float64) {
	head := c.head(leaf)
	for {
		d := c.sets[head].sink
		if d == outside {
			return water
		}
		stands, rim := &c.sets[d].water, &c.s.hollow[d]
		room := rim.capacity - *stands
		if water < room {
			*stands += water
			return 0
		}
		water -= max(room, 0)
		*stands = rim.capacity
		var become int32
		if head, become = c.fill(head); become != outside {
			c.sets[become].water = rim.capacity + c.s.hollow[rim.sibling].capacity
		}
	}
}

// held is the water in the children of a hollow when they are full, m³.
func (s *Site) held(i int32) float64 {
	k := s.hollow[i].child
	if k == outside {
		return 0
	}
	return s.hollow[k].capacity + s.hollow[s.hollow[k].sibling].capacity
}

// settle finds which water covers each hollow and how much stands in all.
func (st *State) settle(one []bool) {
	s := st.site
	st.over = make([]int32, len(s.hollow))
	var ponded total
	for _, i := range s.inwards {
		st.over[i] = outside
		if p := s.hollow[i].parent; p != outside && st.over[p] != outside {
			st.over[i] = st.over[p]
			continue
		}
		if one[i] {
			st.over[i] = i
			ponded.add(st.volume[i])
		}
	}
	st.Ponded = ponded.value()
}

// leaf is the leaf whose floor is that of a hollow.
func (s *Site) leaf(i int) int32 { return s.h.Inner[s.h.All[i].FloorCell] - 1 }

// Level is where the water in hollow i stands, m. If it has not yet joined
// from all parts of the hollow that is the level over the floor, and if the
// hollow is dry the floor.
func (st *State) Level(i int) float64 {
	pond := int(st.over[st.site.leaf(i)])
	return st.site.store().Level(pond, st.volume[pond])
}

// Volume is the water in hollow i, m³, which is no more than it holds: what
// stands above its spill level belongs to the hollow it is part of.
func (st *State) Volume(i int) float64 {
	switch over := st.over[i]; {
	case over == int32(i):
		return st.volume[i]
	case over != outside:
		return st.site.hollow[i].capacity
	}
	k := st.site.h.All[i].Children
	return st.Volume(k[0]) + st.Volume(k[1])
}

// Joined reports whether water stands over all of hollow i as one: its own
// parts are full and have become one. It is true for a leaf.
func (st *State) Joined(i int) bool { return st.over[i] != outside }

// A Pond is water that stands as one.
type Pond struct {
	Hollow int     // index of the hollow it stands in
	Level  float64 // m
	Depth  float64 // above the floor, m
	Volume float64 // m³
	Area   float64 // of its surface, m²
	Full   bool    // what else comes, spills
}

// Ponds lists all standing water, by the hollow it stands in.
func (st *State) Ponds() []Pond {
	var ponds []Pond
	for i, over := range st.over {
		if over != int32(i) || !(st.volume[i] > 0) {
			continue
		}
		level := st.site.store().Level(i, st.volume[i])
		ponds = append(ponds, Pond{
			Hollow: i,
			Level:  level,
			Depth:  level - st.site.h.All[i].Floor,
			Volume: st.volume[i],
			Area:   st.site.store().Area(i, level),
			Full:   st.volume[i] >= st.site.hollow[i].capacity,
		})
	}
	return ponds
}
