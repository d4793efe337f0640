package watertable

import (
	"github.com/paulmach/orb"

	"wetfeet/terrain"
)

// A Table is the map of a water table.
type Table struct {
	Depth *terrain.Grid[float32] // below the ground, m; 0 where it stands at or above it

	// Seepage is the ground, m², where the table came out above the ground and
	// was cut off, ponds apart.
	Seepage float64

	// Highest is how far it came out above the ground at most, m. More than a
	// few decimetres says that the soil carries more than its conductivity
	// tells, or that a drain was not drawn.
	Highest float64
}

// Table draws the map of a state, on the frame of the ground: the head is
// interpolated to its cells and taken off the full detail of the ground.
func (m *Model) Table(s *State) *Table {
	z := m.site.Ground
	head := make([]float64, m.aquifer.Len())
	terrain.Bands(m.aquifer.Rows, func(lo, hi int) {
		for i := lo * m.aquifer.Cols; i < hi*m.aquifer.Cols; i++ {
			head[i] = m.head(spot{cell: [4]int{i}, share: [4]float64{1}}, s)
		}
	})
	t := &Table{Depth: terrain.NewGrid[float32](z.Frame)}
	wet, highest := make([]int, z.Rows), make([]float64, z.Rows)
	terrain.Bands(z.Rows, func(lo, hi int) {
		for r := lo; r < hi; r++ {
			for c := range z.Cols {
				i := z.Index(r, c)
				if terrain.IsVoid(z.Cells[i]) {
					t.Depth.Cells[i] = terrain.Void()
					continue
				}
				depth := float64(z.Cells[i]) - m.around(r, c).of(head)
				t.Depth.Cells[i] = float32(max(0, depth))
				if depth < 0 && !(m.site.Ponds != nil && m.site.Ponds.Cells[i] > 0) {
					wet[r]++
					highest[r] = max(highest[r], -depth)
				}
			}
		}
	})
	for r, n := range wet {
		t.Seepage += float64(n) * z.CellArea()
		t.Highest = max(t.Highest, highest[r])
	}
	return t
}

// Daily is the stores of a site that begin in a state. The slopes yield what
// is steady at the state under the recharge given, m/day, above 0: that of the
// season in which the table was observed. The flats yield the recharge the
// state has, and react as the map does: the water in them is the porosity
// times the mean height of the table for a unit of recharge.
func (m *Model) Daily(s *State, recharge float64) *Daily {
	d := &Daily{Slope: SlopeAt(s.M, s.Deficit, recharge), Flat: Flat{Reaction: 1}, Deficit: s.Deficit}
	if m.storage > 0 {
		d.Flat.Reaction = 1 / (m.Soil.DrainablePorosity * m.storage)
		d.Stored = s.Recharge / d.Flat.Reaction
	}
	return d
}

// Position is how the depth of the table below a point follows the stores of
// [Model.Daily], and whether the point lies on known ground.
func (m *Model) Position(s *State, p orb.Point) (Position, bool) {
	row, col, ok := m.site.Ground.Locate(p)
	if !ok || terrain.IsVoid(m.site.Ground.At(row, col)) {
		return Position{}, false
	}
	d, at := m.Daily(s, 1), m.around(row, col)
	q := Position{PerDeficit: -at.of(m.perDeficit), PerStored: d.Flat.Reaction * at.of(m.perRecharge)}
	here := float64(m.site.Ground.At(row, col)) - m.head(at, s)
	q.Base = here - float64(q.PerDeficit*s.Deficit) + float64(q.PerStored*d.Stored)
	return q, true
}
