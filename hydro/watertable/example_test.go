package watertable_test

import (
	"fmt"

	"github.com/paulmach/orb"

	"wetfeet/hydro"
	"wetfeet/hydro/watertable"
	"wetfeet/terrain"
)

// Loam over clay 3 m down, drains at 1.2 m: how far apart, if the table is to
// stay 70 cm below the trees while 7 mm a day drain away?
func ExampleDrains_Spacing() {
	d := watertable.Drains{Above: 0.5, Below: 0.5, Barrier: 1.8, Radius: 0.05}
	l, err := d.Spacing(0.007, 0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f m apart\n", l)
	// Output: 20.0 m apart
}

// A level strip 41 m wide between two ditches, with one auger hole in its
// middle.
func ExampleModel_Fit() {
	frame := terrain.Frame{Rows: 10, Cols: 41, CellSize: 1, North: 10}
	ground, index := terrain.NewGrid[float32](frame), terrain.NewGrid[float32](frame)
	for i := range ground.Cells {
		ground.Cells[i], index.Cells[i] = 10, 8
	}
	ditch := func(x float64) watertable.Ditch {
		return watertable.Ditch{Ditch: hydro.Ditch{Name: "ditch", Line: orb.LineString{{x, 0}, {x, 10}}}, Below: 1}
	}
	m, err := watertable.Prepare(watertable.Site{
		Ground: ground, Index: index,
		Soil:    watertable.Soil{Conductivity: 0.5, DrainablePorosity: 0.08},
		Ditches: []watertable.Ditch{ditch(0.5), ditch(40.5)},
	}, watertable.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	state, err := m.Fit([]watertable.Observation{{Name: "auger hole", At: orb.Point{20.5, 5}, Depth: 0.6}})
	if err != nil {
		fmt.Println(err)
		return
	}
	table := m.Table(state)
	for _, x := range []int{0, 5, 10, 20} {
		depth := float64(table.Depth.At(5, x))
		fmt.Printf("%2d m from the ditch: %.2f m", x, depth)
		if watertable.TooNear(depth, 0.8) {
			fmt.Print(", too near for a tree that wants 0.80 m")
		}
		fmt.Println()
	}
	// Output:
	//  0 m from the ditch: 1.00 m
	//  5 m from the ditch: 0.82 m
	// 10 m from the ditch: 0.70 m, too near for a tree that wants 0.80 m
	// 20 m from the ditch: 0.60 m, too near for a tree that wants 0.80 m
}
