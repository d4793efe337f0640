package storm

import (
	"math"
	"slices"
	"sort"

	"wetfeet/terrain"
)

// A Rise is the whole of what a site does as the runoff from it rises from
// nothing to any depth: for each hollow, the volume in it as straight pieces
// between the depths at which some hollow is full and its water goes on
// elsewhere. Each hollow is full once, so there are no more pieces than twice
// the hollows.
//
// Every answer is exact. None needs a search by trial.
type Rise struct {
	site  *Site
	full  []float64 // by hollow: millimetres that fill it; +Inf if none do
	first []int32   // by hollow, and at the end for what leaves: where its bends begin
	bends []bend
	per   Inflow // of one millimetre
}

// A bend is where the volume in a hollow begins to grow at a new rate.
type bend struct {
	mm     float64
	volume float64 // m³
	rate   float64 // m³/mm
	hollow int32
}

// Rise walks through all depths of runoff. The zones of the site get weight
// millimetres each for a millimetre of the depth, and all the same if none is
// given.
func (s *Site) Rise(weight ...float64) *Rise {
	if len(weight) == 0 {
		weight = []float64{1}
	}
	n := len(s.hollow)
	r := &Rise{site: s, full: make([]float64, n), per: s.Runoff(weight...)}
	w := walk{
		Rise:    r,
		courses: newCourses(s),
		now:     make([]bend, n+1),
		changes: make([]int32, n+1),
	}
	w.to(int32(n), 0, r.per.Beyond)
	for i := range r.full {
		r.full[i] = math.Inf(1)
		w.to(int32(i), 0, r.per.To[i])
	}
	for len(w.next) > 0 {
		e := w.next.pop()
		if w.changes[e.hollow] == e.change && math.IsInf(r.full[e.hollow], 1) {
			w.fillUp(e)
		}
	}
	r.sort()
	return r
}

// A walk is a Rise in the making.
type walk struct {
	*Rise
	courses *courses
	now     []bend // the last of each hollow
	changes []int32
	next    agenda
}

// to lets more water run to a hollow that has room, or to the outside at the
// end, from a depth on.
func (w *walk) to(i int32, mm, rate float64) {
	if rate == 0 {
		return
	}
	b := &w.now[i]
	b.volume += (mm - b.mm) * b.rate
	b.mm, b.rate, b.hollow = mm, b.rate+rate, i
	w.bends = append(w.bends, *b)
	if int(i) < len(w.full) {
		w.changes[i]++
		room := max(w.site.hollow[i].capacity-b.volume, 0)
		w.next.push(event{at: mm + room/b.rate, hollow: i, change: w.changes[i]})
	}
}

// fillUp lets the water of a hollow that is full go on.
func (w *walk) fillUp(e event) {
	s := w.site
	d := e.hollow
	w.full[d] = e.at
	rate := w.now[d].rate
	w.bends = append(w.bends, bend{e.at, s.hollow[d].capacity, 0, d})
	onward, become := w.courses.fill(w.courses.head(s.leaf(int(d))))
	if become != outside {
		w.now[become] = bend{mm: e.at, volume: s.held(become)}
		w.to(become, e.at, rate)
		return
	}
	sink := w.courses.sets[onward].sink
	if sink == outside {
		sink = int32(len(s.hollow))
	}
	w.to(sink, e.at, rate)
}

// sort brings the bends of each hollow together, in their order.
func (r *Rise) sort() {
	slices.SortStableFunc(r.bends, func(a, b bend) int { return int(a.hollow) - int(b.hollow) })
	r.first = make([]int32, len(r.full)+2)
	for i, k := 0, 0; i < len(r.first); i++ {
		for k < len(r.bends) && int(r.bends[k].hollow) < i {
			k++
		}
		r.first[i] = int32(k)
	}
}

// of are the bends of a hollow.
func (r *Rise) of(i int) []bend { return r.bends[r.first[i]:r.first[i+1]] }

// volume is the water in a hollow that has begun to fill, and the inflow it
// has.
func (r *Rise) volume(i int, mm float64) float64 {
	bends := r.of(i)
	k := sort.Search(len(bends), func(k int) bool { return bends[k].mm > mm })
	if k == 0 {
		return 0
	}
	b := &bends[k-1]
	return b.volume + float64((mm-b.mm)*b.rate)
}

// At is the water on the site after so many millimetres of runoff.
func (r *Rise) At(mm float64) *State {
	s := r.site
	st := &State{site: s, volume: make([]float64, len(s.hollow))}
	one := make([]bool, len(s.hollow))
	for i := range st.volume {
		k := s.hollow[i].child
		one[i] = k == outside || r.full[k] <= mm && r.full[s.hollow[k].sibling] <= mm
		if r.full[i] <= mm {
			st.volume[i] = s.hollow[i].capacity
		} else {
			st.volume[i] = min(r.volume(i, mm), s.hollow[i].capacity)
		}
	}
	st.In = mm * r.per.Total()
	st.Left = r.volume(len(st.volume), mm)
	st.settle(one)
	return st
}

// Filling is the runoff, millimetres, at which hollow i is full and begins to
// spill: +Inf if it never is.
func (r *Rise) Filling(i int) float64 { return r.full[i] }

// Wetting is the least runoff, millimetres, beyond which water stands above a
// level so many metres over the ground of a cell: +Inf where it never does.
func (r *Rise) Wetting(cell int, above float64) float64 {
	i, level := r.site.holding(cell, above)
	if i == outside {
		return math.Inf(1)
	}
	return r.reach(int(i), level)
}

// holding is the hollow, among those that can wet a cell, within whose range
// a level so many metres over its ground lies.
func (s *Site) holding(cell int, above float64) (hollow int32, level float64) {
	i := s.owners()[cell]
	level = float64(s.h.Ground().Cells[cell]) + above
	for i != outside && s.h.All[i].Spill <= level {
		i = s.hollow[i].parent
	}
	return i, level
}

// reach is the runoff beyond which a hollow stands above a level within its
// range.
func (r *Rise) reach(i int, level float64) float64 {
	volume := r.site.held(int32(i))
	if level >= r.site.store().Base(i) {
		volume = r.site.store().Volume(i, level)
	}
	bends := r.of(i)
	k := sort.Search(len(bends), func(k int) bool { return bends[k].volume > volume })
	if k == 0 {
		if len(bends) == 0 {
			return math.Inf(1)
		}
		return bends[0].mm
	}
	b := &bends[k-1]
	if b.rate == 0 { // it is full
		return b.mm
	}
	return b.mm + max(volume-b.volume, 0)/b.rate
}

// WettingGrid writes into every cell of dst the least runoff, millimetres,
// beyond which water stands above a level so many metres over its ground: +Inf
// where it never does, NaN where the ground is not known.
func (r *Rise) WettingGrid(dst *terrain.Grid[float32], above float64) {
	s := r.site
	if dst.Frame != s.frame {
		panic("storm: depths of runoff lie on another grid than the ground")
	}
	s.owners()
	terrain.Bands(dst.Rows, func(lo, hi int) {
		for i := lo * dst.Cols; i < hi*dst.Cols; i++ {
			dst.Cells[i] = terrain.Void()
			if !terrain.IsVoid(s.h.Ground().Cells[i]) {
				dst.Cells[i] = float32(r.Wetting(i, above))
			}
		}
	})
}
