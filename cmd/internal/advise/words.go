package advise

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro"
	"wetfeet/terrain/earthwork"
	"wetfeet/terrain/quantity"
)

// Trees writes a number of trees expected to be lost or saved, no finer than
// anyone plants: whole ones, and half a tree.
func Trees(n float64) string {
	switch {
	case n < 0.25:
		return "none"
	case n < 0.75:
		return "half a tree"
	case n < 1.5:
		return "1 tree"
	}
	return fmt.Sprintf("%.0f trees", n)
}

// Count writes a number of trees, lost or saved, of this advice: to a tenth
// where whole ones would not add up.
func (a *Advice) Count(n float64) string {
	if a.Now.Mean < 9.75 {
		return part(n)
	}
	return Trees(n)
}

// Span is an interval of such numbers.
func (l Loss) Span() string {
	low, high := fmt.Sprintf("%.0f", max(0, l.Low)), fmt.Sprintf("%.0f", max(0, l.High))
	if low == high {
		return low
	}
	return low + " to " + high
}

// Lead is what the advice comes to, in a few sentences.
func (a *Advice) Lead(r *assess.Result) string {
	if len(a.Changes) == 0 && len(a.Beyond) == 0 {
		return fmt.Sprintf("As planned, %s are expected to be lost (%s in eight cases of ten)%s. Nothing needs to change.", Trees(a.Now.Mean), a.Now.Span(), r.When())
	}
	write := a.Count
	s := fmt.Sprintf("As planned, %s are expected to be lost (%s in eight cases of ten)%s. With all that is advised here it is %s (%s): %s fewer (%s).",
		write(a.Now.Mean), a.Now.Span(), r.When(), write(a.Then.Mean), a.Then.Span(), write(a.Saved.Mean), a.Saved.Span())
	if n := len(a.Beyond); n > 0 {
		s += fmt.Sprintf(" %d of the trees are helped by no mound and no swap: move them.", n)
	}
	return s
}

// Arrange says what changing places does, a sentence for each row.
func (a *Advice) Arrange() (out []string) {
	var saved, most, gap float64
	var moved, all int
	for _, v := range a.Rows {
		saved, most, gap, all = saved+v.Gain.Mean, most+v.Most, gap+v.Gap, all+v.MostMoved
		if v.Moved == 0 {
			continue
		}
		moved += v.Moved
		out = append(out, fmt.Sprintf("Row %s: %s places, which saves %s (%s).", v.Name, isAre(v.Moved, "plant changes", "plants change"), part(v.Gain.Mean), fine(v.Gain)))
	}
	if len(out) == 0 {
		return nil
	}
	best := "no arrangement of the same plants in their rows saves more"
	if gap > 0.005 {
		best = fmt.Sprintf("no arrangement of the same plants that keeps the rules saves over %.2f trees more", gap)
	}
	every := "No other plant gains anything by moving"
	if all != moved || part(saved) != part(most) {
		every = fmt.Sprintf("Moving every plant that gains anything, %d instead of %d, would save %s", all, moved, part(most))
	}
	return append(out, fmt.Sprintf("That costs nothing and holds as many of each species as before; eight cases of ten lie between the figures in brackets. %s, and %s.", every, best))
}

// part writes a number of trees with a tenth.
func part(n float64) string {
	if n >= 9.95 {
		return fmt.Sprintf("%.0f trees", n)
	}
	s := fmt.Sprintf("%.1f", n)
	if s == "1.0" {
		return "1.0 tree"
	}
	return s + " trees"
}

// fine is an interval with tenths.
func fine(l Loss) string { return fmt.Sprintf("%.1f to %.1f", max(0, l.Low), max(0, l.High)) }

