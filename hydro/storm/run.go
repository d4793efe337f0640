package storm

import (
	"fmt"
	"math"
)

// A Loss is how fast standing water soaks in. Each list has one number for
// every hollow, or one for all, or none for nothing. A hollow made of two has
// a number of its own, for when they stand as one.
type Loss struct {
	Infiltration []float64 // mm/h

	// Room is how much soaks in below the ground that was wet before the soil
	// there is full, mm; then Rest is the rate. Without it there is no such
	// end.
	Room []float64
	Rest []float64 // mm/h
}

// A Step is a time of even weather.
type Step struct {
	Hours       float64
	Inflow      Inflow  // all that runs off during the step
	Evaporation float64 // from standing water, mm/h
}

// A Simulation carries the water of a site through time.
type Simulation struct {
	site  *Site
	loss  rates
	now   float64 // h
	evap  float64 // m/h
	shape []shape
	ponds []pond
	links []flow // of all outlets, those of one hollow together by level
	first []int32
	below []float64 // by hollow: what all outlets of its children and theirs carry, m³/h

	// Inflow, m³/h. That of a hollow with children is the sum of theirs, added
	// anew whenever one changes, so that none is left over when there is none.
	inflow  []float64
	runoff  []float64 // by leaf
	fed     []float64 // by leaf: from other ponds and outlets
	feeders []int32   // by leaf: how many

	next agenda
	todo []int32
	due  []bool

	watched []bool // by hollow; nil is all
	tracks  [][]spell
	highest []float64 // by hollow: of the spells that ended, m
	sum     Balance
}

// A Balance says where all the water went, m³: In is what stood at the start
// and came since, and is Ponded + Left + Soaked + Evaporated.
type Balance struct {
	In, Ponded, Left, Soaked, Evaporated float64
}

// Error is what a balance lacks, m³.
func (b Balance) Error() float64 {
	return b.In - b.Ponded - b.Left - b.Soaked - b.Evaporated
}

// rates are Loss in metres.
type rates struct{ infiltration, room, rest []float64 }

// per spreads one number, or none, over n hollows.
func per(list []float64, n int, scale, none float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		switch len(list) {
		case 0:
			out[i] = none
		case 1:
			out[i] = list[0] * scale
		case n:
			out[i] = list[i] * scale
		default:
			panic(fmt.Sprintf("storm: losses for %d hollows, the site has %d", len(list), n))
		}
		if !(out[i] >= 0) {
			panic(fmt.Sprintf("storm: loss of %g", out[i]/scale))
		}
	}
	return out
}

// A shape is what a pond's way up and down needs of its hollow.
type shape struct {
	base, spill float64   // m
	kids        float64   // surface of its children, full, m²
	under       float64   // most water in cells of its own below its base, m³
	own         []float32 // levels of its own cells, m
}

// flow is what an outlet carries.
type flow struct {
	outlet
	hollow int32
	rate   float64 // m³/h
	since  float64 // h
}

// Simulate begins a simulation with the water of a state, or with none if it
// is nil. It panics on losses that are less than nothing or for another number
// of hollows.
func (s *Site) Simulate(start *State, loss Loss) *Simulation {
	n := len(s.hollow)
	m := &Simulation{
		site: s,
		loss: rates{
			per(loss.Infiltration, n, 1e-3, 0),
			per(loss.Room, n, 1e-3, math.Inf(1)),
			per(loss.Rest, n, 1e-3, 0),
		},
		shape: make([]shape, n), ponds: make([]pond, n), first: make([]int32, n+1), below: make([]float64, n),
		inflow: make([]float64, n), runoff: make([]float64, n), fed: make([]float64, n), feeders: make([]int32, n),
		due: make([]bool, n), tracks: make([][]spell, n), highest: make([]float64, n),
	}
	for i := range n {
		m.highest[i] = math.Inf(-1)
		for _, o := range s.outlets[i] {
			m.links = append(m.links, flow{outlet: o, hollow: int32(i)})
		}
		m.first[i+1] = int32(len(m.links))
	}
	eachHollow(n, func(i int) {
		h := &m.shape[i]
		h.base, h.spill, h.own = s.store().Base(i), s.h.All[i].Spill, s.store().OwnLevels(i)
		if k := s.hollow[i].child; k != outside {
			h.kids = s.h.All[k].Area + s.h.All[s.hollow[k].sibling].Area
			h.under = s.atBase(i) - s.held(int32(i))
		}
	})
	for k := n - 1; k >= 0; k-- {
		i := s.inwards[k]
		if p := s.hollow[i].parent; p != outside {
			m.below[p] += m.below[i]
			for _, o := range s.outlets[i] {
				m.below[p] += o.flow
			}
		}
	}
	if start == nil {
		start = s.Storm(0)
	}
	for i := range n {
		if start.over[i] == int32(i) {
			volume := start.volume[i]
			p := &m.ponds[i]
			p.active = true
			p.level = s.store().Level(i, volume)
			p.under = min(max(volume-s.held(int32(i)), 0), m.shape[i].under)
			m.begin(int32(i))
		}
	}
	m.sum.In = start.Ponded
	for k := range m.links { // those under water that stands as one
		if f := &m.links[k]; start.over[f.hollow] != outside && start.over[f.hollow] != f.hollow {
			m.carry(f, f.flow)
		}
	}
	return m
}

