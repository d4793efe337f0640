package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/advise"
	"wetfeet/cmd/internal/assess"
	"wetfeet/species"
	"wetfeet/terrain/quantity"
)

func treeViews(r *assess.Result) []treeView {

	order := make([]int, len(r.Trees))
	for i := range order {
		order[i] = i
	}
	rank := func(i int) int {
		if !r.Trees[i].OnGround {
			return -1
		}
		return int(r.Trees[i].Risk)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if c := rank(b) - rank(a); c != 0 || r.Odds == nil {
			return c
		}
		return cmp.Compare(r.Trees[b].Odds, r.Trees[a].Odds)
	})

	ends := barScales(r)
	out := make([]treeView, 0, len(order))
	for _, i := range order {
		t := &r.Trees[i]
		v := treeView{
			Index: i,
			Mark:  inlineMark(symbolOf(t)), Risk: symbolOf(t).Name, RiskRank: rank(i),
			ID: t.ID, Species: t.Position.Species, Why: t.Why, Do: doWords(r, t),
		}
		switch {
		case t.Flagged:
			v.Class = "flagged"
		case t.OnGround && t.Risk == species.Low:
			v.Class = "low"
		}
		if t.Entry != nil {
			v.Species = t.Entry.Scientific
			if len(t.Entry.Common) > 0 {
				v.Common = t.Entry.Common[0]
			}
		}
		if t.Row != "" {
			v.Along, v.AlongSort = quantity.FormatLength(t.Along, r.Units), sortable(t.Along)
		}
		if t.OnGround {
			v.Ground, v.GroundSort = quantity.FormatLevel(t.Ground, 0.01, r.Units), sortable(t.Ground)
			v.Deepest, v.DeepSort = "none", sortable(0)
			if t.StormDepth > 0 {
				v.Deepest, v.DeepSort = quantity.FormatDepth(t.StormDepth, r.Units), sortable(t.StormDepth)
			}
			v.Roots, v.RootsSort = rootsWet(r, t), sortable(t.WetHours)
			v.Year, v.YearSort = wetYear(t.LongestWetDays), sortable(t.LongestWetDays)
			v.Brim, v.BrimSort = quantity.FormatDepth(t.BrimDepth, r.Units), sortable(t.BrimDepth)
			if t.Draws != nil {
				v.Lost, v.LostSort = species.Tenths(t.Odds), sortable(t.Odds)
				v.Water, v.WaterSort = species.Tenths(t.Ponding), sortable(t.Ponding)
				if t.Draws.Spell != nil {
					u := t.Usual
					v.Year, v.YearSort = assess.HoursSpan(assess.Interval{Low: 24 * u.Low, Likely: 24 * u.Likely, High: 24 * u.High}), sortable(u.Likely)
					if u.High > 0 {
						v.Usual = v.Year
					}
				}
				v.Deep, v.Long = depthBar(t, ends.depth, r.Units), hoursBar(t, ends.hours)
			}
			if t.BrimDepth <= 0 || !t.InHollow {
				v.Brim, v.BrimSort = "none", sortable(0)
			}
		}
		out = append(out, v)
	}
	keepTogether(out)
	return out
}

// doWords is what to do about a tree where it is planned, and the soil it takes.
func doWords(r *assess.Result, t *assess.Tree) string {
	s := r.Do(t)
	if t.Advice != "raise" || !t.OnGround {
		return s
	}
	raise, rest, _ := strings.Cut(s, ", or ")
	s = fmt.Sprintf("%s: %s of soil, settled", raise, quantity.FormatVolume(advise.Mound(t.Mound).Volume(), r.Units))
	if t.Draws != nil {
		s += "; then " + species.Tenths(t.OddsRaised) + " lost"
	}
	if rest != "" {
		s += "; or " + rest
	}
	return s
}

// keepTogether marks the first and the last rows of the table on paper, which
// leaves out trees at low risk, so that none stands alone on its page.
func keepTogether(rows []treeView) {
	const together = 3
	var printed []int
	for i := range rows {
		if rows[i].Class != "low" {
			printed = append(printed, i)
		}
	}
	for k, i := range printed {
		if k < together-1 {
			rows[i].Class = strings.TrimSpace(rows[i].Class + " first")
		}
		if k > len(printed)-together && k > 0 {
			rows[i].Class = strings.TrimSpace(rows[i].Class + " last")
		}
	}
}

// tableCaption says what the columns are.
func tableCaption(r *assess.Result) string {
	s := "Deepest: the most water over the ground of the stake in the storm. Roots wet: how long its roots are under water or not yet drained. "
	if r.Odds != nil {
		s = "Under the risk stand the odds that the tree does not live through it. Water: the odds that water stands over the ground of its stake. Deepest and Roots wet: what lies in the middle of the equally likely answers, one in ten being less and one in ten more; the tick on the bar is the likeliest, and all bars of a column have one scale. "
	}
	if r.Odds != nil && r.Odds.Years != nil {
		s += "Usual year: the longest wet spell of its roots in a year that half the years exceed, likewise. "
	}
	if r.Season != nil && r.Odds == nil {
		s += "Median year: the longest wet spell of its roots in a year that half the years exceed. "
	}
	return strings.TrimSpace(s)
}

// rootsWet is how long the roots of a tree are wet in the storm. What was
// still wet when the drying was no longer followed may stay wet for long.
func rootsWet(r *assess.Result, t *assess.Tree) string {
	if r.Storm == nil || math.IsNaN(t.WetHours) {
		return ""
	}
	if row, col, ok := r.Drain.Ground.Locate(t.Point); ok && t.WetHours > 0 {
		spans := r.Storm.History.RootsWet(r.Drain.Ground.Index(row, col), r.Storm.Roots)
		if n := len(spans); n > 0 && spans[n-1].To > r.Storm.History.Hours {
			return "over " + assess.Spell(r.Storm.History.Hours-spans[n-1].From)
		}
	}
	return assess.Spell(t.WetHours)
}

// wetYear writes the longest wet spell of a year, days.
func wetYear(days float64) string {
	switch {
	case math.IsNaN(days):
		return ""
	case days <= 0:
		return "none"
	}
	return assess.Spell(24 * days)
}

func sortable(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return fmt.Sprintf("%.4f", v)
}
