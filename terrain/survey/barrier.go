package survey

import (
	"math"

	"github.com/paulmach/orb"
)

// How breaklines enter the covariance.
const (
	barrierParts  = 16    // least parts a line is cut into
	barrierReach  = 1.5   // the lift at most, in reaches of the covariance
	sliver        = 1e-9  // of the length of a line: parts are longer
	besideLine    = 1e-7  // how far off a line its sides are looked at, scaled
	onLine        = 0.001 // a shot nearer to a line than this is on it, m
	mostStations  = 2000  // put on all lines together
	stationsApart = 3     // stations to a spacing of the shots
)

// A barrier keeps likeness from reaching across a breakline. It lifts the
// ground to its left by half the way round the line's nearer end, and lowers
// that to its right as much: points on two sides of the middle of a line lie
// as far apart as one has to walk from the one to the other, and points near
// its end hardly farther than without it. Distances are then measured in this
// higher space, with one dimension more for each line.
//
// So the covariance remains one: what is a covariance in every dimension (as
// Matérn and exponential are) is one here. To cut off covariances across a
// line, or to measure distances round it, does not keep that promise.
//
// The lift is the potential of a double layer on the line: it is smooth
// everywhere but on the line and dies away beyond its ends, and across the
// line it jumps by the strength of the layer there. The strength is
// 2 √(s (L - s)), s along a line of length L: that of a crack in an elastic
// sheet, for which the lift beside a straight line is nowhere steeper than 1.
// It is cut off where the covariance has all but gone. A closed line has the
// same strength all round, and lifts all that it encloses.
type barrier struct {
	points   []orb.Point // scaled coordinates
	strength []float64   // at each point, scaled units
}

// newBarrier cuts a line into parts, finer at its ends, where the strength
// changes most.
func newBarrier(line orb.LineString, closed bool, most float64) barrier {
	along := []float64{0}
	for i := 1; i < len(line); i++ {
		along = append(along, along[i-1]+math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]))
	}
	length := along[len(along)-1]
	var b barrier
	add := func(p orb.Point, s float64) {
		v := most
		if !closed {
			v = min(most, 2*math.Sqrt(max(s*(length-s), 0)))
		}
		b.points, b.strength = append(b.points, p), append(b.strength, v)
	}
	k := 1
	for i, p := range line {
		if i > 0 {
			from, to := along[i-1], along[i]
			for ; k < barrierParts && !closed; k++ {
				s := length * (1 - math.Cos(math.Pi*float64(k)/barrierParts)) / 2
				if s >= to-sliver*length {
					break
				}
				if s > from+sliver*length {
					t := (s - from) / (to - from)
					add(orb.Point{line[i-1][0] + t*(p[0]-line[i-1][0]), line[i-1][1] + t*(p[1]-line[i-1][1])}, s)
				}
			}
		}
		add(p, along[i])
	}
	return b
}

// lift is the coordinate of a point in the dimension of the barrier, scaled.
//
// For a straight part along the x axis from 0 to l with strength a + b t it is
//
//	1/2π ∫ (a + b t) y / ((t - x)² + y²) dt
//	  = 1/2π ((a + b x) θ + b y/2 ln(((l - x)² + y²) / (x² + y²)))
//
// where θ is the angle under which the part is seen, positive from the left.
// A point on the line counts as on its left.
func (b *barrier) lift(x, y float64) float64 {
	sum := 0.0
	for i := 1; i < len(b.points); i++ {
		p, q := b.points[i-1], b.points[i]
		px, py, qx, qy := p[0]-x, p[1]-y, q[0]-x, q[1]-y
		cross := float64(px*qy) - float64(py*qx) + 0 // l y; no minus zero
		angle := math.Atan2(cross, float64(px*qx)+float64(py*qy))
		dx, dy := qx-px, qy-py
		l2 := float64(dx*dx) + float64(dy*dy)
		if l2 == 0 {
			continue
		}
		t := -(float64(px*dx) + float64(py*dy)) / l2 // x / l
		slope := b.strength[i] - b.strength[i-1]     // b l
		sum += float64((b.strength[i-1] + slope*t) * angle)
		if slope != 0 && cross != 0 {
			sum += slope * cross / l2 / 2 * math.Log((float64(qx*qx)+float64(qy*qy))/(float64(px*px)+float64(py*py)))
		}
	}
	return sum / (2 * math.Pi)
}

