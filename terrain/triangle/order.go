package triangle

import (
	"cmp"
	"slices"

	"github.com/paulmach/orb"
)

// sort lists one point for each place along a Hilbert curve, so that the next
// point is mostly near the one before, and says which stands for which.
func (m *Mesh) sort() {
	type key struct {
		curve uint64
		point int32
	}
	box := orb.MultiPoint(m.points).Bound()
	side := max(box.Max[0]-box.Min[0], box.Max[1]-box.Min[1])
	if side == 0 {
		side = 1
	}
	const steps = 1 << 20
	keys := make([]key, len(m.points))
	for i, p := range m.points {
		x := uint32(min((p[0]-box.Min[0])/side*steps, steps-1))
		y := uint32(min((p[1]-box.Min[1])/side*steps, steps-1))
		keys[i] = key{hilbert(x, y, steps), int32(i)}
	}
	slices.SortFunc(keys, func(a, b key) int {
		p, q := m.points[a.point], m.points[b.point]
		return cmp.Or(cmp.Compare(a.curve, b.curve), cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]), cmp.Compare(a.point, b.point))
	})
	for i, k := range keys {
		if i > 0 && m.points[k.point] == m.points[keys[i-1].point] {
			m.same[k.point] = m.same[keys[i-1].point]
			continue
		}
		m.same[k.point] = k.point
		m.order = append(m.order, k.point)
	}
}

// hilbert is how far along the curve of Hilbert (1891, Mathematische Annalen
// 38, 459–460) a cell of a square lies, whose side is a power of two.
func hilbert(x, y, side uint32) uint64 {
	var d uint64
	for s := side / 2; s > 0; s /= 2 {
		var rx, ry uint32
		if x&s > 0 {
			rx = 1
		}
		if y&s > 0 {
			ry = 1
		}
		d += uint64(s) * uint64(s) * uint64((3*rx)^ry)
		if ry == 0 {
			if rx == 1 {
				x, y = side-1-x, side-1-y
			}
			x, y = y, x
		}
	}
	return d
}
