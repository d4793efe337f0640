package ground

import (
	"slices"

	"wetfeet/terrain"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// Within marks the cells of a frame whose middle lies inside a boundary given
// in longitude and latitude. Holes are outside.
//
// Each row of cells is one line across the boundary: where its rings cross
// that line an odd number of times further west, a cell is inside. That takes
// one pass over the ring for each row, not for each cell.
func Within(f terrain.Frame, boundary orb.MultiPolygon) (*terrain.Grid[bool], error) {
	t, err := raster.NewTransform(raster.LonLatCRS, f.CRS)
	if err != nil {
		return nil, err
	}
	defer t.Close()
	var rings []orb.Ring
	for _, polygon := range boundary {
		for _, ring := range polygon {
			r := slices.Clone(ring)
			if err := t.Points(r); err != nil {
				return nil, err
			}
			rings = append(rings, r)
		}
	}
	g := terrain.NewGrid[bool](f)
	var cross []float64
	for row := range f.Rows {
		y := f.Centre(row, 0)[1]
		cross = cross[:0]
		for _, r := range rings {
			for i := 1; i < len(r); i++ {
				a, b := r[i-1], r[i]
				if (a[1] > y) != (b[1] > y) {
					cross = append(cross, a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]))
				}
			}
		}
		slices.Sort(cross)
		k := 0
		for col := range f.Cols {
			x := f.Centre(row, col)[0]
			for k < len(cross) && cross[k] <= x {
				k++
			}
			g.Set(row, col, k%2 == 1)
		}
	}
	return g, nil
}
