package earthwork

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain"
)

func sloping(rows, cols int, cell float64, z func(x, y float64) float64) *terrain.Grid[float32] {
	g := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: cell, North: float64(rows) * cell})
	for i := range g.Cells {
		p := g.Centre(g.Cell(i))
		g.Cells[i] = float32(z(p[0], p[1]))
	}
	return g
}

// A bank of one point is a mound, worked out here for mounds alone.
func TestABankOfOnePointIsAMound(t *testing.T) {
	z := sloping(80, 90, 0.5, func(x, y float64) float64 { return 100 + 0.02*x - 0.01*y })
	m := Mound{Top: 2, Height: 0.6}
	at := orb.Point{20.3, 18.9}
	want, volume := stampAlone(z, []Placed{{m, at}})
	got, volumes := Build(z, []Bank{{m, orb.LineString{at}}})
	for i := range want.Cells {
		require.InDelta(t, want.Cells[i], got.Cells[i], 1e-5)
	}
	assert.InDelta(t, volume, volumes[0], 1e-9)
}

// stampAlone raises the ground by cones of their own.
func stampAlone(z *terrain.Grid[float32], mounds []Placed) (raised *terrain.Grid[float32], volume float64) {
	raised = terrain.NewGrid[float32](z.Frame)
	copy(raised.Cells, z.Cells)
	// The mounds over each cell, so that where they run together the higher
	// counts and no soil twice.
	over := map[int][]int{}
	var touched []int
	crown := make([]float64, len(mounds))
	for k, m := range mounds {
		ground, known := terrain.AtPoint(z, m.At)
		if !known || m.Height <= 0 {
			continue
		}
		crown[k] = float64(ground) + m.Height
		// On falling ground the sides reach further down than on the level.
		reach := m.Top/2 + 2*m.side()*m.Height
		west, north := (m.At[0]-reach-z.West)/z.CellSize, (z.North-m.At[1]-reach)/z.CellSize
		wide := 2 * reach / z.CellSize
		for r := max(0, int(math.Floor(north))); r <= min(z.Rows-1, int(math.Floor(north+wide))); r++ {
			for c := max(0, int(math.Floor(west))); c <= min(z.Cols-1, int(math.Floor(west+wide))); c++ {
				i := z.Index(r, c)
				if terrain.IsVoid(z.Cells[i]) {
					continue
				}
				if over[i] == nil {
					touched = append(touched, i)
				}
				over[i] = append(over[i], k)
			}
		}
	}
	for _, i := range touched {
		ground := float64(z.Cells[i])
		at := z.Centre(z.Cell(i))
		sum := 0.0
		for part := range stampParts * stampParts {
			x := at[0] + z.CellSize*((float64(part%stampParts)+0.5)/stampParts-0.5)
			y := at[1] + z.CellSize*((float64(part/stampParts)+0.5)/stampParts-0.5)
			level := ground
			for _, k := range over[i] {
				m := mounds[k]
				out := max(0, math.Hypot(x-m.At[0], y-m.At[1])-m.Top/2)
				if out <= 2*m.side()*m.Height {
					level = max(level, crown[k]-out/m.side())
				}
			}
			sum += level - ground
		}
		mean := sum / (stampParts * stampParts)
		raised.Cells[i] = float32(ground + mean)
		volume += mean * z.CellArea()
	}
	return raised, volume
}

// On level ground the soil is that of the closed form.
func TestABankTakesTheSoilOfItsSection(t *testing.T) {
	z := sloping(100, 100, 0.5, func(_, _ float64) float64 { return 50 })
	for _, b := range []Bank{
		{Mound{Top: 1.5, Height: 0.4}, orb.LineString{{10, 10}, {40, 30}}},
		{Mound{Top: 0.3, Height: 0.8, Side: 0.1}, orb.LineString{{10.1, 40.2}, {40.7, 12.9}}},
	} {
		_, volumes := Build(z, []Bank{b})
		assert.InEpsilon(t, b.Volume(), volumes[0], 0.02)
	}
	_, volumes := Build(z, []Bank{
		{Mound{Top: 1.5, Height: 0.4}, orb.LineString{{10, 10}, {40, 30}}},
		{Mound{Top: 1.5, Height: 0.4}, orb.LineString{{10, 10}, {40, 30}}},
	})
	assert.InDelta(t, 0, volumes[1], 1e-3, "no soil is brought twice")
}

// A wall far narrower than a cell parts the ground as high as it is, for all
// eight neighbours of a cell.
func TestANarrowWallIsTight(t *testing.T) {
	z := sloping(60, 60, 1, func(_, _ float64) float64 { return 10 })
	raised, _ := Build(z, []Bank{{Mound{Top: 0.2, Height: 0.5, Side: 0.1}, orb.LineString{{-5, 3.3}, {31.7, 22.1}, {66, 55.5}}}})
	// What can be reached from the south-west without climbing half a metre.
	seen := make([]bool, z.Len())
	todo := []int{z.Index(59, 0)}
	for seen[todo[0]] = true; len(todo) > 0; {
		row, col := z.Cell(todo[len(todo)-1])
		todo = todo[:len(todo)-1]
		for r := max(row-1, 0); r <= min(row+1, 59); r++ {
			for c := max(col-1, 0); c <= min(col+1, 59); c++ {
				if i := z.Index(r, c); !seen[i] && raised.Cells[i] < 10.499 {
					seen[i] = true
					todo = append(todo, i)
				}
			}
		}
	}
	assert.NotEqual(t, seen[z.Index(0, 0)], seen[z.Index(59, 59)])
	assert.True(t, seen[z.Index(59, 0)])
}

// A trench under level ground with an even fall is a prismoid.
func TestAChannelAlongALine(t *testing.T) {
	z := sloping(40, 80, 0.5, func(_, _ float64) float64 { return 20 })
	c := Channel{Bottom: 0.3, Side: 1.5, Fall: 0.002}
	d := c.Along(z, orb.LineString{{5, 5}, {20, 5}, {20, 15}}, 19.5)
	assert.InDelta(t, c.Between(0.5, 0.55, 25), d.Volume, 1e-5)
	assert.InDelta(t, 25, d.Length, 1e-9)
	assert.InDelta(t, 0.55, d.Deepest, 1e-5)
	assert.InDelta(t, 19.45, d.Level, 1e-9)
	off := c.Along(z, orb.LineString{{30, 5}, {50, 5}}, 19.5)
	assert.InDelta(t, 10, off.Length, 0.6, "only as far as the ground is known")
	assert.False(t, math.IsNaN(off.Volume))
}
