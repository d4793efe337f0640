package summary

import "wetfeet/cmd/internal/assess"

// ConditionFacts are what the storm finds the trees in, as far as it was said or
// could be told; what is left out is taken as the assumptions say.
type ConditionFacts struct {
	Month       string   `json:"month,omitempty"`
	Soil        *float64 `json:"soil_temperature_c,omitempty"`
	Dormant     bool     `json:"dormant"`
	Moving      bool     `json:"moving_water"`
	RootRot     int      `json:"trees_in_soil_with_root_rot"`
	Standing    int      `json:"trees_standing_already"`
	OnRootstock int      `json:"trees_on_named_rootstocks"`
}

func conditionFacts(r *assess.Result) *ConditionFacts {
	c := r.Conditions
	f := &ConditionFacts{Dormant: c.Dormant, Moving: c.Moving}
	if c.Month != 0 {
		f.Month = c.Month.String()
	}
	if c.Soil != nil {
		soil := round(*c.Soil, 2)
		f.Soil = &soil
	}
	for i := range r.Trees {
		t := &r.Trees[i]
		if t.Years > 0 {
			f.Standing++
		}
		if t.Stock != "" {
			f.OnRootstock++
		}
		if t.OnGround && r.Rotten(t) {
			f.RootRot++
		}
	}
	return f
}
