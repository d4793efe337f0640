package arrange_test

import (
	"context"
	"fmt"

	"wetfeet/species/arrange"
)

// Three pears and a willow in a row whose third place is a puddle.
func ExampleArrange() {
	plan, err := arrange.Arrange(context.Background(), arrange.Problem{
		Name: []string{"pear", "willow"},
		Loss: [][]float64{
			{0.05, 0.05, 0.9, 0.1},
			{0, 0, 0.1, 0},
		},
		Count:   []int{3, 1},
		Planned: []int{1, 0, 0, 0},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("species by place:", plan.Species)
	fmt.Printf("expected to drown: %.2f before, %.2f now, no plan less than %.2f\n", plan.Before, plan.Loss, plan.Bound)
	// Output:
	// species by place: [0 0 1 0]
	// expected to drown: 1.05 before, 0.30 now, no plan less than 0.30
}
