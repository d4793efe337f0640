package fieldbook

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A walk is a random line of levelling out from BM1 to BM2 and back over the
// same turning points, with ground shots between. Readings are rounded to
// millimetres.
type walk struct {
	rows  []walkRow
	level map[string]float64
}

type walkRow struct {
	point     string
	bs, is    float64 // NaN where empty
	fs        float64
	back      int // set-up the back sight belongs to, from 1
	fore      int
	benchmark bool
}

func newWalk(rng *rand.Rand, bays int, noise float64) *walk {
	w := &walk{level: map[string]float64{}}
	nan := math.NaN()
	mm := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	names := []string{"BM1"}
	for i := 1; i < bays; i++ {
		names = append(names, fmt.Sprintf("T%d", i))
	}
	names = append(names, "BM2")
	z := 50.0
	for _, name := range names {
		w.level[name] = mm(z)
		z += rng.Float64()*0.4 - 0.2
	}
	setUp := 0
	leg := func(names []string) {
		for i := range names[1:] {
			setUp++
			hi := w.level[names[i]] + 1.2 + rng.Float64()
			read := func(name string) float64 { return mm(hi - w.level[name] + noise*rng.NormFloat64()) }
			if i == 0 {
				w.rows = append(w.rows, walkRow{point: names[0], bs: read(names[0]), is: nan, fs: nan, back: setUp, benchmark: true})
			} else {
				w.rows[len(w.rows)-1].bs, w.rows[len(w.rows)-1].back = read(names[i]), setUp
			}
			for range rng.IntN(4) {
				name := fmt.Sprintf("G%d", len(w.rows))
				w.level[name] = mm(w.level[names[i]] + rng.Float64()*0.1 - 0.05)
				w.rows = append(w.rows, walkRow{point: name, bs: nan, is: read(name), fs: nan, back: setUp})
			}
			w.rows = append(w.rows, walkRow{point: names[i+1], bs: nan, is: nan, fs: read(names[i+1]), fore: setUp})
		}
		w.rows[len(w.rows)-1].benchmark = true
	}
	leg(names)
	back := append([]string(nil), names...)
	for i, j := 0, len(back)-1; i < j; i, j = i+1, j-1 {
		back[i], back[j] = back[j], back[i]
	}
	leg(back)
	return w
}

// book writes the walk down, benchmarks raised by so much.
func (w *walk) book(shift float64) string {
	var b strings.Builder
	b.WriteString("order: 10 mm sqrt(n)\npoint,bs,is,fs,level\n")
	cell := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return fmt.Sprintf("%.3f", v)
	}
	for _, r := range w.rows {
		known := math.NaN()
		if r.benchmark {
			known = w.level[r.point] + shift
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s\n", r.point, cell(r.bs), cell(r.is), cell(r.fs), cell(known))
	}
	return b.String()
}

func TestRiseAndFallEqualsHeightOfInstrument(t *testing.T) {
	for seed := range uint64(40) {
		w := newWalk(rand.New(rand.NewPCG(seed, 3)), 2+int(seed%9), 0.001)
		r := reduced(t, w.book(0))
		require.NotEmpty(t, r.Checks)
		for _, b := range r.Bookings {
			level := b.First
			for _, row := range b.Rows {
				for _, step := range []float64{row.Rise, -row.Fall} {
					if !math.IsNaN(step) {
						level += step
					}
				}
				require.InDelta(t, row.Level, level, 1e-9, "seed %d, %s", seed, row.Point)
			}
			assert.InDelta(t, b.SumBack-b.SumFore, b.SumRise-b.SumFall, 1e-9)
			assert.InDelta(t, b.SumBack-b.SumFore, b.Last-b.First, 1e-9)
		}
	}
}

func TestAdjustedLevelsHoldTheBenchmarksAndCloseEveryLoop(t *testing.T) {
	for seed := range uint64(40) {
		w := newWalk(rand.New(rand.NewPCG(seed, 4)), 2+int(seed%9), 0.001)
		r := reduced(t, w.book(0))
		got := levels(r)
		for _, bm := range []string{"BM1", "BM2"} {
			assert.InDelta(t, w.level[bm], got[bm], 1e-12, "seed %d", seed)
		}
		for _, b := range r.Bookings {
			first, last := b.Rows[0], b.Rows[len(b.Rows)-1]
			assert.InDelta(t, 0, first.Correction, 1e-9)
			assert.InDelta(t, w.level[last.Point], last.Adjusted, 1e-9, "seed %d: the correction takes the whole misclosure", seed)
		}
		sum := 0.0
		n := 0.0
		for _, p := range r.Points {
			if p.Error > 0 {
				sum += math.Pow((p.Level-w.level[p.Name])/p.Error, 2)
				n++
			}
		}
		assert.Less(t, math.Sqrt(sum/n), 2.0, "seed %d: levels are as good as they are said to be", seed)
	}
}

