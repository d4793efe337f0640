package assess

import (
	"cmp"
	"math"
	"slices"

	"wetfeet/cmd/internal/site"
	"wetfeet/hydro/learn"
	"wetfeet/hydro/soil"
	"wetfeet/species"
	"wetfeet/terrain/field"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// tooFar is how many standard errors from all draws a reading has to be to
	// be remarked on.
	tooFar = 3

	// worthTelling is the share of the variance of a height that has to go
	// before it counts as learned.
	worthTelling = 0.15

	// surestHeight is the least error of a height that was learned, m.
	surestHeight = 0.005

	// mostCandidates is how many trees are asked about for the next look.
	mostCandidates = 12
)

// tell reads the posterior.
func (l *learning) tell(out *Learned) {
	r, post := l.r, out.Posterior
	first := &r.Storm.soils[0]
	rate := func(z float64) float64 { return first.rate(chance{soaking: z}) * (1 - first.Known.Impervious) }
	_, z := post.Param(0)
	out.Soaking = [2]Interval{{rate(-soil.Ninth), rate(0), rate(soil.Ninth)}, {rate(z.Low), rate(z.Middle), rate(z.High)}}
	mean, sd := post.Mean(0)
	out.Plan.Learned.Soaking, out.Plan.Learned.Spread = first.rate(chance{soaking: mean}), first.Rate.Spread*sd

	none := [2]Interval{unknown, unknown}
	out.Table, out.Datum, out.Staff = none, none, none
	shifted := func(param int, sd float64) [2]Interval {
		_, p := post.Param(param)
		return [2]Interval{{-soil.Ninth * sd, 0, soil.Ninth * sd}, {sd * p.Low, sd * p.Middle, sd * p.High}}
	}
	if slices.ContainsFunc(l.looks, func(k look) bool { return k.kind == tableSeen }) {
		out.Table = shifted(l.tableAt(), tableError)
		out.Plan.Learned.WaterTable = out.Table[1].Likely
		l.tellWells(out)
	}
	if l.datum {
		out.Datum = shifted(l.datumAt(), datumError)
		out.Plan.Learned.Datum = out.Datum[1].Likely
		_, sd := post.Mean(l.datumAt())
		out.Plan.Learned.DatumError = datumError * sd
	}
	if l.staff {
		out.Staff = shifted(l.staffAt(), staffError)
	}
	for k, tree := range l.watched {
		t := &r.Trees[tree]
		if !slices.ContainsFunc(l.looks, func(k look) bool { return k.tree == t }) {
			continue
		}
		before, after := post.Outcome(l.hoursAt(k))
		out.Trees = append(out.Trees, LearnedTree{t.ID, between(before), between(after)})
	}
	l.tellGround(out)
	for i, e := range l.species {
		t := e.Tolerance(species.Conditions{})
		factor := func(z float64) float64 {
			return t.Quantile(distuv.UnitNormal.CDF(math.Sqrt(shared)*z)) / t.Quantile(0.5)
		}
		_, z := post.Param(l.speciesAt(i))
		learned := LearnedSpecies{e, Interval{factor(-soil.Ninth), 1, factor(soil.Ninth)}, Interval{factor(z.Low), factor(z.Middle), factor(z.High)}}
		out.Species = append(out.Species, learned)
		out.Plan.Learned.Species = append(out.Plan.Learned.Species, site.LearnedSpecies{Name: e.Scientific, Factor: min(max(learned.After.Likely, 0.05), 20)})
	}
	l.next(out)
}

// tellWells says how deep the water table lies where the one that was drawn
// through the book was seen. It takes the place of a shift of one that was
// stated, since there was none.
func (l *learning) tellWells(out *Learned) {
	if !l.made {
		return
	}
	shift, learned := out.Table[1], &out.Plan.Learned
	out.Table, learned.WaterTable = [2]Interval{unknown, unknown}, 0
	learned.Wells = slices.Clone(learned.Wells)
	for i := range learned.Wells {
		learned.Wells[i].Depth = max(0, learned.Wells[i].Depth+shift.Likely)
	}
	told := map[int]bool{}
	for i := range l.looks {
		k := &l.looks[i]
		if k.kind != tableSeen || told[k.cell] {
			continue
		}
		told[k.cell] = true
		at := l.r.WaterTable.depth(k.cell)
		out.Wells = append(out.Wells, LearnedWell{k.where, Interval{at + shift.Low, at + shift.Likely, at + shift.High}})
	}
}

func between(i learn.Interval) Interval { return Interval{i.Low, i.Middle, i.High} }

// tellGround says how high the ground lies where water was seen, as a height
// that someone might have taken there.
func (l *learning) tellGround(out *Learned) {
	told := map[int]bool{}
	for i := range l.looks {
		k := &l.looks[i]
		if told[k.cell] || k.kind == tableSeen || k.kind == healthSeen {
			continue
		}
		told[k.cell] = true
		post := out.Posterior
		before, after := post.Outcome(l.groundAt(i))
		row, col := l.r.Drain.Ground.Cell(k.cell)
		g := LearnedGround{Where: k.where, At: l.r.Drain.Ground.Centre(row, col), Before: between(before), After: between(after)}
		m0, s0, m1, s1 := post.Moments(l.groundAt(i))
		if v0, v1 := s0*s0, s1*s1; v1 > 0 && v1 < (1-worthTelling)*v0 {
			v := 1 / (1/v1 - 1/v0)
			g.Shot = field.Shot{Point: g.At, Z: v * (m1/v1 - m0/v0), SD: max(math.Sqrt(v), surestHeight)}
		}
		out.Ground = append(out.Ground, g)
	}
}

// next ranks what could be looked at next by what it leaves of the doubt in
// hours wet.
func (l *learning) next(out *Learned) {
	post := out.Posterior
	order := make([]int, len(l.watched))
	doubt := make([]float64, len(l.watched))
	var hours []int
	for k := range l.watched {
		order[k] = k
		_, _, _, doubt[k] = post.Moments(l.hoursAt(k))
		hours = append(hours, l.hoursAt(k))
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(doubt[b], doubt[a]) })
	var candidates []learn.Candidate
	daily := math.Hypot(24/math.Sqrt(12), dayError) // looked at once a day
	for _, k := range order[:min(len(order), mostCandidates)] {
		id := l.r.Trees[l.watched[k]].ID
		candidates = append(candidates,
			learn.Candidate{Name: "the day the water is gone at " + id, Outcome: l.dryAt(k), Error: daily},
			learn.Candidate{Name: "the depth of the water at " + id + " when the rain ends", Outcome: l.depthAt(k), Error: depthError})
	}
	for _, w := range post.Next(candidates, post.Spread(hours...)) {
		out.Next = append(out.Next, NextLook{w.Name, min(w.After/max(w.Before, 1e-9), 1)})
	}
}
