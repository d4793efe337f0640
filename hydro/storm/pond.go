package storm

import (
	"math"
	"sort"
)

// A pond is the water of a hollow that stands as one, on its way up or down.
type pond struct {
	active bool
	at     float64 // time of what follows, h
	level  float64 // m
	under  float64 // m³ in the cells of its own below its base; more only comes when they are full
	soaked float64 // since the start, m³
	widest float64 // largest surface since the start, m²
	began  float64 // of this spell, h
	top    float64 // highest level in it, m

	// kept are both of the cells of its own while its parts stand apart.
	kept struct{ soaked, widest float64 }

	rise float64 // of the level, m/h
	gain float64 // of the water below its base, m³/h
	lost float64 // by soaking and evaporation, m³/h
	over float64 // spilled, m³/h
	full bool

	// still is a dry pond that nothing runs to.
	still bool

	// sinks is a level without inflow and outlets: it sinks at one rate
	// through all cells, and what is lost is what is gone.
	sinks bool

	goal   goal
	target float64
	change int32

	dry int // cells of its own below the level, when last settled
}

// A goal is what a pond comes to next.
type goal uint8

const (
	nowhere goal = iota
	aLevel
	anUnder
	noRoom
)

// area is the surface of a pond with so many cells of its own wet, m².
func (m *Simulation) area(i int32, wet int) float64 {
	return m.shape[i].kids + float64(float64(wet)*m.site.frame.CellArea())
}

// volume is the water of a pond, m³.
func (m *Simulation) volume(i int32) float64 {
	p := &m.ponds[i]
	if p.level <= m.shape[i].base {
		return m.site.held(i) + p.under
	}
	return m.site.store().Volume(int(i), p.level)
}

// infiltration is the rate at which a pond soaks in now, m/h.
func (m *Simulation) infiltration(i int32) float64 {
	if m.sated(i) {
		return m.loss.rest[i]
	}
	return m.loss.infiltration[i]
}

// sated reports whether the room below a pond is used up, but for what
// rounding may leave. Bowls that stand as one and apart by turns share what has
// soaked in anew each time, and the last of it would take forever.
func (m *Simulation) sated(i int32) bool {
	const rounding = 1e-12
	return m.ponds[i].soaked >= m.room(i)*(1-rounding)
}

// room is how much a pond has ever had room for in the soil below it, m³: the
// depth of it under all the ground that it has stood on.
func (m *Simulation) room(i int32) float64 {
	if math.IsInf(m.loss.room[i], 1) {
		return m.loss.room[i]
	}
	return m.loss.room[i] * m.ponds[i].widest
}

// widen takes note of the ground that a pond now stands on or at, so many of
// its own cells, or of the floor of a dry one.
func (m *Simulation) widen(i int32, wet int) {
	p := &m.ponds[i]
	if m.site.hollow[i].child == outside {
		wet = max(wet, 1)
	}
	p.widest = max(p.widest, m.area(i, wet))
}

// net is gain less loss, and nothing where they differ by rounding only: a
// pond in balance must not be told that it rises and falls by turns.
func net(gain, loss float64) float64 {
	const rounding = 1e-12
	if d := gain - loss; math.Abs(d) > rounding*(gain+loss) {
		return d
	}
	return 0
}

// bring moves a pond to now and books what it lost on the way.
func (m *Simulation) bring(i int32) {
	p := &m.ponds[i]
	hours := m.now - p.at
	if !(hours > 0) {
		return
	}
	lost := p.lost * hours
	if p.sinks {
		before := m.volume(i)
		p.level = max(p.level+p.rise*hours, m.shape[i].base)
		lost = before - m.volume(i)
	} else {
		p.level += p.rise * hours
		p.under += p.gain * hours
	}
	m.book(i, lost, hours)
	p.at = m.now
}

// book accounts for what a pond lost by soaking and evaporation, and spilled
// to the outside, m³, in a time.
func (m *Simulation) book(i int32, lost, hours float64) {
	p := &m.ponds[i]
	f := m.infiltration(i)
	evaporated := 0.0
	if m.evap > 0 {
		evaporated = lost * (m.evap / (f + m.evap))
	}
	m.sum.Evaporated += evaporated
	m.sum.Soaked += lost - evaporated
	p.soaked += lost - evaporated
	if m.site.hollow[i].spillsTo == outside {
		m.sum.Left += p.over * hours
	}
}

// filled is when, h from now, the room below a pond on its way is used up;
// +Inf where that is not.
func (m *Simulation) filled(i int32) float64 {
	p, f, left := &m.ponds[i], m.infiltration(i), m.room(i)-m.ponds[i].soaked
	if m.sated(i) || math.IsInf(left, 1) || f <= 0 || p.lost <= 0 {
		return math.Inf(1)
	}
	gone := left * ((f + m.evap) / f) // with what evaporates meanwhile, m³
	if !p.sinks {
		return gone / p.lost
	}
	if after := m.volume(i) - gone; after > m.site.atBase(int(i)) {
		return (p.level - m.site.store().Level(int(i), after)) / -p.rise
	}
	return math.Inf(1)
}

// wet reports whether a pond has any water.
func (m *Simulation) wet(i int32) bool {
	return m.site.hollow[i].child != outside || m.ponds[i].level > m.shape[i].base
}

