package advise

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/hydro/soil"
	"wetfeet/species"
	"wetfeet/terrain"

	"github.com/paulmach/orb"
)

const (
	// mostPlaces is how many readings are advised.
	mostPlaces = 5

	// mostCandidates bounds the places that are weighed against each other.
	mostCandidates = 400

	// staffError is that of a reading with level and staff, m: terrain/survey
	// takes the same for what a laser keeps.
	staffError = 0.01

	// leastPlace is the worth, in trees, from which a place is named.
	leastPlace = 0.001

	// settled is how near to 0 or 1 the odds of a tree have to be for no
	// reading to matter to it.
	settled = 0.02

	// apartPlaces is how near to another a candidate may lie, m.
	apartPlaces = 2.0
)

// A Place is where to hold the staff.
type Place struct {
	Point orb.Point
	Tree  int // whose stake it is; -1 for none
	Spill int // index of the hollow that spills there; -1 for none

	// Soak is no place: a test of how fast water soaks in, or the day a pool
	// is dry.
	Soak bool

	// Worth is how many trees fewer are expected to be lost, or raised for
	// nothing, when decisions are taken knowing this reading and those
	// before it.
	Worth float64
}

// measure finds the readings that would be worth most to the decisions on
// single trees: to raise or swap one, at a price of the target risk, or to bear
// its risk. They are those that are left once the plants stand where changing
// places puts them: that costs nothing and is done first, and a reading is
// worth nothing to a tree that it takes out of danger.
func (a *Advice) measure(ctx context.Context, r *assess.Result, arranged []*species.Entry) error {
	var loss [][]float64
	odds := make([]float64, len(r.Trees)) // of being lost, as arranged
	for i := range r.Trees {
		t := &r.Trees[i]
		if !t.OnGround || t.Tried {
			continue
		}
		var by []float64
		for _, p := range t.Draws.OnDraws(r.Bears(i, arranged[i], false), 0) {
			by = append(by, float64(p))
		}
		odds[i] = mean(by)
		if odds[i] >= settled && odds[i] <= 1-settled {
			loss = append(loss, by)
		}
	}
	if len(loss) == 0 {
		return nil
	}
	places := candidates(r, odds)
	readings, err := read(ctx, r, places)
	if err != nil {
		return err
	}
	places = append(places, Place{Tree: -1, Spill: -1, Soak: true})
	readings = append(readings, soakTest(r))
	picked, worth := newWorth(loss, a.Target).best(readings, mostPlaces)
	before := 0.0
	for k, c := range picked {
		p := places[c]
		if p.Worth = worth[k] - before; p.Worth < leastPlace {
			break
		}
		before = worth[k]
		a.Places = append(a.Places, p)
	}
	return nil
}

// candidates are where a reading might tell something: where hollows with trees
// in them spill, and at the stakes that are neither safe nor lost, by the odds
// of each tree.
func candidates(r *assess.Result, odds []float64) []Place {
	var out []Place
	far := func(p orb.Point) bool {
		for _, q := range out {
			if math.Hypot(q.Point[0]-p[0], q.Point[1]-p[1]) < apartPlaces {
				return false
			}
		}
		return true
	}
	wet := map[int]bool{}
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround && t.Pond > 0 {
			wet[t.Pond-1] = true
		}
	}
	for k := range r.Drain.Hollows.All {
		h := &r.Drain.Hollows.All[k]
		if p := r.Drain.Ground.Centre(r.Drain.Ground.Cell(h.SpillCell)); wet[k] && far(p) {
			out = append(out, Place{Point: p, Tree: -1, Spill: k})
		}
	}
	var stakes []int
	for i := range r.Trees {
		if t := &r.Trees[i]; t.OnGround && t.Ponding > 0.02 {
			stakes = append(stakes, i)
		}
	}
	slices.SortStableFunc(stakes, func(x, y int) int {
		doubt := func(i int) float64 { return odds[i] * (1 - odds[i]) }
		return cmp.Compare(doubt(y), doubt(x))
	})
	for _, i := range stakes {
		if p := r.Trees[i].Point; far(p) {
			out = append(out, Place{Point: p, Tree: i, Spill: -1})
		}
	}
	return out[:min(len(out), mostCandidates)]
}

// soakTest is what a test of the soaking would say on each draw, as the
// logarithm of the rate.
func soakTest(r *assess.Result) []float64 {
	rng := rand.New(rand.NewPCG(r.Odds.Seed, 0x50ac))
	out := make([]float64, r.Odds.Draws)
	for d := range out {
		out[d] = math.Log10(r.Odds.Soaking(r, d)) + soil.Measured(1).Spread*rng.NormFloat64()
	}
	return out
}

// read is what a staff would read at each place on each draw.
func read(ctx context.Context, r *assess.Result, places []Place) ([][]float64, error) {
	ground, n := r.Odds.Ground, r.Odds.Draws
	cells := make([]int, len(places))
	out := make([][]float64, len(places))
	for c, p := range places {
		row, col, _ := ground.Frame.Locate(p.Point)
		cells[c] = ground.Frame.Index(row, col)
		out[c] = make([]float64, n)
	}
	pairs := (n + 1) / 2
	terrain.Bands(pairs, func(lo, hi int) {
		room := ground.NewRoom()
		a, b := make([]float32, ground.Frame.Len()), make([]float32, ground.Frame.Len())
		for k := lo; k < hi && ctx.Err() == nil; k++ {
			room.Pair(k, a, b)
			for c, cell := range cells {
				out[c][2*k] = float64(a[cell])
				if 2*k+1 < n {
					out[c][2*k+1] = float64(b[cell])
				}
			}
		}
	})
	for c := range out {
		rng := rand.New(rand.NewPCG(r.Odds.Seed, uint64(c)+0x57aff))
		for d := range out[c] {
			out[c][d] += staffError * rng.NormFloat64()
		}
	}
	return out, context.Cause(ctx)
}
