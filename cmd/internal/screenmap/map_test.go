package screenmap

import (
	"image/color"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
)

// plane is a site on ground that rises by a quarter metre a cell to the south
// and an eighth to the east, which float32 holds exactly.
func plane(rows, cols int) *assess.Result {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: rows, Cols: cols, CellSize: 1, West: 100, North: 200})
	for i := range z.Cells {
		r, c := z.Cell(i)
		z.Cells[i] = float32(r)/4 + float32(c)/8
	}
	return &assess.Result{Drain: &hydro.Drainage{Ground: z, Smoothed: z, Hollows: &hydro.Hollows{Outer: make([]int32, z.Len())}}}
}

func TestALargeGroundIsThinned(t *testing.T) {
	r := plane(7, 10)
	m := Of(r, 70)
	assert.Equal(t, []int{1, 7, 10}, []int{m.Step, m.Rows, m.Cols})
	m = Of(r, 69)
	assert.Equal(t, []int{2, 4, 5}, []int{m.Step, m.Rows, m.Cols})
	assert.Equal(t, 2.0, m.CellSize)
	var cells []int
	m.Each(func(i, cell int) {
		assert.Equal(t, len(cells), i)
		cells = append(cells, cell)
	})
	assert.Equal(t, []int{0, 2, 4, 6, 8, 20, 22}, cells[:7])
	assert.Len(t, cells, 20)

	picture := m.Picture(func(cell int) (color.NRGBA, bool) { return color.NRGBA{uint8(cell), 0, 0, 255}, cell != 2 })
	assert.Equal(t, color.NRGBA{20, 0, 0, 255}, picture.NRGBAAt(0, 1))
	assert.Zero(t, picture.NRGBAAt(1, 0), "left alone")
}

// Between the middles of cells of a plane every figure is known; at the rim the
// outermost holds.
func TestBetweenCells(t *testing.T) {
	r := plane(4, 4)
	m := Of(r, 100)
	z := r.Drain.Ground
	assert.Equal(t, 0.0, m.Between(z, 0.5, 0.5))
	assert.Equal(t, 0.5*0.25+1.25*0.125, m.Between(z, 1.75, 1))
	assert.Equal(t, 0.0, m.Between(z, 0, 0))
	z.Set(1, 1, terrain.Void())
	assert.True(t, terrain.IsVoid(float32(m.Between(z, 1.25, 1.25))))
}

func TestFlowLinesStopAtWaterAndBeforeTheRim(t *testing.T) {
	r := plane(20, 40)
	m := Of(r, 1000)
	var course orb.LineString
	for c := range 40 {
		course = append(course, r.Drain.Ground.Centre(10, c))
	}
	parts := m.dryParts(course)
	assert.Len(t, parts, 1)
	assert.Equal(t, course[3:37], parts[0], "three cells from the end of the ground")
	r.Drain.Hollows.Outer[r.Drain.Ground.Index(10, 12)] = 1
	parts = m.dryParts(course)
	assert.Len(t, parts, 2)
	assert.Equal(t, course[3:12], parts[0])
	assert.Equal(t, course[13:37], parts[1])
	r.Drain.Hollows.Outer[r.Drain.Ground.Index(10, 8)] = 1
	assert.Len(t, m.dryParts(course), 1, "what is left between two ponds is too short to draw")
}