// Raise says which trees stand on mounds then.
func (a *Advice) Raise(r *assess.Result) []string {
	var ids []string
	low, high := math.Inf(1), 0.0
	for i := range a.Changes {
		if c := &a.Changes[i]; c.Raised {
			ids = append(ids, r.Trees[c.Tree].ID)
			low, high = min(low, c.Mound), max(high, c.Mound)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	tall := quantity.FormatMound(low, r.Units)
	if most := quantity.FormatMound(high, r.Units); most != tall {
		tall += " to " + most
	}
	return []string{fmt.Sprintf("Raise %s on mounds of %s after settling: %s.", wording.Count(len(ids), "tree"), tall, wording.Some(ids, 8))}
}

// Heaps says what the mounds take, and where they stand in the water's way.
func (a *Advice) Heaps(r *assess.Result, trailer float64) (out []string) {
	if a.Soil.Mounds == 0 {
		return a.proven(r)
	}
	bring := a.Soil.Loose
	loads := earthwork.Loads(bring, trailer)
	shared, alone := "", 0.0
	for i := range a.Changes {
		alone += a.Changes[i].Heap.Settled
	}
	if alone > 1.05*a.Soil.Settled {
		shared = ", since mounds that touch share theirs"
	}
	out = append(out, fmt.Sprintf("%s: %s of settled soil%s. Bring %s (%s), since fresh soil settles by about a quarter of its volume: %d %s of %s. Each mound has a level top %s across and sides %d across for 1 up (common practice, no source).",
		wording.Count(a.Soil.Mounds, "mound"), volume(a.Soil.Settled, r.Units), shared, volume(bring, r.Units), volume(bring, other(r.Units)), loads, word(loads, "trailer load"), quantity.FormatVolume(trailer, r.Units),
		quantity.FormatDistance(platform, r.Units), earthwork.SideSlope))
	standing := 0
	for i := range a.Changes {
		if c := &a.Changes[i]; c.Raised && r.Trees[c.Tree].Years > 0 {
			standing++
		}
	}
	if s := assess.Replant(standing); s != "" {
		out = append(out, s)
	}
	return append(out, a.proven(r)...)
}

// proven says what the storm run again with the mounds found, where that is
// nothing to be warned of.
func (a *Advice) proven(r *assess.Result) []string {
	p := a.Proof
	if p == nil {
		return nil
	}
	s := "No mound stands where water runs along."
	if on := p.closed(); len(on) > 0 {
		s = fmt.Sprintf("%s a line of flow (%s).", isAre(len(on), "mound closes", "mounds close"), ids(r, on, 6))
	}
	what := "mounds"
	switch {
	case p.Planned > 0 && p.New == 0:
		what = wording.Count(p.Planned, "mound") + " of the plan"
	case p.Planned > 0:
		what = fmt.Sprintf("%d new mounds and %d of the plan", p.New, p.Planned)
	}
	s += fmt.Sprintf(" The storm was run again with the %s on the likeliest ground, once without and once with them:", what)
	switch {
	case len(p.Backed) == 0 && len(p.Wetter) == 0:
		s += fmt.Sprintf(" water stands %s, and no tree is wet for over a tenth longer.", higher(p.Most, r.Units))
	default:
		s += " water stands " + higher(p.Most, r.Units)
		if n := len(p.Backed); n > 0 {
			s += fmt.Sprintf(", over %s higher at %s", quantity.FormatDepth(leastBacked, r.Units), wording.Count(n, "place"))
		}
		wetter := "no tree gets"
		if n := len(p.Wetter); n > 0 {
			wetter = isAre(n, "tree gets", "trees get")
		}
		s += ", and " + wetter + " wetter."
	}
	out := []string{s}
	for _, l := range p.LeftOut {
		out = append(out, "That was without "+l+".")
	}
	return out
}

// higher says how much higher water stands at most, m: nothing where the
// figure would round to that.
func higher(by float64, u quantity.Units) string {
	s := quantity.FormatDepth(by, u)
	if s == quantity.FormatDepth(0, u) {
		return "no higher anywhere"
	}
	return s + " higher at most"
}

// turned says an amount with the one it takes the place of, where they differ.
func turned(after, before string) string {
	if after == before {
		return after + " as before"
	}
	return after + " instead of " + before
}

// closed lists the trees whose mounds close a line of flow, each once.
func (p *Proof) closed() (trees []int) {
	for _, c := range p.Closed {
		if !slices.Contains(trees, c.Tree) {
			trees = append(trees, c.Tree)
		}
	}
	return trees
}

// ids names trees.
func ids(r *assess.Result, trees []int, most int) string {
	var names []string
	for _, i := range trees {
		names = append(names, r.Trees[i].ID)
	}
	return wording.Some(names, most)
}

// Dammed warns of where the mounds make water stand higher than before, and of
// the trees that it makes wetter.
func (a *Advice) Dammed(r *assess.Result) (out []string) {
	p := a.Proof
	if p == nil {
		return nil
	}
	u := r.Units
	for _, b := range p.Backed[:min(mostWarned, len(p.Backed))] {
		at := r.Drain.Ground.Centre(r.Drain.Ground.Cell(b.Cell))
		s := fmt.Sprintf("Warning: with the mounds on the ground, the storm makes water stand up to %s higher near %s, over %s (%s)", quantity.FormatDepth(b.Depth, u), r.Where(at), quantity.FormatArea(b.Area, u), quantity.FormatVolume(b.Volume, u))
		if len(b.Closed) > 0 {
			s += fmt.Sprintf(", where the %s of %s %s a line of flow", word(len(b.Closed), "mound"), ids(r, b.Closed, 4), map[bool]string{true: "closes", false: "close"}[len(b.Closed) == 1])
		}
		out = append(out, s+": leave a gap for it, or a pipe under the mounds.")
	}
	if more := len(p.Backed) - mostWarned; more > 0 {
		out = append(out, fmt.Sprintf("And so it does at %s.", wording.Count(more, "more place")))
	}
	var wetter []string
	for _, w := range p.Wetter {
		by := fmt.Sprintf("wet %s instead of %s", assess.Spell(w.HoursAfter), assess.Spell(w.HoursBefore))
		if w.HoursBefore == 0 {
			by = "wet " + assess.Spell(w.HoursAfter) + " instead of dry"
		}
		if deeper := w.DepthAfter - w.DepthBefore; deeper > leastBacked {
			by += ", " + quantity.FormatDepth(deeper, u) + " deeper"
		}
		wetter = append(wetter, fmt.Sprintf("%s (%s)", r.Trees[w.Tree].ID, by))
	}
	if len(wetter) > 0 {
		out = append(out, "Warning: the mounds make trees wetter: "+wording.Some(wetter, 6)+".")
	}
	return out
}

// mostWarned is how many places of backed up water are told one by one.
const mostWarned = 3

// Drain says what the best cut of each hollow would do.
func (a *Advice) Drain(r *assess.Result) (out []string) {
	hs, u := r.Drain.Hollows, r.Units
	var vain []string
	for i := range a.Drains {
		d := &a.Drains[i]
		c := d.Best()
		if c == nil {
			vain = append(vain, fmt.Sprint(hs.All[d.Hollow].ID))
			continue
		}
		to := "off the site"
		if c.To != hydro.Outside {
			to = fmt.Sprintf("to hollow %d", hs.All[c.To].ID)
		}
		s := fmt.Sprintf("Hollow %d (%s in danger): %s, %s long, digs %s; %s less stands when the rain ends, %s for each %s dug. It leads %s, %s at its deepest.",
			hs.All[d.Hollow].ID, wording.Count(len(d.Trees), "tree"), c.what(u), quantity.FormatDistance(c.Length, u), volume(c.Volume, u), volume(c.Saved(), u), perDug(c, u), cube(u), to, quantity.FormatDepth(c.Deepest, u))
		s += fmt.Sprintf(" The storm run with it on the likeliest ground leaves %s in danger no more", wording.Count(len(c.Freed), "tree"))
		if len(c.Endangered) > 0 {
			s += fmt.Sprintf(", and endangers %s", ids(r, c.Endangered, 6))
		}
		s += fmt.Sprintf(". Across the boundary of the site go %s in the storm, at most %s", turned(volume(c.Site.After, u), volume(a.Without.After, u)), turned(flow(c.Site.Peak, u), flow(a.Without.Peak, u)))
		if c.Elsewhere > 0.5 {
			s += fmt.Sprintf(", and %s more stand in other hollows", volume(c.Elsewhere, u))
		}
		s += "."
		if m := d.Most(); m != c {
			s += fmt.Sprintf(" With %s it would be %s in danger no more, for %s dug, %s less standing and %s sent over the boundary.",
				m.what(u), wording.Count(len(m.Freed), "tree"), volume(m.Volume, u), volume(m.Saved(), u), volume(m.Site.After, u))
			if len(m.Endangered) > 0 {
				s += fmt.Sprintf(" It endangers %s.", ids(r, m.Endangered, 6))
			}
		}
		out = append(out, s)
	}
	if len(vain) > 0 {
		out = append(out, fmt.Sprintf("No ditch of up to %s and no pipe out of %s %s takes a tree out of danger on the likeliest ground, so none is advised there.", quantity.FormatDepth(0.3, u), word(len(vain), "hollow"), strings.Join(vain, ", ")))
	}
	return out
}

// what says what is dug.
func (c *Cut) what(u quantity.Units) string {
	if c.Pipe {
		return "a pipe from its floor"
	}
	return fmt.Sprintf("a ditch %s deep at its spill", quantity.FormatDepth(c.Depth, u))
}

func perDug(c *Cut, u quantity.Units) string {
	if c.Volume < 0.05 {
		return "all"
	}
	return strings.TrimSuffix(quantity.FormatVolume(c.PerDug(c.Saved()), quantity.Metric), "m³") + cube(u) // a ratio of volumes
}

// Swap says what to buy instead, grouped.
func (a *Advice) Swap(r *assess.Result) (out []string) {
	type change struct{ from, to string }
	at := map[change][]string{}
	for i := range a.Changes {
		if c := &a.Changes[i]; c.Swapped {
			k := change{r.Trees[c.Tree].Entry.Name(), c.Species.Name()}
			at[k] = append(at[k], r.Trees[c.Tree].ID)
		}
	}
	var keys []change
	for k := range at {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(x, y change) int {
		return cmp.Or(len(at[y])-len(at[x]), cmp.Compare(x.from, y.from), cmp.Compare(x.to, y.to))
	})
	for _, k := range keys {
		out = append(out, fmt.Sprintf("Plant %s instead of %s at %s.", k.to, k.from, wording.Some(at[k], 8)))
	}
	return out
}

// Measure says what to find out next, and where.
func (a *Advice) Measure(r *assess.Result) (out []string) {
	if len(a.Places) == 0 {
		return []string{"No single reading would change what is advised by much."}
	}
	var little []string
	for _, p := range a.Places {
		at, why := r.Where(p.Point), "how high its ground lies"
		switch {
		case p.Soak:
			at, why = "how fast water soaks in", "a test in a hole where the water stands, or the day a pool there is seen to be dry"
		case p.Tree >= 0:
			at = fmt.Sprintf("the stake of %s (%s)", r.Trees[p.Tree].ID, at)
		case p.Spill >= 0:
			at, why = fmt.Sprintf("the spill of hollow %d (%s)", r.Drain.Hollows.All[p.Spill].ID, at), "it decides how deep the hollow gets"
		}
		if p.Worth < leastWorth {
			little = append(little, at)
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s. Worth %.2f of a tree.", wording.Capital(at), why, p.Worth))
	}
	if len(little) > 0 {
		then := ""
		if len(out) > 0 {
			then = "then "
		}
		out = append(out, fmt.Sprintf("%s; each worth less than a hundredth of a tree.", wording.Capital(then+strings.Join(little, "; "))))
	}
	return append(out, fmt.Sprintf("Worth is the trees that deciding with the reading would save, lost ones or those raised for nothing; a mound or a swap counts as %.2g of a tree.", a.Target))
}

// leastWorth is the worth of a reading, in trees, that has a line of its own.
const leastWorth = 0.01

func volume(v float64, u quantity.Units) string { return quantity.FormatVolume(v, u) }

// other is the family of units that a report is not in: soil is sold in both.
func other(u quantity.Units) quantity.Units {
	if u == quantity.Feet {
		return quantity.Metric
	}
	return quantity.Feet
}

// cube is the unit that volumes are written in.
func cube(u quantity.Units) string {
	if u == quantity.Feet {
		return "yd³"
	}
	return "m³"
}

func flow(v float64, u quantity.Units) string {
	if u == quantity.Feet {
		return rate(v/0.028316846592) + " cubic feet a second"
	}
	return rate(1000*v) + " litres a second"
}

// rate writes a flow with two figures, and no more than whole numbers.
func rate(v float64) string {
	if v >= 99.5 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2g", v)
}

func word(n int, noun string) string {
	if n == 1 {
		return noun
	}
	return noun + "s"
}

func isAre(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// Do says what a change is, in a few words.
func (a *Advice) Do(r *assess.Result, c *Change) string {
	var parts []string
	switch {
	case c.Swapped:
		parts = append(parts, "buy "+c.Species.Name())
	case c.Places:
		parts = append(parts, "put "+c.Species.Name()+" here")
	}
	if c.Raised {
		parts = append(parts, r.RaiseBy(&r.Trees[c.Tree], c.Mound))
	}
	return strings.Join(parts, ", ")
}