func TestRaisingTheBenchmarksRaisesEveryLevel(t *testing.T) {
	for seed := range uint64(20) {
		w := newWalk(rand.New(rand.NewPCG(seed, 5)), 2+int(seed%6), 0.001)
		low, high := reduced(t, w.book(0)), reduced(t, w.book(123.456))
		require.Len(t, high.Points, len(low.Points))
		for i := range low.Points {
			assert.InDelta(t, low.Points[i].Level+123.456, high.Points[i].Level, 1e-9)
			assert.InDelta(t, low.Points[i].Error, high.Points[i].Error, 1e-9)
		}
	}
}

// One reading put wrong by a metre, in a back or a fore sight of any set-up
// on the way out. The way back closes on every bay but that one, so the
// set-up is known without doubt.
func TestAMetreMisreadIsTracedToItsSetUp(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 6))
		bays := 3 + int(seed%7)
		w := newWalk(rng, bays, 0.001)
		var sights []int // rows of the way out
		for i, r := range w.rows {
			if r.back > 0 && r.back <= bays && !math.IsNaN(r.bs) || r.fore > 0 && r.fore <= bays {
				sights = append(sights, i)
			}
		}
		row := &w.rows[sights[rng.IntN(len(sights))]]
		wrong := 0
		if !math.IsNaN(row.bs) && row.back <= bays && (math.IsNaN(row.fs) || rng.IntN(2) == 0) {
			row.bs, wrong = row.bs+1, row.back
		} else {
			row.fs, wrong = row.fs+1, row.fore
		}
		b, err := Read(strings.NewReader(w.book(0)), "walk.csv")
		require.NoError(t, err)
		_, err = b.Reduce(Options{})
		var miss *MisclosureError
		require.True(t, errors.As(err, &miss), "seed %d: %v", seed, err)
		require.ErrorIs(t, err, ErrInput)
		require.NotEmpty(t, miss.Suspects, "seed %d", seed)
		assert.Equal(t, wrong, miss.Suspects[0].SetUp, "seed %d:\n%v", seed, err)
		assert.InDelta(t, 1, math.Abs(miss.Suspects[0].Change), 0.02, "the back sight less or the fore sight more: only shots between could tell")
		assert.Contains(t, miss.Suspects[0].Why, "metre")
	}
}

// Six rows of ten shots, one set-up a row, typed as feet and inches and taped
// along base lines; the loop comes back to the slab.
func TestSixtyShotsTypedFromTheTemplate(t *testing.T) {
	template, err := Template("level")
	require.NoError(t, err)
	head, _, ok := strings.Cut(template, "BM1,")
	require.True(t, ok)
	inches := func(quarters int) string {
		whole, rest := quarters/4, [...]string{"", " 1/4", " 1/2", " 3/4"}[quarters%4]
		return fmt.Sprintf(`%d' %d%s"`, whole/12, whole%12, rest)
	}
	var b strings.Builder
	b.WriteString(head)
	// Heights of instrument and ground in quarter inches over the slab's foot.
	slab, ground := 4800, func(i int) int { return 4780 - 3*(i%7) - i/2 }
	peg, want := slab, map[string]float64{}
	for row := range 6 {
		hi := peg + 220 + 5*row
		if row == 0 {
			fmt.Fprintf(&b, "BM1, %s, , , 100.00\n", inches(hi-peg))
		}
		for i := range 10 {
			n := row*10 + i
			name := fmt.Sprintf("S%d", n+1)
			want[name] = float64(ground(n)-slab)*0.25*0.0254 + 100*0.3048
			fmt.Fprintf(&b, "%s, , %s, , , %d, %s\n", name, inches(hi-ground(n)), n*4, []string{"0", "2' 6\" L", "3 R"}[n%3])
		}
		if row == 5 {
			fmt.Fprintf(&b, "BM1, , , %s\n", inches(hi-slab))
			break
		}
		peg = ground(row*10+9) + 2
		fmt.Fprintf(&b, "TP%d, %s, , %s, , , , , peg\n", row+1, inches(peg+220+5*(row+1)-peg), inches(hi-peg))
	}
	r := reduced(t, b.String())
	require.Len(t, r.Shots, 60)
	for i, s := range r.Shots {
		assert.InDelta(t, want[s.Name], s.Z, 1e-9, s.Name)
		assert.InDelta(t, (100+float64(4*i))*0.3048, s.Point[0], 1e-9)
		assert.InDelta(t, (200+[]float64{0, 2.5, -3}[i%3])*0.3048, s.Point[1], 1e-9)
		assert.Greater(t, s.Error, 0.002)
		assert.Less(t, s.Error, 0.008)
	}
	var one, two bytes.Buffer
	require.NoError(t, r.WriteTable(&one))
	require.NoError(t, reduced(t, b.String()).WriteTable(&two))
	assert.Equal(t, one.String(), two.String(), "the same book makes the same bytes")
}
