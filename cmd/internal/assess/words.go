package assess

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro"
	"wetfeet/hydro/storm"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

// Flagged counts the trees likely to stand in water longer or deeper than
// they bear.
func (r *Result) Flagged() int {
	n := 0
	for i := range r.Trees {
		if r.Trees[i].Flagged {
			n++
		}
	}
	return n
}

// flaggedByTable counts the flagged trees whose odds of loss would not flag
// them: the water table, which is no part of the odds, does.
func (r *Result) flaggedByTable() int {
	n := 0
	for i := range r.Trees {
		if t := &r.Trees[i]; t.Flagged && t.ByOdds && species.RiskOf(t.Odds) < species.High {
			n++
		}
	}
	return n
}

// byTable says that the water table flags so many trees, beside those that the
// odds flag or alone.
func byTable(trees int, beside bool) string {
	more := ""
	if beside {
		more = " more"
	}
	if trees == 1 {
		return "One" + more + " is flagged: the water table of the wet season comes nearer to it than it bears."
	}
	return fmt.Sprintf("%d%s are flagged: the water table of the wet season comes nearer to them than they bear.", trees, more)
}

// Lead is the answer in one or two sentences. What could not be judged comes
// first where it is most of the planting.
func (r *Result) Lead() string {
	n, unknown := len(r.Trees), 0
	for i := range r.Trees {
		if !r.Trees[i].OnGround {
			unknown++
		}
	}
	judged, flagged := n-unknown, r.Flagged()
	of := fmt.Sprintf("the %d planned trees", n)
	if unknown > 0 {
		of = fmt.Sprintf("the %d trees that could be judged", judged)
	}
	var s string
	lost := "lost to water" + r.When()
	switch table := r.flaggedByTable(); {
	case r.Odds != nil:
		switch drown := flagged - table; {
		case flagged == 0:
			s = fmt.Sprintf("None of %s is flagged: none has three chances in ten of being %s.", of, lost)
		case drown == 0:
			s = fmt.Sprintf("None of %s has three chances in ten of being %s.", of, lost)
		case drown == 1:
			s = fmt.Sprintf("One of %s has three chances in ten or more of being %s.", of, lost)
		default:
			s = fmt.Sprintf("%d of %s have three chances in ten or more of being %s.", drown, of, lost)
		}
		if table > 0 {
			s += " " + byTable(table, flagged > table)
		}
	case flagged == 0 && judged == 1:
		s = "The one tree that could be judged is not flagged: it is not likely to stand in more water than it bears."
	case flagged == 0:
		s = fmt.Sprintf("None of %s is flagged: none is likely to stand in more water than it bears.", of)
	case flagged == 1:
		s = fmt.Sprintf("One of %s is likely to stand in more water than it bears.", of)
	default:
		s = fmt.Sprintf("%d of %s are likely to stand in more water than they bear.", flagged, of)
	}
	if unknown == 0 {
		return s
	}
	off := fmt.Sprintf("%d of %d positions lie off the ground and could not be judged.", unknown, n)
	if unknown == 1 {
		off = fmt.Sprintf("One of %d positions lies off the ground and could not be judged.", n)
	}
	if unknown > judged {
		return off + " " + s
	}
	return s + " " + off
}

// MoundToBuild is the height of the mound that the tree is to have, as advised
// or else as planned, m above the ground; 0 for none.
func (t *Tree) MoundToBuild() float64 {
	h := t.Built
	if t.OnGround && t.Advice == "raise" {
		h = t.Mound
	}
	if !(h > 0) || math.IsInf(h, 0) {
		return 0
	}
	return h
}

// When says in what water trees are lost, where that is not the storm alone.
func (r *Result) When() string {
	if r.Season == nil {
		return ""
	}
	return ", in the storm or in the longest wet spell of a usual year"
}

// Do says in a few words what to do about a tree.
func (r *Result) Do(t *Tree) string {
	switch {
	case !t.OnGround:
		return "check the position"
	case t.Advice == "raise":
		s := r.RaiseBy(t, t.Mound)
		if len(t.Swaps) > 0 {
			s += ", or swap for " + t.Swaps[0].Name()
		}
		return s
	case t.Advice == "swap" && len(t.Swaps) > 0:
		return "swap for " + t.Swaps[0].Name()
	case t.Advice == "drain":
		return fmt.Sprintf("drain hollow %d, or move it", t.Pond)
	}
	return t.Advice
}

