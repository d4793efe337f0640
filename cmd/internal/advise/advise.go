// Package advise turns the odds of an assessment into the cheapest good
// decisions: which plants of a row change places, which trees are raised and
// by how much soil, which are swapped, where a cut or a pipe pays, and where a
// reading of the staff would change most of that.
//
// # Model
//
// What costs nothing comes first. The plants of each row go to the places of
// that row where the fewest of them are expected to be lost, counts kept. Then
// every tree that is still flagged is raised by the least mound that brings its
// odds of being lost to the target, or where half a metre does not, swapped
// for a species that bears the spot and keeps its role. Each figure is a mean
// over the draws of the odds, and each gain is told with the interval that
// eight of ten draws lie in.
//
// Two things are tried on the likeliest ground alone, by running the storm
// again: what all mounds together do to the water and to other trees, and which
// trees a ditch or a pipe out of a hollow takes out of danger. A drain is
// advised only if it saves water and helps more trees than it endangers. What a
// reading is worth is counted on the plants as they stand after changing places.
//
// Trees that are fixed or on trial stay as they are, and those that stand already
// keep their places: what is raised or swapped there is a new planting.
//
// # Units
//
// Metres and cubic metres; losses in trees.
package advise

import (
	"context"
	"errors"
	"fmt"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/fault"
	"wetfeet/hydro/relief"
	"wetfeet/species"
	"wetfeet/species/arrange"
)

// Options adjust Make. The zero value is the common case.
type Options struct {
	Alternate       bool    // no two neighbours of one species in a row, where the counts allow
	EmergentSpacing float64 // least distance between trees of the emergent layer in a row, m; 0 for any
	Stay            bool    // plants do not change places
}

// share of the draws that intervals hold.
const share = 0.8

// movePrice is what moving one plant to another place of its row is taken to
// cost, in trees: a plan that says where everything goes is changed only where
// that saves more. Common practice, no source.
const movePrice = 0.02

// leastGain is the gain from which the plants of a row are moved at all, in
// trees.
const leastGain = 0.1

// A Loss is a number of trees expected to be lost, and the interval that holds
// eight in ten of the draws.
type Loss struct{ Mean, Low, High float64 }

// Advice is what to do about a site.
type Advice struct {
	Target float64 // odds of being lost that trees are brought to, or under

	Now, Arranged, Then Loss // of the trees on known ground: as planned, with plants changing places, and with all changes
	Saved               Loss // by all of it, draw by draw

	Rows    []Row
	Changes []Change // trees that change, in planting order
	Beyond  []int    // trees that no mound and no swap brings to the target
	Soil    Soil
	Proof   *Proof // of what the mounds do to the water; nil without mounds

	Drains  []Drain         // of the hollows that endanger most trees
	Without *relief.Outcome // of the storm on the site as it is; nil without drains

	Places []Place // where to hold the staff next, the most useful first
}

// A Row is what changing places does to the plants of one.
type Row struct {
	Name  string
	Moved int  // positions whose species changes; 0 where it is not worth it
	Gain  Loss // trees saved by that

	// Most is what the best of all arrangements of the same plants would save,
	// in trees, with MostMoved of them elsewhere; Proven says that none saves
	// more, and Gap how much more one might.
	Most      float64
	MostMoved int
	Proven    bool
	Gap       float64
}

// A Change is what is to be done about a tree.
type Change struct {
	Tree    int
	Species *species.Entry // what stands there then
	Places  bool           // it came by changing places within the row
	Put     *species.Entry // what changing places puts there; another may be bought instead
	Swapped bool           // it is bought instead
	Mound   float64        // height of the root crown above the ground, m; 0 on the level
	Raised  bool           // the mound is new

	Before, After float64          // odds of being lost
	Others        []*species.Entry // that would bear the spot too, best first
	Heap          Heap             // of the mound
}

// Make works out the advice. The assessment has odds.
func Make(ctx context.Context, r *assess.Result, o Options) (*Advice, error) {
	if r.Odds == nil {
		return nil, errors.New("advice is made from odds, and there are none")
	}
	a := &Advice{Target: r.Odds.Target}
	planned := make([]*species.Entry, len(r.Trees))
	for i := range r.Trees {
		planned[i] = r.Trees[i].Entry
	}
	now := a.losses(r, planned, nil)
	arranged, err := a.arrange(ctx, r, planned, o)
	if err != nil {
		return nil, err
	}
	between := a.losses(r, arranged, nil)
	mounds := make([]float64, len(r.Trees))
	final := make([]*species.Entry, len(r.Trees))
	copy(final, arranged)
	for i := range r.Trees {
		t := &r.Trees[i]
		mounds[i] = t.Built
		if !t.OnGround {
			continue
		}
		c := Change{Tree: i, Species: arranged[i], Put: arranged[i], Places: arranged[i] != planned[i], Mound: t.Built, Before: t.Odds, After: t.Odds}
		v := t.Verdict
		if c.Places {
			v = r.Weigh(i, arranged[i])
			c.After = v.Odds
		}
		if v.Flagged && !t.Tried {
			c.Others = v.Swaps
			switch v.Advice {
			case "raise":
				c.Raised, c.Mound, c.After = true, v.Mound, v.OddsRaised
				mounds[i] = v.Mound
			case "swap":
				c.Swapped, c.Species, c.After = true, v.Swaps[0], v.OddsSwapped
				final[i] = v.Swaps[0]
			default:
				a.Beyond = append(a.Beyond, i)
			}
		}
		if c.Places || c.Raised || c.Swapped {
			a.Changes = append(a.Changes, c)
		}
	}
	then := a.losses(r, final, mounds)
	if a.Now, err = total(now); err != nil {
		return nil, err
	}
	if a.Arranged, err = total(between); err != nil {
		return nil, err
	}
	if a.Then, err = total(then); err != nil {
		return nil, err
	}
	a.Saved, err = saved(now, then)
	a.heap(r)
	return a, errors.Join(err, a.prove(ctx, r, mounds), a.drain(ctx, r), a.measure(ctx, r, arranged))
}

