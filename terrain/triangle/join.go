package triangle

// join makes the way from a to b an edge that stays. Vertices on the way cut
// it in parts.
func (m *Mesh) join(a, b, edge int32) error {
	for a != b {
		end, crossed, err := m.crossings(a, b, edge)
		if err != nil {
			return err
		}
		if len(crossed) > 0 {
			m.clear(a, end, crossed)
		}
		t, i, _ := m.find(a, end)
		m.fixed[t] |= 1 << i
		u := m.next[t][i]
		m.fixed[u] |= 1 << m.off(u, end, a)
		if _, taken := m.edges[pair(a, end)]; !taken {
			m.edges[pair(a, end)] = edge
		}
		a = end
	}
	return nil
}

func pair(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }

// find is the triangle to the left of the edge from a to b and its corner
// off that edge, if there is such an edge.
func (m *Mesh) find(a, b int32) (t int32, i int, ok bool) {
	first := m.at[a]
	for t = first; ; {
		k := m.cornerAt(t, a)
		if m.corner[t][(k+1)%3] == b {
			return t, (k + 2) % 3, true
		}
		if t = m.next[t][(k+1)%3]; t == first {
			return 0, 0, false
		}
	}
}

func (m *Mesh) cornerAt(t, v int32) int {
	c := &m.corner[t]
	switch v {
	case c[0]:
		return 0
	case c[1]:
		return 1
	}
	return 2
}

// crossings are the edges that the way from a toward b crosses before it
// meets its first vertex, the end.
func (m *Mesh) crossings(a, b, edge int32) (end int32, crossed [][2]int32, err error) {
	pa, pb := m.points[a], m.points[b]
	first := m.at[a]
	t := first
	var right, left int32 // of the edge the way goes through
	for {
		k := m.cornerAt(t, a)
		c, d := m.corner[t][(k+1)%3], m.corner[t][(k+2)%3]
		if c == b {
			return b, nil, nil
		}
		if c != ghost {
			o := orient(pa, pb, m.points[c])
			if o == 0 && ahead(pa, pb, m.points[c]) {
				return c, nil, nil
			}
			if o < 0 && d != ghost && orient(pa, pb, m.points[d]) > 0 {
				right, left = c, d
				t = m.next[t][k]
				break
			}
		}
		if t = m.next[t][(k+1)%3]; t == first {
			panic("triangle: a vertex without a way toward another")
		}
	}
	for {
		if other, taken := m.edges[pair(right, left)]; taken {
			return 0, nil, &CrossingError{First: int(min(other, edge)), Second: int(max(other, edge))}
		}
		crossed = append(crossed, [2]int32{right, left})
		i := m.off(t, left, right)
		apex := m.corner[t][i]
		o := orient(pa, pb, m.points[apex])
		switch {
		case o == 0:
			return apex, crossed, nil
		case o > 0:
			left = apex
			t = m.next[t][m.cornerNot(t, right, apex)]
		default:
			right = apex
			t = m.next[t][m.cornerNot(t, left, apex)]
		}
	}
}

// cornerNot is the corner of a triangle that is neither a nor b.
func (m *Mesh) cornerNot(t, a, b int32) int {
	for i, v := range m.corner[t] {
		if v != a && v != b {
			return i
		}
	}
	panic("triangle: a triangle of two corners")
}

// ahead reports whether c, in a line with a and b, lies on b's side of a.
func ahead(a, b, c [2]float64) bool {
	if a[0] != b[0] {
		return (b[0] > a[0]) == (c[0] > a[0]) && a[0] != c[0]
	}
	return (b[1] > a[1]) == (c[1] > a[1]) && a[1] != c[1]
}

// clear flips the edges that cross the way from a to b until none does, and
// then those it made until all is Delaunay but for edges that stay.
func (m *Mesh) clear(a, b int32, crossed [][2]int32) {
	pa, pb := m.points[a], m.points[b]
	var made [][2]int32
	for len(crossed) > 0 {
		e := crossed[0]
		crossed = crossed[1:]
		t, i, _ := m.find(e[0], e[1])
		u := m.next[t][i]
		p, q := m.corner[t][i], m.corner[u][m.off(u, e[1], e[0])]
		if !m.convex(p, e[0], q, e[1]) {
			crossed = append(crossed, e)
			continue
		}
		m.flip(t, i)
		switch {
		case p == a || p == b || q == a || q == b,
			(orient(pa, pb, m.points[p]) > 0) == (orient(pa, pb, m.points[q]) > 0):
			made = append(made, [2]int32{p, q})
		default:
			crossed = append(crossed, [2]int32{p, q})
		}
	}
	t, i, _ := m.find(a, b)
	m.fixed[t] |= 1 << i
	u := m.next[t][i]
	m.fixed[u] |= 1 << m.off(u, b, a)
	m.legalise(made)
}

// convex reports whether the four corners turn left at each.
func (m *Mesh) convex(a, b, c, d int32) bool {
	return orient(m.points[a], m.points[b], m.points[c]) > 0 && orient(m.points[c], m.points[d], m.points[a]) > 0 &&
		orient(m.points[b], m.points[c], m.points[d]) > 0 && orient(m.points[d], m.points[a], m.points[b]) > 0
}

// legalise flips edges whose circles are not empty, and looks again at the
// edges around each (Lawson).
func (m *Mesh) legalise(edges [][2]int32) {
	for len(edges) > 0 {
		e := edges[len(edges)-1]
		edges = edges[:len(edges)-1]
		t, i, ok := m.find(e[0], e[1])
		if !ok || m.fixed[t]&(1<<i) != 0 {
			continue
		}
		u := m.next[t][i]
		if m.isGhost(t) || m.isGhost(u) {
			continue
		}
		p, q := m.corner[t][i], m.corner[u][m.off(u, e[1], e[0])]
		if inCircle(m.points[p], m.points[e[0]], m.points[e[1]], m.points[q]) <= 0 {
			continue
		}
		m.flip(t, i)
		edges = append(edges, [2]int32{p, e[0]}, [2]int32{e[0], q}, [2]int32{q, e[1]}, [2]int32{e[1], p})
	}
}

// flip puts the other diagonal into the four corners around an edge: from
// corner i of t to the one across.
func (m *Mesh) flip(t int32, i int) {
	u := m.next[t][i]
	p, a, b := m.corner[t][i], m.corner[t][(i+1)%3], m.corner[t][(i+2)%3]
	j := m.off(u, b, a)
	q := m.corner[u][j]
	pb, pa := m.next[t][(i+1)%3], m.next[t][(i+2)%3] // across the edges of p and b, p and a
	qa, qb := m.next[u][(j+1)%3], m.next[u][(j+2)%3]
	bit := func(t int32, i, to int) uint8 { return m.fixed[t] >> (i % 3) & 1 << to }
	fixedT := bit(t, i+2, 2) | bit(u, j+1, 0)
	fixedU := bit(u, j+2, 2) | bit(t, i+1, 0)
	// t becomes p, a, q and u becomes q, b, p.
	m.corner[t], m.next[t], m.fixed[t] = [3]int32{p, a, q}, [3]int32{qa, u, pa}, fixedT
	m.corner[u], m.next[u], m.fixed[u] = [3]int32{q, b, p}, [3]int32{pb, t, qb}, fixedU
	m.next[qa][m.off(qa, q, a)] = t
	m.next[pb][m.off(pb, p, b)] = u
	for _, v := range [4]int32{p, a, q, b} {
		if v == b {
			m.at[v] = u
		} else if v != ghost {
			m.at[v] = t
		}
	}
}
