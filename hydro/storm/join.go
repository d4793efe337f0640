package storm

// join makes one pond of a full one that gains and its sibling, if that is
// full too, and reports whether it did.
func (m *Simulation) join(i int32) bool {
	s := m.site
	j := s.hollow[i].sibling
	if j == outside || !m.ponds[j].active || !m.ponds[j].full {
		return false
	}
	m.bring(j)
	m.spill(i, 0)
	m.spill(j, 0)
	a, b := &m.ponds[i], &m.ponds[j]
	up := s.hollow[i].parent
	m.end(i)
	m.end(j)
	m.add(up)
	change, kept := m.ponds[up].change, m.ponds[up].kept
	m.ponds[up] = pond{
		active: true,
		at:     m.now,
		level:  m.shape[up].base,
		soaked: a.soaked + b.soaked + kept.soaked,
		widest: a.widest + b.widest + kept.widest,
		change: change + 1,
	}
	m.begin(up)
	m.want(up)
	return true
}

// split parts a pond at its inner saddle and reports whether it did. It does
// not if its parts would join again at once: where together they would gain,
// but not over the cells between them, water stays at the saddle.
func (m *Simulation) split(i int32, in, out float64) bool {
	s := m.site
	a := s.hollow[i].child
	b := s.hollow[a].sibling
	lost := out
	whole := m.ponds[i]
	whole.kept.soaked, whole.kept.widest = whole.soaked, whole.widest
	for _, k := range [2]int32{a, b} {
		kid := &m.ponds[k]
		kid.widest = float64(s.h.All[k].Cells) * s.frame.CellArea()
		kid.soaked = whole.soaked * kid.widest / whole.widest
		whole.kept.soaked -= kid.soaked
		whole.kept.widest -= kid.widest
		lost += float64((m.infiltration(k) + m.evap) * float64(s.h.All[k].Cells) * s.frame.CellArea())
	}
	if net(in, lost) > 0 {
		return false
	}
	for k := m.first[i]; k < m.first[i+1]; k++ {
		m.carry(&m.links[k], 0)
	}
	if m.ponds[i].over != 0 {
		m.spill(i, 0)
	}
	m.end(i)
	m.ponds[i].kept.soaked, m.ponds[i].kept.widest = max(whole.kept.soaked, 0), max(whole.kept.widest, 0)
	for _, k := range [2]int32{a, b} {
		m.ponds[k] = pond{
			active: true,
			at:     m.now,
			level:  m.shape[k].spill,
			under:  m.shape[k].under,
			soaked: m.ponds[k].soaked,
			widest: m.ponds[k].widest,
			kept:   m.ponds[k].kept,
			change: m.ponds[k].change + 1,
		}
		m.begin(k)
		m.want(k)
	}
	return true
}