// losses are, by draw and tree on known ground, the odds that it is lost. A
// mound is the height of its root crown above the ground, m; nil has all as
// they are.
func (a *Advice) losses(r *assess.Result, what []*species.Entry, mounds []float64) [][]float32 {
	out := make([][]float32, r.Odds.Draws)
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround {
			continue
		}
		more := 0.0
		if mounds != nil {
			more = mounds[i] - t.Built
		}
		for d, p := range t.Draws.OnDraws(r.Bears(i, what[i], more != 0), more) {
			out[d] = append(out[d], p)
		}
	}
	return out
}

// total is the number of trees lost.
func total(losses [][]float32) (Loss, error) {
	none := make([][]float32, len(losses))
	for d := range none {
		none[d] = make([]float32, len(losses[d]))
	}
	return saved(losses, none)
}

// saved is how many fewer are lost, draw by draw.
func saved(before, after [][]float32) (Loss, error) {
	mean, low, high, err := arrange.Gain(before, after, share)
	return Loss{mean, low, high}, err
}

// arrange lets the plants of each row change places, and returns what stands
// where then.
func (a *Advice) arrange(ctx context.Context, r *assess.Result, planned []*species.Entry, o Options) ([]*species.Entry, error) {
	out := make([]*species.Entry, len(planned))
	copy(out, planned)
	if o.Stay {
		return out, nil
	}
	var bad []error
	for k := range r.Rows {
		row := &r.Rows[k]
		p, entries, trees := problem(r, row, o)
		if len(entries) < 2 {
			continue
		}
		most, err := arrange.Arrange(ctx, p)
		if err == nil {
			dearMoves(&p)
		}
		var plan *arrange.Plan
		if err == nil {
			plan, err = arrange.Arrange(ctx, p)
		}
		if errors.Is(err, arrange.ErrInput) {
			bad = append(bad, fmt.Errorf("row %q: %w", row.Name, err))
			continue
		}
		if err != nil {
			return nil, err
		}
		before, after := make([][]float32, r.Odds.Draws), make([][]float32, r.Odds.Draws)
		for at, i := range trees {
			t := &r.Trees[i]
			was, is := t.Draws.OnDraws(r.Bears(i, planned[i], false), 0), t.Draws.OnDraws(r.Bears(i, entries[plan.Species[at]], false), 0)
			for d := range was {
				before[d], after[d] = append(before[d], was[d]), append(after[d], is[d])
			}
		}
		gain, err := saved(before, after)
		if err != nil {
			return nil, err
		}
		v := Row{Name: row.Name, Gain: gain, Most: most.Before - most.Loss, MostMoved: most.Moved, Proven: most.Proven, Gap: most.Loss - most.Bound}
		broken := o.Alternate || o.EmergentSpacing > 0 // the rules are wanted whatever they gain
		if gain.Mean >= leastGain || broken {
			v.Moved = plan.Moved
			for at, i := range trees {
				out[i] = entries[plan.Species[at]]
			}
		}
		a.Rows = append(a.Rows, v)
	}
	return out, fault.Input(errors.Join(bad...))
}

// dearMoves puts the price of moving on every place but the planned one.
func dearMoves(p *arrange.Problem) {
	for e := range p.Loss {
		for at := range p.Loss[e] {
			if e != p.Planned[at] {
				p.Loss[e][at] += movePrice
			}
		}
	}
}

// problem is the plants of a row that lie on known ground, and the positions
// they may go to.
func problem(r *assess.Result, row *assess.Row, o Options) (p arrange.Problem, entries []*species.Entry, trees []int) {
	number := map[*species.Entry]int{}
	for _, i := range row.Trees {
		t := &r.Trees[i]
		if !t.OnGround {
			continue
		}
		e, seen := number[t.Entry]
		if !seen {
			e = len(entries)
			number[t.Entry] = e
			entries = append(entries, t.Entry)
			p.Count = append(p.Count, 0)
			p.Name = append(p.Name, t.Entry.Name())
			p.Emergent = append(p.Emergent, t.Entry.Stratum == "emergent")
		}
		p.Count[e]++
		p.Planned = append(p.Planned, e)
		p.Along = append(p.Along, t.Along)
		p.Label = append(p.Label, t.ID)
		stays := arrange.None
		if t.Stays() {
			stays = e
		}
		p.Fixed = append(p.Fixed, stays)
		trees = append(trees, i)
	}
	p.Alternate, p.EmergentSpacing = o.Alternate, o.EmergentSpacing
	bears := make([]species.Tolerance, len(entries))
	p.Loss = make([][]float64, len(entries))
	for _, i := range trees {
		for e, entry := range entries {
			bears[e] = r.Bears(i, entry, false)
		}
		for e, lost := range r.Trees[i].Draws.Losses(bears, 0) {
			p.Loss[e] = append(p.Loss[e], lost)
		}
	}
	return p, entries, trees
}