// arrive brings a pond to the goal that it has now reached, exactly.
func (m *Simulation) arrive(i int32) {
	p := &m.ponds[i]
	m.bring(i)
	switch p.goal {
	case aLevel:
		p.level = p.target
	case anUnder:
		p.under = p.target
	case noRoom:
		p.soaked = m.room(i)
	}
}

// settle decides where a pond goes from here.
//
// Its losses grow with its level, by steps: at each cell that gets wet and at
// the level of each outlet. Between two steps it moves evenly. At a step it
// goes up if it gains with all that lies at the step taking part, down if it
// loses with none of it, and else it stays, with so much of it as balances.
func (m *Simulation) settle(i int32) {
	m.bring(i)
	p := &m.ponds[i]
	base, spill, own := m.shape[i].base, m.shape[i].spill, m.shape[i].own

	// Cells below the level, and those at it too. It mostly is where it was
	// among them, or one further.
	dry := p.dry
	if !(dry <= len(own) && (dry == 0 || float64(own[dry-1]) < p.level)) {
		dry = 0
	}
	if dry < len(own) && float64(own[dry]) < p.level {
		if dry++; dry < len(own) && float64(own[dry]) < p.level {
			dry += sort.Search(len(own)-dry, func(k int) bool { return float64(own[dry+k]) >= p.level })
		}
	}
	wet := dry
	for wet < len(own) && float64(own[wet]) <= p.level {
		wet++
	}
	p.dry = dry
	m.widen(i, wet)
	before := *p
	p.rise, p.gain, p.lost, p.full, p.sinks, p.still, p.goal = 0, 0, 0, false, false, false, nowhere
	p.change++
	over := 0.0
	rate := m.infiltration(i) + m.evap
	links := m.links[m.first[i]:m.first[i+1]]

	// Outlets below the level, and those at it too.
	open, opening := 0, 0
	out, outMore := m.below[i], m.below[i]
	for ; opening < len(links) && links[opening].level <= p.level; opening++ {
		outMore += links[opening].flow
		if links[opening].level < p.level {
			open, out = opening+1, outMore
		}
	}
	flowing, part := open, 0.0 // outlets that carry all they can; what the rest carries
	in := m.inflow[i]
	down := net(in, out+float64(rate*m.area(i, dry)))
	mostUnder := m.shape[i].under

	switch {
	case p.level <= base && p.under < mostUnder: // among cells below its base
		if p.under <= 0 && down <= 0 {
			if m.split(i, in, out) {
				return
			}
			p.lost = in - out
			break
		}
		p.gain, p.lost = down, float64(rate*m.area(i, dry))
		if down > 0 {
			p.goal, p.target = anUnder, mostUnder
		} else if down < 0 {
			p.goal, p.target = anUnder, 0
		}
	case p.level >= spill && down >= 0:
		p.full, over = true, down
		p.lost = float64(rate * m.area(i, dry))
	default:
		up := net(in, outMore+float64(rate*m.area(i, wet)))
		switch {
		case p.level < spill && up > 0:
			flowing = opening
			p.lost = float64(rate * m.area(i, wet))
			p.rise = up / m.area(i, wet)
			p.goal, p.target = aLevel, spill
			if wet < len(own) {
				p.target = min(p.target, float64(own[wet]))
			}
			if opening < len(links) {
				p.target = min(p.target, links[opening].level)
			}
		case down < 0 && p.level > base:
			p.lost = float64(rate * m.area(i, dry))
			p.rise = down / m.area(i, dry)
			p.goal, p.target = aLevel, base
			if in == 0 && out == 0 {
				p.sinks, p.rise = true, -rate
				break
			}
			if dry > 0 {
				p.target = max(p.target, float64(own[dry-1]))
			}
			if open > 0 {
				p.target = max(p.target, links[open-1].level)
			}
		case down < 0 && mostUnder > 0:
			p.gain, p.lost = down, float64(rate*m.area(i, dry))
			p.goal, p.target = anUnder, 0
		case down < 0:
			if m.split(i, in, out) {
				return
			}
			p.lost = in - out
		default:
			part = min(down, outMore-out)
			p.still = in == 0 && !m.wet(i)
			p.lost = float64(rate*m.area(i, dry)) + down - part
		}
	}
	if p.rise != before.rise || p.gain != before.gain {
		m.note(i)
	}
	for k := range links {
		rate := 0.0
		switch {
		case k < flowing:
			rate = links[k].flow
		case k < opening:
			rate = min(links[k].flow, part)
			part -= rate
		}
		if rate != links[k].rate {
			m.carry(&links[k], rate)
		}
	}
	if over != p.over {
		m.spill(i, over)
	}
	if p.full && over > 0 && m.join(i) {
		return
	}
	m.plan(i)
}

// plan writes down when a pond reaches its goal, or has no more room in the
// soil if that is before.
func (m *Simulation) plan(i int32) {
	p := &m.ponds[i]
	hours := math.Inf(1)
	switch p.goal {
	case aLevel:
		hours = max((p.target-p.level)/p.rise, 0)
	case anUnder:
		hours = max((p.target-p.under)/p.gain, 0)
	}
	if h := m.filled(i); h < hours {
		hours, p.goal = h, noRoom
	}
	if !math.IsInf(hours, 1) {
		m.next.push(event{at: p.at + hours, hollow: i, change: p.change})
	}
}
