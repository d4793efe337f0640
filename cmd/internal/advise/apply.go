package advise

import (
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/site"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
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
	for _, t := range a.Told(r) {
		k, known := at[t.ID]
		if !known {
			k = len(told)
			told = append(told, site.Tree{ID: t.ID})
		}
		if t.Species != "" {
			told[k].Species, told[k].Rootstock = t.Species, ""
		}
		if t.Age != nil {
			told[k].Age = t.Age
		}
		if t.Mound > 0 {
			told[k].Mound = t.Mound
		}
	}
	p.Told = told
	return p
}

// Told are the trees that all of the advice changes, with the species and the
// mound that are new, as high as it is built in the units of the report.
func (a *Advice) Told(r *assess.Result) []site.Tree {
	out := make([]site.Tree, 0, len(a.Changes))
	for i := range a.Changes {
		c := &a.Changes[i]
		t := site.Tree{ID: r.Trees[c.Tree].ID}
		if c.Places || c.Swapped {
			t.Species = c.Species.Scientific
		}
		if c.Raised {
			t.Mound = quantity.BuiltMound(c.Mound, r.Units)
		}
		t.Age = anew(r, c.Tree)
		out = append(out, t)
	}
	return out
}

// anew is the age of a new planting in the place of a tree that stands already;
// nil where none stands.
func anew(r *assess.Result, tree int) *float64 {
	if r.Trees[tree].Years == 0 {
		return nil
	}
	return new(float64)
}

// Kinds of advice that can be followed without the others.
const (
	Places = "places"
	Raise  = "raise"
	Swap   = "swap"
)

// A Part is one kind of the advice, followed alone. Mounds and swaps are then
// those of the plants as planned, since none has changed its place.
type Part struct {
	Kind  string
	Trees []site.Tree // that change, with what is new of them
	Then  Loss        // trees expected to be lost with it
	Saved Loss        // trees saved by it
}

// Parts are the kinds of advice that change anything.
func (a *Advice) Parts(r *assess.Result) ([]Part, error) {
	put := map[int]*species.Entry{}
	for i := range a.Changes {
		if c := &a.Changes[i]; c.Places {
			put[c.Tree] = c.Put
		}
	}
	planned := make([]*species.Entry, len(r.Trees))
	for i := range r.Trees {
		planned[i] = r.Trees[i].Entry
	}
	now := a.losses(r, planned, nil)
	var out []Part
	for _, kind := range []string{Places, Raise, Swap} {
		p := Part{Kind: kind}
		what, mounds := make([]*species.Entry, len(planned)), make([]float64, len(planned))
		for i := range r.Trees {
			t := &r.Trees[i]
			what[i], mounds[i] = planned[i], t.Built
			if !t.OnGround {
				continue
			}
			told := site.Tree{ID: t.ID, Age: anew(r, i)}
			advised := t.Flagged && !t.Tried && t.Advice == kind
			switch {
			case kind == Places && put[i] != nil:
				what[i] = put[i]
				told.Species = put[i].Scientific
			case kind == Raise && advised:
				told.Mound = quantity.BuiltMound(t.Mound, r.Units)
				mounds[i] = told.Mound
			case kind == Swap && advised:
				what[i] = t.Swaps[0]
				told.Species = t.Swaps[0].Scientific
			default:
				continue
			}
			p.Trees = append(p.Trees, told)
		}
		if len(p.Trees) == 0 {
			continue
		}
		then := a.losses(r, what, mounds)
		var err error
		if p.Then, err = total(then); err != nil {
			return nil, err
		}
		if p.Saved, err = saved(now, then); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}
