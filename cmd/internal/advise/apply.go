package advise

import (
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
)

// Told is what a site file says of its trees when the advice is followed: what
// it said of them before with the changes over it.
func (a *Advice) Told(r *assess.Result) []site.Tree {
	before := map[string]site.Tree{}
	for _, t := range r.Plan().Told {
		before[t.ID] = t
	}
	var out []site.Tree
	for i := range a.Changes {
		c := &a.Changes[i]
		t := before[r.Trees[c.Tree].ID]
		t.ID = r.Trees[c.Tree].ID
		if c.Places || c.Swapped {
			t.Species = c.Species.Scientific
		}
		if c.Raised {
			t.Mound = math.Round(1000*c.Mound) / 1000
		}
		out = append(out, t)
	}
	return out
}