// raise makes the barriers of the breaklines for a covariance that has all
// but gone at some reach, m.
func (m *Model) raise(reach float64) {
	m.barriers = nil
	for i := range m.lines {
		l := &m.lines[i]
		scaled := make(orb.LineString, len(l.Line))
		for j, p := range l.Line {
			scaled[j] = m.scaled(p)
		}
		m.barriers = append(m.barriers, newBarrier(scaled, l.closed(), barrierReach*reach/m.size))
	}
}

// A station is a place on a breakline whose height is known, seen from one of
// its sides.
type station struct {
	point orb.Point
	look  orb.Point // a hair off the line, scaled: where the lift is taken
	z     float64   // m
	noise float64   // m², NaN for the nugget
	shots []int     // that its height comes from
}

// hold puts the shots on breaklines on both of their sides, and stations
// along those with heights, close enough together for the surface to follow
// the line, beside the shots among the samples. Which of them hang on which
// shot is kept for validation.
func (m *Model) hold(o Options) {
	n := len(m.shots)
	m.extras = make([][]int, n)
	var all []station
	total := 0.0
	for i := range m.lines {
		if m.lines[i].Z != nil {
			total += lengthOf(m.lines[i].Line)
		}
	}
	apart := max(m.spacing/stationsApart, total/mostStations)
	if apart > m.spacing/stationsApart {
		m.Remarks = append(m.Remarks, "the breaklines are long for so few shots: heights on them are held every "+length(apart))
	}
	t := newTree(places(m.shots), 16)
	for i := range m.lines {
		all = append(all, m.stations(&m.lines[i], t, apart, o.Error)...)
	}
	for _, s := range all {
		k := m.samples.len()
		at := m.scaled(s.point)
		m.place(m.samples, at[0], at[1], s.look)
		m.samples.z = append(m.samples.z, s.z-m.level)
		m.samples.noise = append(m.samples.noise, s.noise)
		for _, i := range s.shots {
			m.extras[i] = append(m.extras[i], k)
		}
	}
}

// stations are those of one line. A shot on the line is seen from its left as
// it is, and gets a station for its right.
func (m *Model) stations(l *Breakline, t *tree, apart, stated float64) []station {
	var all []station
	vertex := make([]int, len(l.Line)) // the shot at each vertex, -1 for none
	for j := range vertex {
		vertex[j] = -1
	}
	noise := math.NaN()
	if e := (Shot{Error: l.Error}).errorOr(stated); e > 0 {
		noise = e * e
	}
	for j := 1; j < len(l.Line); j++ {
		p, q := l.Line[j-1], l.Line[j]
		long := math.Hypot(q[0]-p[0], q[1]-p[1])
		if long == 0 {
			continue
		}
		nx, ny := -(q[1]-p[1])/long*besideLine, (q[0]-p[0])/long*besideLine
		sides := func(s station) {
			at := m.scaled(s.point)
			right := s
			s.look, right.look = orb.Point{at[0] + nx, at[1] + ny}, orb.Point{at[0] - nx, at[1] - ny}
			all = append(all, s, right)
		}
		t.within(0, pad(orb.MultiPoint{p, q}.Bound(), onLine), func(i int) {
			shot := m.shots[i]
			if toSegment(shot.Point, p, q) > onLine {
				return
			}
			first := true
			for _, k := range [2]int{j - 1, j} {
				if c := l.Line[k]; math.Hypot(shot.Point[0]-c[0], shot.Point[1]-c[1]) <= onLine {
					first = first && vertex[k] < 0
					vertex[k] = i
				}
			}
			if !first {
				return
			}
			at := m.scaled(shot.Point)
			m.liftAt(m.samples, i, orb.Point{at[0] + nx, at[1] + ny})
			all = append(all, station{shot.Point, orb.Point{at[0] - nx, at[1] - ny}, shot.Z, m.samples.noise[i], []int{i}})
		})
		if l.Z == nil {
			continue
		}
		var from []int
		for _, k := range [2]int{j - 1, j} {
			if vertex[k] >= 0 {
				from = append(from, vertex[k])
			}
		}
		parts := max(int(math.Ceil(long/apart)), 1)
		for k := range parts + 1 {
			f := float64(k) / float64(parts)
			switch {
			case k == 0 && (j > 1 || vertex[0] >= 0), k == parts && vertex[j] >= 0:
				continue // the part before has it, or a shot is there
			case k == parts && l.closed() && j == len(l.Line)-1:
				continue // the first vertex again
			}
			sides(station{
				point: orb.Point{p[0] + f*(q[0]-p[0]), p[1] + f*(q[1]-p[1])},
				z:     l.Z[j-1] + f*(l.Z[j]-l.Z[j-1]), noise: noise, shots: from,
			})
		}
	}
	return all
}

func lengthOf(line orb.LineString) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
	}
	return sum
}