// Step lets a time of even weather pass. It panics if that is less than
// nothing.
func (m *Simulation) Step(w Step) {
	if !(w.Hours >= 0) || !(w.Evaporation >= 0) || math.IsInf(w.Hours, 1) {
		panic(fmt.Sprintf("storm: a step of %g hours with %g mm/h of evaporation", w.Hours, w.Evaporation))
	}
	if w.Hours == 0 {
		return
	}
	s := m.site
	m.sum.In += w.Inflow.Total()
	m.sum.Left += w.Inflow.Beyond
	clear(m.runoff)
	for i, v := range w.Inflow.To {
		m.runoff[i] = v / w.Hours
	}
	m.evap = w.Evaporation / 1000
	for k := len(s.inwards) - 1; k >= 0; k-- {
		i := s.inwards[k]
		m.add(i)
		if p := &m.ponds[i]; p.active && !(p.still && m.inflow[i] == 0) {
			m.want(i)
		}
	}
	m.next = m.next[:0]
	m.settleAll()
	end := m.now + w.Hours
	for len(m.next) > 0 && m.next[0].at <= end {
		e := m.next.pop()
		if p := &m.ponds[e.hollow]; !p.active || p.change != e.change {
			continue
		}
		m.now = max(m.now, e.at)
		m.arrive(e.hollow)
		m.want(e.hollow)
		m.settleAll()
	}
	m.now = end
	for i := range m.ponds {
		if p := &m.ponds[i]; p.active && !p.still {
			m.bring(int32(i))
		}
	}
	for k := range m.links {
		m.carry(&m.links[k], m.links[k].rate)
	}
}

// add finds the inflow of a hollow anew.
func (m *Simulation) add(i int32) {
	if k := m.site.hollow[i].child; k != outside {
		m.inflow[i] = m.inflow[k] + m.inflow[m.site.hollow[k].sibling]
	} else {
		m.inflow[i] = m.runoff[i] + m.fed[i]
	}
}

// feed changes what runs to a leaf, or to the outside, from elsewhere.
func (m *Simulation) feed(leaf int32, before, after float64) {
	if leaf == outside || before == after {
		return
	}
	pond := leaf
	for !m.ponds[pond].active {
		pond = m.site.hollow[pond].parent
	}
	m.bring(pond)
	switch {
	case before == 0:
		m.feeders[leaf]++
	case after == 0:
		m.feeders[leaf]--
	}
	if m.fed[leaf] += after - before; m.feeders[leaf] == 0 {
		m.fed[leaf] = 0
	}
	for i := leaf; ; i = m.site.hollow[i].parent {
		m.add(i)
		if i == pond {
			break
		}
	}
	m.want(pond)
}

// carry lets an outlet carry water at another rate.
func (m *Simulation) carry(f *flow, rate float64) {
	if f.to == outside {
		m.sum.Left += float64(f.rate * (m.now - f.since))
	}
	before := f.rate
	f.rate, f.since = rate, m.now
	m.feed(f.to, before, rate)
}

// spill lets a pond overflow at another rate. It has been brought to now.
func (m *Simulation) spill(i int32, rate float64) {
	before := m.ponds[i].over
	m.ponds[i].over = rate
	m.feed(m.site.hollow[i].spillsTo, before, rate)
}

// want has a pond settled anew.
func (m *Simulation) want(i int32) {
	if !m.due[i] {
		m.due[i] = true
		m.todo = append(m.todo, i)
	}
}

func (m *Simulation) settleAll() {
	for k := 0; k < len(m.todo); k++ {
		i := m.todo[k]
		m.due[i] = false
		if m.ponds[i].active {
			m.settle(i)
		}
	}
	m.todo = m.todo[:0]
}

// Balance says where the water is now.
func (m *Simulation) Balance() Balance {
	b := m.sum
	for i := range m.ponds {
		if m.ponds[i].active {
			b.Ponded += m.volume(int32(i))
		}
	}
	return b
}

// State is the water that stands now.
func (m *Simulation) State() *State {
	s := m.site
	st := &State{site: s, volume: make([]float64, len(m.ponds)), In: m.sum.In, Left: m.sum.Left}
	one := make([]bool, len(m.ponds))
	for i := range m.ponds {
		if one[i] = m.ponds[i].active; one[i] {
			st.volume[i] = m.volume(int32(i))
		}
	}
	st.settle(one)
	return st
}

// Watch keeps, from now on, the levels only of the hollows that can wet one of
// some cells. Over years of many hollows that is most of the memory and some
// of the time.
func (m *Simulation) Watch(cells ...int) {
	m.watched = make([]bool, len(m.ponds))
	owners := m.site.owners()
	for _, c := range cells {
		for i := owners[c]; i != outside && !m.watched[i]; i = m.site.hollow[i].parent {
			m.watched[i] = true
		}
	}
	m.Forget()
}

// Now is the time since the start, h.
func (m *Simulation) Now() float64 { return m.now }

// Run carries the water of a state, or none if it is nil, through steps of
// weather.
func (s *Site) Run(start *State, loss Loss, steps ...Step) *History {
	m := s.Simulate(start, loss)
	for _, w := range steps {
		m.Step(w)
	}
	return m.History()
}
