package earthwork

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"

	"wetfeet/terrain"
)

// A Bank is soil along a line: a bed to plant on, or a wall of earth or stone.
// It has the section of a mound, whose Top is the width of its platform, and
// its ends are round. The platform follows the ground along the line. A line
// of one point is a mound.
type Bank struct {
	Mound
	Line orb.LineString // m
}

// Volume is the soil in a straight bank on level ground that touches no other,
// m³: that of a bed of its length and, with both ends, of a mound.
func (b Bank) Volume() float64 {
	return b.Mound.Volume() + planar.Length(b.Line)*b.BedVolume()
}

// A reach is a straight part of a bank with the level of its platform along
// it, m, at places as far apart as each other; NaN off the known ground.
type reach struct {
	bank   int // its index
	a, b   orb.Point
	crowns []float64
}

// level is that of the bank at a point, m, and whether it reaches there.
func (s *reach) level(m *Mound, x, y float64) (float64, bool) {
	dx, dy := s.b[0]-s.a[0], s.b[1]-s.a[1]
	t := 0.0
	if long := dx*dx + dy*dy; long > 0 {
		t = min(1, max(0, ((x-s.a[0])*dx+(y-s.a[1])*dy)/long))
	}
	out := max(0, math.Hypot(x-s.a[0]-t*dx, y-s.a[1]-t*dy)-m.Top/2)
	if out > 2*m.side()*m.Height {
		return 0, false
	}
	at := t * float64(len(s.crowns)-1)
	i := min(int(at), max(len(s.crowns)-2, 0))
	crown := s.crowns[i]
	if next := min(i+1, len(s.crowns)-1); next > i {
		crown += (at - float64(i)) * (s.crowns[next] - crown)
	}
	return crown - out/m.side(), crown == crown
}

// Build raises a copy of the ground by banks, to send the water over it, and
// says what soil each takes as the ground lies, m³, settled; where two run
// together the higher counts, and the first takes what both would. Each stands
// on the ground as it was before any. As in [Stamp] a cell is raised by the
// mean over its area; those under the line itself are raised as high as the
// platform, so that a bank narrower than a cell holds water back as high as it
// is.
func Build(z *terrain.Grid[float32], banks []Bank) (raised *terrain.Grid[float32], volumes []float64) {
	raised = terrain.NewGrid[float32](z.Frame)
	copy(raised.Cells, z.Cells)
	volumes = make([]float64, len(banks))
	over := map[int][]*reach{} // each cell, in the order of the banks
	var touched []int
	var all [][]reach
	for k := range banks {
		if b := &banks[k]; b.Height > 0 && len(b.Line) > 0 {
			reaches := b.reaches(z, k)
			all = append(all, reaches)
			for i := range reaches {
				touched = reaches[i].under(z, &b.Mound, over, touched)
			}
		}
	}
	const part = 1.0 / (stampParts * stampParts)
	for _, i := range touched {
		ground := float64(z.Cells[i])
		at := z.Centre(z.Cell(i))
		sum := 0.0
		for p := range stampParts * stampParts {
			x := at[0] + z.CellSize*((float64(p%stampParts)+0.5)/stampParts-0.5)
			y := at[1] + z.CellSize*((float64(p/stampParts)+0.5)/stampParts-0.5)
			level := ground
			for _, s := range over[i] {
				if l, on := s.level(&banks[s.bank].Mound, x, y); on && l > level {
					volumes[s.bank] += (l - level) * part * z.CellArea()
					level = l
				}
			}
			sum += level - ground
		}
		raised.Cells[i] = float32(ground + float64(sum*part))
	}
	for _, reaches := range all {
		for i := range reaches {
			reaches[i].close(raised)
		}
	}
	return raised, volumes
}

