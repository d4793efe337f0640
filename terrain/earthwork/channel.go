package earthwork

import (
	"errors"
	"fmt"
	"math"

	"wetfeet/terrain"
)

// A Channel is a section to be dug, and how it falls.
type Channel struct {
	Bottom float64 // width of the bottom, m
	Side   float64 // run over rise of the sides; 0 is upright
	Fall   float64 // of the bottom along the way, rise over run
}

// Check says what is wrong with a channel, all of it.
func (c Channel) Check() error {
	var bad []error
	if !(c.Bottom >= 0 && c.Bottom <= 100) {
		bad = append(bad, fmt.Errorf("the bottom is %v m wide, not 0 to 100", c.Bottom))
	}
	if !(c.Side >= 0 && c.Side <= 20) {
		bad = append(bad, fmt.Errorf("the sides run %v across for 1 up, not 0 to 20", c.Side))
	}
	if c.Bottom == 0 && c.Side == 0 {
		bad = append(bad, errors.New("a channel without a width holds nothing"))
	}
	if !(c.Fall >= 0 && c.Fall <= 1) {
		bad = append(bad, fmt.Errorf("the bottom falls %v m a metre, not 0 to 1", c.Fall))
	}
	return errors.Join(bad...)
}

// Section is the area of a cut so deep, m².
func (c Channel) Section(depth float64) float64 {
	if depth <= 0 {
		return 0
	}
	return depth * (c.Bottom + c.Side*depth)
}

// Between is what is dug between two stations so far apart, at which the cut
// is so deep, m³: the prismoidal formula, L (A₁ + 4 Aₘ + A₂) / 6, which is
// exact for a section of even sides whose depth runs straight. Where the
// bottom comes out of the ground between them the cut ends there.
func (c Channel) Between(first, second, apart float64) float64 {
	if first < second {
		first, second = second, first
	}
	if first <= 0 {
		return 0
	}
	if second < 0 {
		apart, second = apart*first/(first-second), 0
	}
	return apart / 6 * (c.Section(first) + 4*c.Section((first+second)/2) + c.Section(second))
}

// AverageEnd is the same volume by the mean of the end areas, L (A₁ + A₂) / 2,
// as it is paid for; it is never less.
func AverageEnd(first, second, apart float64) float64 { return apart * (first + second) / 2 }

// Dug is what digging a channel comes to.
type Dug struct {
	Volume  float64 // m³, as it lay
	Length  float64 // over which there is anything to dig, m
	Deepest float64 // m
	Level   float64 // of the bottom at the end of the way, m
}

// Dig is what it takes to dig a channel along a path of neighbouring cells,
// its bottom at a level, m, at the first. Ground below the bottom is not
// filled. It panics on a path that jumps, is empty or crosses a void.
func (c Channel) Dig(z *terrain.Grid[float32], path []int, level float64) Dug {
	var d Dug
	d.Level = level
	for k, cell := range path {
		ground := float64(z.Cells[cell])
		if math.IsNaN(ground) {
			panic("earthwork: a path through ground that is not known")
		}
		d.Deepest = max(d.Deepest, ground-d.Level)
		if k+1 == len(path) {
			break
		}
		apart := z.CellSize * step(z.Frame, cell, path[k+1])
		next := d.Level - float64(c.Fall*apart)
		from, to := ground-d.Level, float64(z.Cells[path[k+1]])-next
		d.Volume += c.Between(from, to, apart)
		switch {
		case from >= 0 && to >= 0 && from+to > 0:
			d.Length += apart
		case from > 0 || to > 0:
			d.Length += apart * max(from, to) / math.Abs(from-to)
		}
		d.Level = next
	}
	return d
}

// step is how far apart two neighbouring cells are, in cells.
func step(f terrain.Frame, a, b int) float64 {
	r, c := f.Cell(a)
	q, d := f.Cell(b)
	rows, cols := q-r, d-c
	if rows < -1 || rows > 1 || cols < -1 || cols > 1 || rows == 0 && cols == 0 {
		panic(fmt.Sprintf("earthwork: cells %d and %d of a path are no neighbours", a, b))
	}
	return math.Hypot(float64(rows), float64(cols))
}
