package hydro_test

import (
	"fmt"

	"wetfeet/hydro"
	"wetfeet/terrain"
)

// A garden between two banks that falls to the east, with a hollow for the
// pond and a smaller one above it.
func garden() *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: 3, Cols: 8, North: 3, CellSize: 1})
	copy(z.Cells, []float32{
		9, 9, 9, 9, 9, 9, 9, 9,
		9, 6, 5, 6, 3, 4, 7, 5,
		9, 9, 9, 9, 9, 9, 9, 9,
	})
	return z
}

func ExampleFill() {
	z := garden()
	filled := terrain.NewGrid[float32](z.Frame)
	hydro.Fill(filled, z)
	fmt.Println(filled.Row(1))
	// Output: [9 7 7 7 7 7 7 5]
}

func ExampleFindHollows() {
	for _, h := range hydro.FindHollows(garden()).All {
		fmt.Printf("hollow %d: %g m deep, holds %g m³, is part of %d, spills to %d\n",
			h.ID, h.Depth(), h.Volume, h.Parent+1, h.SpillsTo+1)
	}
	// Output:
	// hollow 1: 4 m deep, holds 11 m³, is part of 0, spills to 0
	// hollow 2: 3 m deep, holds 5 m³, is part of 1, spills to 3
	// hollow 3: 1 m deep, holds 1 m³, is part of 1, spills to 2
}

func ExampleStorage() {
	pond := hydro.FindHollows(garden()).Storage()
	fmt.Println(pond.Level(1, 3), "m with 3 m³ in the lower hollow alone")
	fmt.Println(pond.Level(0, 8.5), "m with 8.5 m³ in both together")
	fmt.Println(pond.Area(0, 6.5), "m² of water then")
	// Output:
	// 5 m with 3 m³ in the lower hollow alone
	// 6.5 m with 8.5 m³ in both together
	// 5 m² of water then
}

func ExampleHollows_Outline() {
	hollows := hydro.FindHollows(garden())
	fmt.Println(hollows.Outline(1))
	// Output: [[[[6 1] [6 2] [4 2] [4 1] [6 1]]]]
}

func ExampleHollows_Significant() {
	// The same garden, surveyed by an instrument that errs by half a metre.
	hollows := hydro.FindHollows(garden()).Significant(0.5)
	fmt.Println(len(hollows.All), "kept,", hollows.Noise, "left out")
	// Output: 0 kept, 3 left out
}
