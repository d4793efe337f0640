package assess

import (
	"errors"
	"fmt"
	"strings"

	"wetfeet/cmd/internal/fault"
	"wetfeet/terrain/raster"

	"github.com/paulmach/orb"
)

// change puts what is said of single trees in the place of what their row or
// file says. A tree that is not planned is the fault of the input.
func (r *Result) change(p Plan, ground string) error {
	at := make(map[string]int, len(r.Trees))
	for i := range r.Trees {
		at[r.Trees[i].ID] = i
	}
	var bad []error
	for _, t := range p.Told {
		i, planned := at[t.ID]
		if !planned {
			bad = append(bad, fmt.Errorf("%s: no tree of that name is planned%s", t.Where, r.nearestID(t.ID)))
			continue
		}
		tree := &r.Trees[i]
		if t.Species != "" {
			if t.Species != tree.Position.Species {
				tree.Rootstock = "" // which was that of another
			}
			tree.Position.Species = t.Species
		}
		if t.Age != nil {
			tree.Years = *t.Age
		}
		if t.Rootstock != "" {
			tree.Rootstock = t.Rootstock
		}
		tree.Built, tree.Tried, tree.Fixed = t.Mound, t.Trial, t.Fixed
		if t.At != nil {
			if err := tree.replant(*t.At, p.system(), ground); err != nil {
				bad = append(bad, fmt.Errorf("%s: %w", t.Where, err))
			}
		}
	}
	return fault.Input(errors.Join(bad...))
}

// replant puts a tree where it is planted instead of its place in a row or
// file: a point of one system, on ground in another.
func (t *Tree) replant(at orb.Point, from, ground string) error {
	on, lonLat := []orb.Point{at}, []orb.Point{at}
	if err := errors.Join(move(from, ground, on), move(from, raster.LonLatCRS, lonLat)); err != nil {
		return err
	}
	t.Point, t.LonLat = on[0], lonLat[0]
	return nil
}

// nearestID names a planned tree whose name is like another, but for capitals
// and spaces, or else the first one.
func (r *Result) nearestID(id string) string {
	bare := func(s string) string {
		return strings.Map(func(c rune) rune {
			if strings.ContainsRune(" -_.", c) {
				return -1
			}
			return c
		}, strings.ToUpper(s))
	}
	for i := range r.Trees {
		if bare(r.Trees[i].ID) == bare(id) {
			return fmt.Sprintf("; there is %q", r.Trees[i].ID)
		}
	}
	if len(r.Trees) == 0 {
		return ""
	}
	return fmt.Sprintf("; names are those of stakes.csv, such as %q", r.Trees[0].ID)
}
