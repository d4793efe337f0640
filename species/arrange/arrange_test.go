package arrange

import (
	"context"
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A stream is splitmix64, as testdata/scipy/assignment.py has it.
type stream struct{ seed uint64 }

func (s *stream) next() uint64 {
	s.seed += 0x9E3779B97F4A7C15
	z := s.seed
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

func (s *stream) unit() float64 { return float64(s.next()>>11) / (1 << 53) }

// made is the problem of the script.
func made(kind string, seed uint64, species, positions, rows, reach, emergents int, alternate bool) Problem {
	r := &stream{seed}
	p := Problem{Loss: make([][]float64, species), Count: make([]int, species), Alternate: alternate}
	if kind == "ponds" {
		bears, wet := make([]float64, species), make([]float64, positions)
		for s := range bears {
			bears[s] = r.unit()
		}
		for i := range wet {
			wet[i] = max(0, r.unit()-0.5) * 2
		}
		for s := range bears {
			for _, w := range wet {
				p.Loss[s] = append(p.Loss[s], math.RoundToEven(max(0, w-bears[s])*100)/100)
			}
		}
	} else {
		for s := range p.Loss {
			for range positions {
				p.Loss[s] = append(p.Loss[s], r.unit())
			}
		}
	}
	for s := range p.Count {
		p.Count[s] = positions / species
		if s < positions%species {
			p.Count[s]++
		}
	}
	for range species {
		a := r.next() % uint64(species)
		b := r.next() % uint64(species)
		if a != b && p.Count[a] > 1 {
			p.Count[a]--
			p.Count[b]++
		}
	}
	if emergents > 0 {
		p.Emergent, p.EmergentSpacing = make([]bool, species), float64(reach)
		for s := range emergents {
			p.Emergent[s] = true
			over := p.Count[s] - max(1, positions/(2*reach*emergents))
			for k := range max(0, over) {
				p.Count[s]--
				p.Count[emergents+k%(species-emergents)]++
			}
		}
	}
	for i := range positions {
		p.Row = append(p.Row, i/(positions/rows))
		p.Along = append(p.Along, float64(i%(positions/rows)))
	}
	return p
}

// The least losses of scipy are met, with rules and without, and proven to be
// the least.
func TestLossesAreThoseOfScipy(t *testing.T) {
	f, err := os.Open("testdata/scipy/assignment.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, line := range lines[1:] {
		var n [7]int
		for k := range n {
			n[k], err = strconv.Atoi(line[k+1])
			require.NoError(t, err)
		}
		if testing.Short() && n[2] > 1000 {
			continue
		}
		p := made(line[0], uint64(n[0]), n[1], n[2], n[3], n[4], n[5], n[6] == 1)
		least, err := strconv.ParseFloat(line[8], 64)
		require.NoError(t, err)
		plan := arranged(t, p)
		t.Logf("%v: loss %.9f bound %.9f proven %v, scipy %.9f", line[:8], plan.Loss, plan.Bound, plan.Proven, least)
		if n[4] == 0 && n[6] == 0 {
			assert.InDelta(t, least, plan.Loss, 1e-9, line)
			assert.InDelta(t, least, plan.Bound, 1e-9, line)
			other, err := strconv.ParseFloat(line[9], 64)
			require.NoError(t, err)
			assert.InDelta(t, other, plan.Loss, 1e-7, "linprog, %v", line)
			assert.True(t, plan.Proven, line)
			continue
		}
		assert.Zero(t, plan.Together, line)
		assert.LessOrEqual(t, plan.Bound, least+1e-9, line)
		assert.InDelta(t, least, plan.Loss, 1e-9, line)
		assert.True(t, plan.Proven, line)
	}
}

// arranged is the plan of a problem, checked for its counts, its fixed trees
// and its rules.
func arranged(t *testing.T, p Problem) *Plan {
	t.Helper()
	plan, err := Arrange(context.Background(), p)
	require.NoError(t, err)
	count, loss := make([]int, len(p.Count)), 0.0
	for i, s := range plan.Species {
		count[s]++
		loss += p.Loss[s][i]
		if p.Fixed != nil && p.Fixed[i] != None {
			require.Equal(t, p.Fixed[i], s, "fixed tree at %d", i)
		}
	}
	require.Equal(t, p.Count, count)
	require.InDelta(t, loss, plan.Loss, 1e-9)
	require.LessOrEqual(t, plan.Bound, plan.Loss)
	near, pairs := broken(p, plan.Species)
	require.Zero(t, near, "emergents too near")
	require.Equal(t, pairs, plan.Together)
	return plan
}

// broken counts emergents too near to each other and neighbours together, by
// looking at all pairs of positions.
func broken(p Problem, species []int) (near, pairs int) {
	row := func(i int) int {
		if p.Row == nil {
			return 0
		}
		return p.Row[i]
	}
	along := func(i int) float64 {
		if p.Along == nil {
			return float64(i)
		}
		return p.Along[i]
	}
	isFixed := func(i int) bool { return p.Fixed != nil && p.Fixed[i] != None }
	for i := range species {
		for j := range species {
			if i == j || row(i) != row(j) || along(i) > along(j) || along(i) == along(j) && i > j {
				continue
			}
			if p.Emergent != nil && p.Emergent[species[i]] && p.Emergent[species[j]] && along(j)-along(i) < p.EmergentSpacing-1e-9 {
				near++
			}
			between := false
			for k := range species {
				after := along(k) > along(i) || along(k) == along(i) && k > i
				before := along(k) < along(j) || along(k) == along(j) && k < j
				between = between || k != i && k != j && row(k) == row(i) && after && before
			}
			if p.Alternate && !between && species[i] == species[j] && !(isFixed(i) && isFixed(j)) {
				pairs++
			}
		}
	}
	return near, pairs
}

// slowly looks at every arrangement: the fewest pairs together, then the
// least loss; ok is false where none keeps the emergents apart.
func slowly(p Problem) (pairs int, loss float64, ok bool) {
	n := len(p.Loss[0])
	species, left := make([]int, n), slices.Clone(p.Count)
	var place func(i int, sum float64)
	place = func(i int, sum float64) {
		if i == n {
			near, together := broken(p, species)
			if near == 0 && (!ok || together < pairs || together == pairs && sum < loss) {
				pairs, loss, ok = together, sum, true
			}
			return
		}
		for s := range left {
			if left[s] > 0 && (p.Fixed == nil || p.Fixed[i] == None || p.Fixed[i] == s) {
				left[s]--
				species[i] = s
				place(i+1, sum+p.Loss[s][i])
				left[s]++
			}
		}
	}
	place(0, 0)
	return pairs, loss, ok
}

// small is a problem of a few plants with rules and fixed trees of all kinds.
func small(r *rand.Rand) Problem {
	species, n := 1+r.IntN(4), 1+r.IntN(7)
	p := Problem{Count: make([]int, species), Emergent: make([]bool, species), Alternate: r.IntN(2) == 0}
	if r.IntN(3) > 0 {
		p.EmergentSpacing = float64(r.IntN(4))
	}
	for s := range species {
		p.Loss = append(p.Loss, make([]float64, n))
		for i := range n {
			p.Loss[s][i] = float64(r.IntN(20)) / 16 // so that sums are exact and ties many
		}
		p.Emergent[s] = r.IntN(3) == 0
	}
	for i := range n {
		s := r.IntN(species)
		p.Count[s]++
		p.Fixed = append(p.Fixed, None)
		if r.IntN(4) == 0 {
			p.Fixed[i] = s
		}
		p.Row = append(p.Row, r.IntN(2))
		p.Along = append(p.Along, float64(r.IntN(12))/2)
	}
	return p
}

func TestSmallProblemsAgreeWithAllArrangements(t *testing.T) {
	none := 0
	for seed := range uint64(600) {
		p := small(rand.New(rand.NewPCG(seed, 5)))
		pairs, loss, ok := slowly(p)
		if !ok {
			none++
			_, err := Arrange(context.Background(), p)
			require.ErrorIs(t, err, ErrInput, "seed %d", seed)
			continue
		}
		plan := arranged(t, p)
		require.Equal(t, pairs, plan.Together, "seed %d", seed)
		require.InDelta(t, loss, plan.Loss, 1e-12, "seed %d", seed)
		require.True(t, plan.Proven, "seed %d", seed)
		require.Equal(t, plan.Loss, plan.Bound)
	}
	assert.Positive(t, none, "some have no room")
}

// What is done when there are too many arrangements to weigh is held against
// all of them here: its bound never passes the least loss, and what it finds
// is seldom far off.
func TestRelaxedPlansLieBetweenTheBoundAndABit(t *testing.T) {
	least, found, met := 0.0, 0.0, 0
	tried := 0
	for seed := range uint64(500) {
		p := small(rand.New(rand.NewPCG(seed, 9)))
		pairs, loss, ok := slowly(p)
		if !ok {
			continue
		}
		s, err := newSite(&p)
		require.NoError(t, err)
		_, prices, err := s.unruled(context.Background())
		require.NoError(t, err)
		got, err := s.relax(context.Background(), s.bound(prices), prices)
		require.NoError(t, err)
		c := s.whole(got.species)
		if c.rule >= barred {
			continue // it found no plan; Arrange weighs these
		}
		require.GreaterOrEqual(t, int(c.rule), pairs, "seed %d", seed)
		tried++
		if int(c.rule) == pairs {
			require.LessOrEqual(t, got.bound, loss+1e-9, "seed %d", seed)
			require.GreaterOrEqual(t, float64(c.loss)*s.step, loss-1e-9, "seed %d", seed)
			least, found, met = least+loss, found+float64(c.loss)*s.step, met+1
		}
	}
	t.Logf("of %d tried %d have the fewest pairs, and lose %.2f against %.2f", tried, met, found, least)
	assert.Greater(t, met, tried*9/10)
	assert.Less(t, found, 1.05*least)
}

func TestOrderOfSpeciesAndPositionsDoesNotMatter(t *testing.T) {
	for seed := range uint64(20) {
		for _, alternate := range []bool{false, true} {
			p := made([]string{"even", "ponds"}[seed%2], seed, 4, 22, 2, 3, 1, alternate)
			want := arranged(t, p)
			r := rand.New(rand.NewPCG(seed, 3))
			species, positions := r.Perm(4), r.Perm(22)
			q := Problem{Alternate: p.Alternate, EmergentSpacing: p.EmergentSpacing}
			for _, s := range species {
				var row []float64
				for _, i := range positions {
					row = append(row, p.Loss[s][i])
				}
				q.Loss, q.Count, q.Emergent = append(q.Loss, row), append(q.Count, p.Count[s]), append(q.Emergent, p.Emergent[s])
			}
			for _, i := range positions {
				q.Row, q.Along = append(q.Row, p.Row[i]), append(q.Along, p.Along[i])
			}
			got := arranged(t, q)
			assert.InDelta(t, want.Loss, got.Loss, 1e-9, "seed %d", seed)
			assert.Equal(t, want.Proven, got.Proven)
		}
	}
}

// What every species loses at a position is lost whoever stands there.
func TestLossCommonToAPositionChangesNothingElse(t *testing.T) {
	for seed := range uint64(20) {
		p := made("even", seed, 5, 60, 2, 4, 2, seed%2 == 0)
		want := arranged(t, p)
		sum := 0.0
		for i := range p.Loss[0] {
			add := float64(i%7) / 8
			sum += add
			for s := range p.Loss {
				p.Loss[s][i] += add
			}
		}
		got := arranged(t, p)
		assert.InDelta(t, want.Loss+sum, got.Loss, 1e-9, "seed %d", seed)
		assert.Equal(t, want.Species, got.Species, "seed %d", seed)
	}
}

// Where nothing is to be gained nothing is moved.
func TestEqualArrangementsKeepThePlan(t *testing.T) {
	p := Problem{Loss: [][]float64{{0, 0, 0, 0.5}, {0, 0, 0, 0}, {0, 0, 0, 1}}, Count: []int{1, 1, 2}, Planned: []int{2, 1, 2, 0}}
	plan := arranged(t, p)
	assert.Equal(t, []int{2, 0, 2, 1}, plan.Species)
	assert.Equal(t, 2, plan.Moved)
	assert.Equal(t, 0.5, plan.Before)
	assert.Zero(t, plan.Loss)
	assert.True(t, plan.Proven)
}

// Four of five of one species in a row of five cannot all be parted: with the
// other in the middle two pairs are left.
func TestPairsThatCountsForceAreFew(t *testing.T) {
	p := Problem{Loss: [][]float64{{0, 0, 0, 0, 0}, {0, 1, 1, 1, 1}}, Count: []int{4, 1}, Alternate: true}
	plan := arranged(t, p)
	assert.Equal(t, 2, plan.Together)
	assert.Equal(t, 1.0, plan.Loss)
	assert.True(t, plan.Proven)
}

func TestProblemsThatCannotBe(t *testing.T) {
	flat := func(species, positions int) [][]float64 {
		loss := make([][]float64, species)
		for s := range loss {
			loss[s] = make([]float64, positions)
		}
		return loss
	}
	holed := flat(2, 2)
	holed[1][0] = math.NaN()
	for _, tt := range []struct {
		name string
		p    Problem
		want string
	}{
		{"nothing", Problem{}, "there is nothing to arrange: a table of losses has at least one species and one position"},
		{"shapes", Problem{Loss: [][]float64{{0, 0}, {0}}, Count: []int{1}, Row: []int{1}},
			"losses of species 2 are given for 1 positions, and those of species 1 for 2\ncounts: 1 given, and there are 2 species\nrows: 1 given, and there are 2 positions"},
		{"counts and losses", Problem{Loss: holed, Count: []int{4, -1}, Name: []string{"pecan", "pear"}, Label: []string{"A1", "A2"}},
			"the loss of pear at A1 is NaN, not a number\nthe count of pear is -1, not 0 or more\nthe counts add up to 3 plants and there are 2 positions: every position takes one"},
		{"too many fixed", Problem{Loss: flat(2, 3), Count: []int{1, 2}, Fixed: []int{0, 0, 7}},
			"position 3 is fixed to species 7, and there are 2\n2 of species 1 are fixed (position 1, position 2), and the plan has 1"},
		{"fixed too near", Problem{Loss: flat(2, 4), Count: []int{2, 2}, Fixed: []int{None, 0, None, 0},
			Along: []float64{0, 4, 8, 12}, Emergent: []bool{true, false}, EmergentSpacing: 9, Name: []string{"pecan", "pear"}, Label: []string{"A1", "A2", "A3", "A4"}},
			"pecan at A2 and pecan at A4 are both fixed and stand 8.00 m apart: emergents of a row want 9.00 m"},
		{"no room", Problem{Loss: flat(2, 4), Count: []int{2, 2}, Fixed: []int{None, 0, None, None},
			Along: []float64{0, 4, 8, 12}, Emergent: []bool{true, false}, EmergentSpacing: 9},
			"the plan has 2 emergents and its rows have room for 1 at 9.00 m: plan fewer or a shorter spacing"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Arrange(context.Background(), tt.p)
			require.ErrorIs(t, err, ErrInput)
			assert.EqualError(t, err, tt.want)
		})
	}
}

func TestArrangeStopsWhenItsContextIsDone(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := Arrange(ctx, made("even", 1, 12, 200, 1, 0, 0, false))
	assert.ErrorIs(t, err, context.Canceled)
}

func BenchmarkArrange(b *testing.B) {
	for _, tt := range []struct {
		name      string
		kind      string
		reach     int
		emergents int
		alternate bool
	}{
		{"even", "even", 0, 0, false}, {"ponds", "ponds", 0, 0, false},
		{"spacing", "ponds", 5, 3, false}, {"alternate", "ponds", 0, 0, true}, {"both", "ponds", 5, 3, true}, {"both-even", "even", 5, 3, true},
	} {
		b.Run("species=12/positions=2000/"+tt.name, func(b *testing.B) {
			p := made(tt.kind, 1, 12, 2000, 20, tt.reach, tt.emergents, tt.alternate)
			var plan *Plan
			for b.Loop() {
				var err error
				plan, err = Arrange(context.Background(), p)
				require.NoError(b, err)
			}
			b.ReportMetric(plan.Loss, "loss")
			b.ReportMetric((plan.Loss-plan.Bound)/plan.Loss*100, "%gap")
			b.ReportMetric(plan.Before, "before")
			b.ReportMetric(float64(plan.Together), "together")
		})
	}
}
