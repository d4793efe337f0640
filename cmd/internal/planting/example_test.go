package planting_test

import (
	"fmt"

	"wetfeet/cmd/internal/planting"

	"github.com/paulmach/orb"
)

func ExampleLay() {
	// A short row to the east with a gate 5 m from its start.
	plants, err := planting.Lay(planting.Row{
		Name:    "A",
		Line:    orb.LineString{{500100, 3100020}, {500112, 3100020}},
		Spacing: 2.5,
		Pattern: []string{"Carya illinoinensis", "Sambucus canadensis"},
		Gaps:    [][2]float64{{4, 6}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range plants {
		fmt.Printf("%s at %.1f m: %s\n", p.ID, p.Along, p.Species)
	}
	// Output:
	// A-1 at 0.0 m: Carya illinoinensis
	// A-2 at 2.5 m: Sambucus canadensis
	// A-4 at 7.5 m: Sambucus canadensis
	// A-5 at 10.0 m: Carya illinoinensis
}
