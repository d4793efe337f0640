package arrange

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowRow is the least that a row loses less the prices, over all last species
// and distances to the last emergent, one by one.
func slowRow(s *site, lo, hi int, u []float64, pair float64) float64 {
	type state struct{ last, emergent int }
	now := map[state]float64{{None, None}: 0}
	for i := lo; i < hi; i++ {
		next := map[state]float64{}
		for from, c := range now {
			for k := range s.count {
				if f := s.fixed[i]; f != None && f != k {
					continue
				}
				sum, to := c+s.loss[i][k]-u[k], state{k, from.emergent}
				if s.emergent[k] {
					if from.emergent != None && from.emergent >= s.low[i] {
						continue
					}
					to.emergent = i
				}
				if i > lo && s.alternate && from.last == k && (s.fixed[i] == None || s.fixed[i-1] == None) {
					sum += pair
				}
				if was, ok := next[to]; !ok || sum < was {
					next[to] = sum
				}
			}
		}
		now = next
	}
	least := math.Inf(1)
	for _, c := range now {
		least = min(least, c)
	}
	return least
}

func TestRowsArePlannedToTheOptimum(t *testing.T) {
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 21))
		p := small(rng)
		if seed%3 == 0 {
			p = made([]string{"even", "ponds"}[seed%2], seed, 5, 60, 2, 1+int(seed%4), int(seed%3), seed%2 == 0)
		}
		s, err := newSite(&p)
		if err != nil {
			require.ErrorIs(t, err, ErrInput)
			continue
		}
		u := make([]float64, len(p.Count))
		for k := range u {
			u[k] = rng.NormFloat64()
		}
		r := newRows(s)
		r.pair = []float64{math.Inf(1), 0, 0.3}[rng.IntN(3)]
		got, want := r.plan(u), 0.0
		for lo := 0; lo < len(s.order); {
			hi := lo + 1
			for hi < len(s.order) && s.left[hi] != None {
				hi++
			}
			want += slowRow(s, lo, hi, u, r.pair)
			lo = hi
		}
		if math.IsInf(want, 1) {
			require.Equal(t, want, got, "seed %d", seed)
			continue
		}
		require.InDelta(t, want, got, 1e-9, "seed %d", seed)
		sum := 0.0 // of the plan itself
		for i, k := range r.species {
			sum += s.loss[i][k] - u[k]
		}
		if c := s.whole(r.species); c.rule > 0 {
			sum += r.pair * float64(c.rule)
		}
		require.InDelta(t, want, sum, 1e-9, "seed %d", seed)
	}
}

// What is gained by rounds of moves is held against the transportation problem
// solved from nothing.
func TestExchangeFindsWhatPlantingAnewFinds(t *testing.T) {
	gained := 0
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 22))
		p := made([]string{"even", "ponds"}[seed%2], seed, 2+int(seed%6), 60, 2, 3, int(seed%2), false)
		s, err := newSite(&p)
		require.NoError(t, err)
		plan := s.inRowOrder()
		places := rng.Perm(60)[:40]
		slices.Sort(places)
		barredAt := func(i, k int) int64 { return int64((i + k) % 7 / 6) }
		anew := slices.Clone(plan)
		_, err = s.replant(context.Background(), anew, places, barredAt)
		require.NoError(t, err)
		cost := func(plan []int) (sum cost) {
			for i, k := range plan {
				c := s.at(i, k)
				if slices.Contains(places, i) {
					c.rule = barredAt(i, k)
				}
				sum = sum.plus(c)
			}
			return sum
		}
		before := cost(plan)
		s.exchange(plan, places, barredAt)
		require.Equal(t, cost(anew), cost(plan), "seed %d", seed)
		require.Zero(t, s.wrong(plan))
		if cost(plan).less(before) {
			gained++
		}
	}
	assert.Greater(t, gained, 50)
}

// By hand: one half-space, a corner of two, one that does not matter, and two
// that cannot both be.
func TestShortestWayIntoHalfSpaces(t *testing.T) {
	d, push, ok := shortest([][]float64{{3, 4}}, []float64{10}, 2)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{1.2, 1.6}, d, 1e-12)
	assert.Positive(t, push[0])
	d, push, ok = shortest([][]float64{{1, 0}, {0, 2}, {1, 1}}, []float64{2, 2, -5}, 2)
	require.True(t, ok)
	assert.InDeltaSlice(t, []float64{2, 1}, d, 1e-12)
	assert.Zero(t, push[2])
	_, _, ok = shortest([][]float64{{1, 0}, {-1, 0}}, []float64{1, 0}, 2)
	assert.False(t, ok)
	_, _, ok = shortest([][]float64{{0, 0}}, []float64{1}, 2)
	assert.False(t, ok)
}

// The shortest way is known by its marks (Karush 1939, Kuhn and Tucker 1951):
// it lies in every half-space, and is a sum, with factors of 0 or more, of the
// slopes of those whose edge it lies on. That there is none is known by such a
// sum of nothing that asks for something (Farkas 1902).
func TestShortestWayHasTheMarksOfOne(t *testing.T) {
	found, none := 0, 0
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 23))
		n, m := 1+rng.IntN(13), 1+rng.IntN(40)
		g, h := make([][]float64, m), make([]float64, m)
		for k := range g {
			g[k] = make([]float64, n)
			for j := range g[k] {
				g[k][j] = float64(rng.IntN(201) - 100)
			}
			h[k] = 1e-3 * rng.NormFloat64()
		}
		d, push, ok := shortest(g, h, n)
		sum := make([]float64, n)
		if !ok {
			for k := range g {
				for j := range sum {
					sum[j] += push[k] * g[k][j]
				}
			}
			require.Positive(t, dot(push, h), "seed %d", seed)
			require.LessOrEqual(t, math.Sqrt(dot(sum, sum)), 1e-6*dot(push, h)/1e-3, "seed %d", seed)
			none++
			continue
		}
		found++
		for k := range g {
			slack := dot(g[k], d) - h[k]
			require.GreaterOrEqual(t, slack, -1e-9, "seed %d", seed)
			require.GreaterOrEqual(t, push[k], 0.0)
			if push[k] > 0 {
				require.InDelta(t, 0, slack, 1e-9, "seed %d", seed)
			}
			for j := range sum {
				sum[j] += push[k] * g[k][j]
			}
		}
		length, size := math.Sqrt(dot(d, d)), math.Sqrt(dot(sum, sum))
		if length > 0 {
			require.InDelta(t, 1, dot(d, sum)/(length*size), 1e-9, "seed %d: the two point the same way", seed)
		}
	}
	assert.Greater(t, found, 50)
	assert.Greater(t, none, 50)
}
