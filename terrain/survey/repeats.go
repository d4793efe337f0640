package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// remarksShown is how many repeats of one kind are told one by one.
const remarksShown = 10

// settleRepeats leaves one shot at each place: a shot written twice is kept
// once, heights that agree are averaged, and those that do not are mistakes.
func (t *Table) settleRepeats(bad *mistakes) {
	order := make([]int, len(t.Shots))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		p, q := t.Shots[a].Point, t.Shots[b].Point
		return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]), cmp.Compare(a, b))
	})
	var groups [][]int // of shots at one place, in the order of the file
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && t.Shots[order[hi]].Point == t.Shots[order[lo]].Point {
			hi++
		}
		if hi-lo > 1 {
			groups = append(groups, order[lo:hi])
		}
		lo = hi
	}
	slices.SortFunc(groups, func(a, b []int) int { return cmp.Compare(a[0], b[0]) })

	gone := make([]bool, len(t.Shots))
	var twice, averaged []string
	for _, g := range groups {
		kept := g[:1:1]
		for _, i := range g[1:] {
			gone[i] = true
			same := slices.IndexFunc(kept, func(k int) bool { return t.Shots[k].Z == t.Shots[i].Z })
			if same < 0 {
				kept = append(kept, i)
				continue
			}
			twice = append(twice, fmt.Sprintf("line %d repeats the shot of line %d: kept once", t.Shots[i].Line, t.Shots[kept[same]].Line))
		}
		if len(kept) == 1 {
			continue
		}
		if a, b, ok := t.clash(kept); !ok {
			bad.add(t.Shots[b].Line, "", "height %.3f m at the place where line %d has %.3f m: more than 3 times their error apart; correct one or leave it out",
				t.Shots[b].Z, t.Shots[a].Line, t.Shots[a].Z)
			continue
		}
		averaged = append(averaged, t.average(kept))
	}
	t.Remarks = append(t.Remarks, shown(twice)...)
	t.Remarks = append(t.Remarks, shown(averaged)...)
	i := -1
	t.Shots = slices.DeleteFunc(t.Shots, func(Shot) bool { i++; return gone[i] })
}

// clash looks for two heights of one place that do not agree within three
// times the error of their difference.
func (t *Table) clash(group []int) (a, b int, ok bool) {
	lowest := slices.MinFunc(group, func(i, j int) int { return cmp.Compare(t.Shots[i].Z, t.Shots[j].Z) })
	for _, i := range group {
		p, q := t.Shots[lowest], t.Shots[i]
		if math.Abs(p.Z-q.Z) > 3*math.Hypot(p.errorOr(AssumedError), q.errorOr(AssumedError)) {
			return min(lowest, i), max(lowest, i), false
		}
	}
	return 0, 0, true
}

// average puts the weighted mean of a group in its first shot and tells so.
func (t *Table) average(group []int) string {
	var sum, weight float64
	known := true
	text := "lines "
	for n, i := range group {
		s := t.Shots[i]
		w := 1 / (s.errorOr(AssumedError) * s.errorOr(AssumedError))
		sum += w * s.Z
		weight += w
		known = known && s.Error > 0
		switch {
		case n == len(group)-1:
			text += " and "
		case n > 0:
			text += ", "
		}
		text += fmt.Sprint(s.Line)
	}
	first := &t.Shots[group[0]]
	first.Z = sum / weight
	first.Error = 0
	if known {
		first.Error = 1 / math.Sqrt(weight)
	}
	return fmt.Sprintf("%s have heights for one place that agree within 3 times their error: averaged to %.3f m", text, first.Z)
}

// errorOr is the error of a shot, or another where it has none.
func (s Shot) errorOr(other float64) float64 {
	if s.Error > 0 {
		return s.Error
	}
	return other
}

// shown cuts a long list of remarks short.
func shown(remarks []string) []string {
	if len(remarks) <= remarksShown {
		return remarks
	}
	return append(remarks[:remarksShown:remarksShown], fmt.Sprintf("and %d more like this", len(remarks)-remarksShown))
}
