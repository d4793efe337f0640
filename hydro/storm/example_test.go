package storm_test

import (
	"fmt"

	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// A garden of two hollows: the one in the west spills into the one in the
// east at 5 m, and both together to the east at 6 m.
func garden() *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 10, CellSize: 1})
	copy(z.Cells, []float32{
		10, 10, 10, 10, 10, 10, 10, 10, 10, 10,
		10, 4, 2, 4, 5, 3, 1, 3, 6, 4,
		10, 10, 10, 10, 10, 10, 10, 10, 10, 10,
	})
	return z
}

func ExampleSite_Storm() {
	site, err := storm.Prepare(hydro.FindHollows(garden()), storm.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, mm := range []float64{250, 500, 750} {
		water := site.Storm(mm)
		fmt.Printf("%.0f mm: %.2f m³ stand, %.2f m³ left\n", mm, water.Ponded, water.Left)
		for _, p := range water.Ponds() {
			fmt.Printf("  hollow %d stands at %.2f m, %.2f m deep\n", p.Hollow+1, p.Level, p.Depth)
		}
	}
	// Output:
	// 250 mm: 6.75 m³ stand, 0.75 m³ left
	//   hollow 2 stands at 3.58 m, 2.58 m deep
	//   hollow 3 stands at 4.33 m, 2.33 m deep
	// 500 mm: 13.50 m³ stand, 1.50 m³ left
	//   hollow 1 stands at 5.07 m, 4.07 m deep
	// 750 mm: 20.00 m³ stand, 2.50 m³ left
	//   hollow 1 stands at 6.00 m, 5.00 m deep
}

func ExampleSite_Run() {
	site, err := storm.Prepare(hydro.FindHollows(garden()), storm.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	// Half a metre runs off in a day; what stands soaks in at 20 mm/h.
	history := site.Run(nil, storm.Loss{Infiltration: []float64{20}},
		storm.Step{Hours: 24, Inflow: site.Runoff(500)},
		storm.Step{Hours: 300})
	const tree = 15 // the western foot of the eastern hollow
	fmt.Printf("ground under water %.0f h\n", storm.Total(history.UnderWater(tree, 0)))
	fmt.Printf("on a mound of 1 m %.0f h\n", storm.Total(history.UnderWater(tree, 1)))
	roots := storm.Roots{Depth: 0.6, Porosity: 0.08, Drainage: 2}
	fmt.Printf("roots wet %.0f h\n", storm.Total(history.RootsWet(tree, roots)))
	// Output:
	// ground under water 89 h
	// on a mound of 1 m 28 h
	// roots wet 113 h
}