// Title is what the site is called, and that it is made up where it is.
func (r *Result) Title() string {
	if r.Invented {
		return r.Name + " (an invented place)"
	}
	return r.Name
}

// Plant is what is planted there: the usual name of the species, or the word of
// the plan where it was not looked up.
func (t *Tree) Plant() string {
	if t.Entry != nil {
		return t.Entry.Name()
	}
	return t.Position.Species
}

// First is what to do first, at most three things, the most pressing first.
func (r *Result) First() []string {
	var out []string
	if s := r.worstHollow(); s != "" {
		out = append(out, s)
	}
	for _, s := range []string{r.swapOrMove(), r.raise(), r.unknown()} {
		if s != "" {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		out = append(out, "Nothing is flagged. Hold the staff on the lowest planned spots before planting, to be sure the ground is what the file says.")
	}
	if len(r.Next) > 0 {
		out = append(out[:min(2, len(out))], fmt.Sprintf("Hold the staff at %s, where a reading would do most to settle which trees stand in water: %s.", r.Where(r.Next[0].Point), r.Next[0].Why))
	}
	if len(out) < 3 {
		out = append(out, "Go and look after the next heavy rain: push in a peg at each pool's edge and note the day it dries.")
	}
	return out[:min(3, len(out))]
}

// worstHollow names the hollow that holds most of the flagged trees.
func (r *Result) worstHollow() string {
	in := make(map[int][]string)
	for i := range r.Trees {
		if t := &r.Trees[i]; t.Flagged && t.Pond > 0 {
			in[t.Pond] = append(in[t.Pond], t.ID)
		}
	}
	worst := 0
	for id, trees := range in {
		if worst == 0 || cmp.Or(cmp.Compare(len(trees), len(in[worst])), cmp.Compare(worst, id)) > 0 {
			worst = id
		}
	}
	if worst == 0 {
		return ""
	}
	h := &r.Drain.Hollows.All[worst-1]
	flagged := fmt.Sprintf("Measure hollow %d with staff and level: %s flagged (%s) in it.", h.ID, isOrAre(len(in[worst]), "tree"), wording.Some(in[worst], 6))
	if l := r.outOf(worst - 1); l != nil {
		_, name, _ := strings.Cut(l.Name, ": ")
		return fmt.Sprintf("%s %s lets water out of it above %s, %s below its brim: how low the bottom of that lies where water enters decides how deep it gets.",
			flagged, wording.Capital(name), quantity.FormatLength(l.Level, r.Units), quantity.FormatDepth(h.Spill-l.Level, r.Units))
	}
	spill := r.Drain.Ground.Centre(r.Drain.Ground.Cell(h.SpillCell))
	to := "off the site"
	if h.SpillsTo != hydro.Outside {
		to = fmt.Sprintf("into hollow %d", r.Drain.Hollows.All[h.SpillsTo].ID)
	}
	return fmt.Sprintf("%s Full, it is %s deep and spills %s near %s; that one spot decides how deep it gets.",
		flagged, quantity.FormatDepth(h.Depth(), r.Units), to, r.Where(spill))
}

// outOf is the lowest pipe or ditch of the plan that keeps a hollow, by its
// index, from filling to its brim; nil where there is none.
func (r *Result) outOf(hollow int) *storm.Link {
	if r.basis == nil {
		return nil
	}
	var lowest *storm.Link
	all := r.Drain.Hollows.All
	within := func(i int) bool {
		for i != hollow && i != hydro.Outside {
			i = all[i].Parent
		}
		return i == hollow
	}
	for i := range r.basis.links {
		l := &r.basis.links[i]
		if l.Capacity > 0 || !within(l.From) || within(l.To) || l.Level >= all[hollow].Spill {
			continue
		}
		if lowest == nil || l.Level < lowest.Level {
			lowest = l
		}
	}
	return lowest
}

// swapOrMove gathers the trees that want another species or another place.
func (r *Result) swapOrMove() string {
	type change struct{ from, to string }
	stakes := make(map[change][]string)
	for i := range r.Trees {
		t := &r.Trees[i]
		if t.Advice != "swap" && t.Advice != "move" || !t.OnGround {
			continue
		}
		c := change{from: t.Entry.Name()}
		if t.Advice == "swap" && len(t.Swaps) > 0 {
			c.to = t.Swaps[0].Name()
		}
		stakes[c] = append(stakes[c], t.ID)
	}
	if len(stakes) == 0 {
		return ""
	}
	changes := make([]change, 0, len(stakes))
	for c := range stakes {
		changes = append(changes, c)
	}
	slices.SortFunc(changes, func(a, b change) int {
		return cmp.Or(cmp.Compare(len(stakes[b]), len(stakes[a])), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	var parts []string
	for _, c := range changes[:min(3, len(changes))] {
		if c.to == "" {
			parts = append(parts, fmt.Sprintf("move %s at %s to a drier place", c.from, wording.Some(stakes[c], 5)))
		} else {
			parts = append(parts, fmt.Sprintf("plant %s instead of %s at %s", c.to, c.from, wording.Some(stakes[c], 5)))
		}
	}
	s := strings.Join(parts, "; ")
	if more := len(changes) - 3; more > 0 {
		s += fmt.Sprintf("; and %s more in the table", wording.CountOne(more, "change"))
	}
	return wording.Capital(s) + "."
}

// raise gathers the trees that a mound would save.
func (r *Result) raise() string {
	var ids []string
	lo, hi, standing := 0.0, 0.0, 0
	for i := range r.Trees {
		t := &r.Trees[i]
		if t.Advice != "raise" || !t.OnGround {
			continue
		}
		if len(ids) == 0 {
			lo, hi = t.Mound, t.Mound
		}
		lo, hi = min(lo, t.Mound), max(hi, t.Mound)
		ids = append(ids, t.ID)
		if t.Years > 0 {
			standing++
		}
	}
	if len(ids) == 0 {
		return ""
	}
	height := quantity.FormatMound(lo, r.Units)
	if hi > lo {
		height += " to " + quantity.FormatMound(hi, r.Units)
	}
	if len(ids) == 1 {
		s := fmt.Sprintf("Raise %s on a mound of %s: the height after settling, with water free to pass beside it.", ids[0], height)
		if standing == 1 {
			s += " It stands" + replanting
		}
		return s
	}
	return fmt.Sprintf("Raise %d trees on mounds of %s (%s): the height after settling, with water free to pass between them.%s", len(ids), height, wording.Some(ids, 6), after(standing))
}

// RaiseBy says in a few words to raise a tree by so much, m: one that stands
// already is planted again.
func (r *Result) RaiseBy(t *Tree, mound float64) string {
	height := quantity.FormatMound(mound, r.Units)
	if t.Years > 0 {
		return "replant, raised by " + height
	}
	return "raise by " + height
}

const replanting = " there already: lift and replant, or plant anew, on the mound. Soil heaped over the roots of a standing tree smothers them."

// Replant is a caution where some of the trees to be raised stand already; empty
// where none does.
func Replant(standing int) string {
	if standing == 0 {
		return ""
	}
	return standOrStands(standing) + replanting
}

func standOrStands(n int) string {
	if n == 1 {
		return "One of the trees to be raised stands"
	}
	return fmt.Sprintf("%d of the trees to be raised stand", n)
}

func after(standing int) string {
	if s := Replant(standing); s != "" {
		return " " + s
	}
	return ""
}

func (r *Result) unknown() string {
	var ids []string
	for i := range r.Trees {
		if !r.Trees[i].OnGround {
			ids = append(ids, r.Trees[i].ID)
		}
	}
	if len(ids) == 0 {
		return ""
	}
	return fmt.Sprintf("Check %s off the ground (%s): no elevation is known there, so nothing can be said of them.", wording.CountOne(len(ids), "position"), wording.Some(ids, 6))
}

func isOrAre(n int, noun string) string {
	if n == 1 {
		return "one " + noun + " is"
	}
	return fmt.Sprintf("%d %ss are", n, noun)
}

// Counts is the number of trees of each risk, and of those off the ground
// under "unknown".
func (r *Result) Counts() map[string]int {
	n := map[string]int{"low": 0, "moderate": 0, "high": 0, "severe": 0, "unknown": 0}
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround {
			n[t.Risk.String()]++
		} else {
			n["unknown"]++
		}
	}
	return n
}
