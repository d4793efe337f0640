package advise

import (
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
)

// Plan is that of the assessment with the advice followed: what is said of its
// trees with the changes over it.
func (a *Advice) Plan(r *assess.Result) assess.Plan {
	p := r.Plan()
	told := make([]site.Tree, len(p.Told), len(p.Told)+len(a.Changes))
	at := map[string]int{}
	for i, t := range p.Told {
		told[i], at[t.ID] = t, i
	}
	for i := range a.Changes {
		c := &a.Changes[i]
		id := r.Trees[c.Tree].ID
		k, known := at[id]
		if !known {
			k = len(told)
			told = append(told, site.Tree{ID: id})
		}
		if c.Places || c.Swapped {
			told[k].Species = c.Species.Scientific
		}
		if c.Raised {
			told[k].Mound = math.Round(1000*c.Mound) / 1000
		}
	}
	p.Told = told
	return p
}