// under notes the cells that a part of a bank may raise.
func (s *reach) under(z *terrain.Grid[float32], m *Mound, over map[int][]*reach, touched []int) []int {
	// On falling ground the sides reach further down than on the level.
	far := m.Top/2 + 2*m.side()*m.Height
	bound := orb.LineString{s.a, s.b}.Bound().Pad(far)
	west, east := (bound.Min[0]-z.West)/z.CellSize, (bound.Max[0]-z.West)/z.CellSize
	north, south := (z.North-bound.Max[1])/z.CellSize, (z.North-bound.Min[1])/z.CellSize
	for r := max(0, int(math.Floor(north))); r <= min(z.Rows-1, int(math.Floor(south))); r++ {
		for c := max(0, int(math.Floor(west))); c <= min(z.Cols-1, int(math.Floor(east))); c++ {
			i := z.Index(r, c)
			if terrain.IsVoid(z.Cells[i]) || planar.DistanceFromSegment(s.a, s.b, z.Centre(r, c)) > far+z.CellSize {
				continue
			}
			if over[i] == nil {
				touched = append(touched, i)
			}
			over[i] = append(over[i], s)
		}
	}
	return touched
}

// reaches are the straight parts of a bank on the ground.
func (b *Bank) reaches(z *terrain.Grid[float32], bank int) []reach {
	crown := func(p orb.Point) float64 {
		ground, known := terrain.AtPoint(z, p)
		if !known {
			return math.NaN()
		}
		return float64(ground) + b.Height
	}
	if len(b.Line) == 1 {
		p := b.Line[0]
		return []reach{{bank, p, p, []float64{crown(p)}}}
	}
	var all []reach
	for i := 1; i < len(b.Line); i++ {
		s := reach{bank: bank, a: b.Line[i-1], b: b.Line[i]}
		n := max(1, int(math.Ceil(planar.Distance(s.a, s.b)/(z.CellSize/2))))
		for k := range n + 1 {
			s.crowns = append(s.crowns, crown(between(s.a, s.b, float64(k)/float64(n))))
		}
		all = append(all, s)
	}
	return all
}

// close raises the cells under the line to the level of the platform, and where
// the line goes from a cell to one at its corner one beside them too, so that
// no water slips through.
func (s *reach) close(raised *terrain.Grid[float32]) {
	if s.a == s.b {
		return
	}
	row, col, inside := 0, 0, false
	lift := func(r, c int, crown float64) {
		if i := raised.Index(r, c); !terrain.IsVoid(raised.Cells[i]) {
			raised.Cells[i] = max(raised.Cells[i], float32(crown))
		}
	}
	const finer = 4 // than the places at which the level is known
	n := (len(s.crowns) - 1) * finer
	for k := range n + 1 {
		i := min(k/finer, len(s.crowns)-2)
		t := float64(k-i*finer) / finer
		crown := s.crowns[i] + t*(s.crowns[i+1]-s.crowns[i])
		r, c, on := raised.Locate(between(s.a, s.b, float64(k)/float64(n)))
		if on && crown == crown {
			if lift(r, c, crown); inside && r != row && c != col {
				lift(row, c, crown)
			}
		}
		row, col, inside = r, c, on && crown == crown
	}
}

func between(a, b orb.Point, t float64) orb.Point {
	return orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
}

// Along is what it takes to dig a channel along a line over the ground, its
// bottom at a level, m, where the line begins. Ground below the bottom is not
// filled, and where none is known nothing is dug.
func (c Channel) Along(z *terrain.Grid[float32], line orb.LineString, level float64) Dug {
	d := Dug{Level: level}
	for i := 1; i < len(line); i++ {
		long := planar.Distance(line[i-1], line[i])
		n := max(1, int(math.Ceil(long/(z.CellSize/2))))
		apart := long / float64(n)
		before, knew := terrain.AtPoint(z, line[i-1])
		for k := 1; k <= n; k++ {
			ground, known := terrain.AtPoint(z, between(line[i-1], line[i], float64(k)/float64(n)))
			next := d.Level - float64(c.Fall*apart)
			if known && knew {
				from, to := float64(before)-d.Level, float64(ground)-next
				d.Volume += c.Between(from, to, apart)
				d.Deepest = max(d.Deepest, from, to)
				switch {
				case from >= 0 && to >= 0 && from+to > 0:
					d.Length += apart
				case from > 0 || to > 0:
					d.Length += apart * max(from, to) / math.Abs(from-to)
				}
			}
			d.Level, before, knew = next, ground, known
		}
	}
	return d
}
