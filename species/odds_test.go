package species

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// draws throws n sites of a hollow: ponds of different depths that fall at
// different rates, some of them none at all.
func (d die) draws(n int, deepest, slowest float64) *Odds {
	o := &Odds{Step: 0.05, Depth: make([]float32, n), Hours: make([][]float32, 25)}
	for h := range o.Hours {
		o.Hours[h] = make([]float32, n)
	}
	for i := range n {
		depth := deepest * (d.Float64() - 0.2)
		fall := 0.001 + slowest*d.Float64() // m an hour
		o.Depth[i] = float32(positive(depth))
		for h := range o.Hours {
			o.Hours[h][i] = float32(positive(depth-float64(h)*o.Step) / fall)
		}
	}
	return o
}

// even is a spot with the same water on every draw.
func even(hours, depth float64) *Odds {
	return &Odds{Hours: [][]float32{{float32(hours), float32(hours)}}, Depth: []float32{float32(depth), float32(depth)}}
}

// The slow obvious version: of each draw its dose and its loss, the hours of the
// storm and those of the year each brought to soil of 20 °C.
func TestOddsAreTheMeanOverTheDraws(t *testing.T) {
	d := die{rand.New(rand.NewPCG(15, 16))}
	for range 200 {
		o := d.draws(1+d.IntN(50), 0.8*d.Float64(), 0.01)
		o.Times, o.Crown = 3*d.Float64(), 0.3*d.Float64()
		if d.IntN(2) == 0 {
			o.Spell = d.draws(o.Draws(), 0.8*d.Float64(), 0.01).Hours
		}
		if d.IntN(2) == 0 {
			o.Tropical = &Usual{Times: 3 * d.Float64(), Least: make([]float64, len(o.Hours))}
			for h := range o.Hours {
				o.Tropical.Least[h] = 50 - float64(h)
			}
		}
		e, c, mound := d.hardy(d.entry()), d.conditions(), d.Float64()
		tol := e.Tolerance(c)
		usual := o.Usual
		if e.Tropical() && o.Tropical != nil {
			usual = *o.Tropical
		}
		soil, moving := math.NaN(), 1.0
		if c.Soil != nil {
			soil = *c.Soil
		}
		if c.Moving {
			moving = movingWater
		}
		weight := HourWeight(soil, c.Dormant, e.Tropical()) / moving
		still := c
		still.Soil, still.Dormant, still.Moving = nil, false, false
		atTwenty := e.Tolerance(still)
		sum := 0.0
		for i := range o.Draws() {
			var hours []float64
			for _, row := range o.Hours {
				hours = append(hours, float64(row[i]))
			}
			storm := RootHours(hours, o.Step, o.Crown+mound)
			year := storm * usual.Times
			if usual.Spell != nil {
				var spell []float64
				for _, row := range usual.Spell {
					spell = append(spell, float64(row[i]))
				}
				year = RootHours(spell, o.Step, o.Crown+mound)
			}
			year = math.Max(year, RootHours(usual.Least, o.Step, o.Crown+mound))
			sum += atTwenty.Loss(math.Max(storm*weight, year), float64(o.Depth[i])-o.Crown-mound)
		}
		assert.InDelta(t, sum/float64(o.Draws()), o.Loss(tol, mound), 1e-12)
		other := ofClass(WetSpell).Tolerance(Conditions{})
		assert.Equal(t, []float64{o.Loss(other, mound), o.Loss(tol, mound)}, o.Losses([]Tolerance{other, tol}, mound))
	}
}

func TestOddsFallWithTheMound(t *testing.T) {
	d := die{rand.New(rand.NewPCG(17, 18))}
	none, some, never := 0, 0, 0
	for range 500 {
		o := d.draws(20, 3*d.Float64(), 0.005)
		if d.IntN(2) == 0 {
			o.Spell = d.draws(20, 3*d.Float64(), 0.005).Hours
		}
		tol, target := d.hardy(d.entry()).Tolerance(d.conditions()), 0.5*d.Float64()
		last := 1.0
		for h := 0.0; h <= highestMound; h += 0.05 {
			p := o.Loss(tol, h)
			if p > last+1e-12 {
				t.Fatalf("%v on a mound of %v, %v on a lower", p, h, last)
			}
			last = p
		}
		mound, ok := o.LeastMound(tol, target)
		switch {
		case !ok:
			never++
			assert.Greater(t, mound, highestMound)
			assert.Greater(t, o.Loss(tol, highestMound), target)
		case mound == 0:
			none++
			assert.LessOrEqual(t, o.Loss(tol, 0), target)
		default:
			some++
			assert.LessOrEqual(t, o.Loss(tol, mound), target)
			assert.Greater(t, o.Loss(tol, mound-moundGrain), target, "a centimetre less would not do")
		}
	}
	assert.Greater(t, none, 20)
	assert.Greater(t, some, 20)
	assert.Greater(t, never, 20)
}

// Two sites of four are under water for ever, two are dry: half the trees are
// lost, whatever they bear. A worst spell twice as long as the storm's doubles
// the hours.
func TestOddsByHand(t *testing.T) {
	o := &Odds{Step: 0.1, Hours: [][]float32{{1e6, 0, 1e6, 0}}, Depth: []float32{0.05, 0, 0.05, 0}}
	tol := Tolerance{Days: Range{2, 4, 8}, Depth: 0.1, Head: 0.6}
	assert.InDelta(t, 0.5, o.Loss(tol, 0), 1e-9)

	o = even(48, 0.05)
	assert.InDelta(t, 0.1, o.Loss(tol, 0), 1e-9)
	o.Times = 2
	assert.InDelta(t, 0.5, o.Loss(tol, 0), 1e-9)
	o.Times = 0.5
	assert.InDelta(t, 0.1, o.Loss(tol, 0), 1e-9, "the storm is one of the spells of the season")

	o.Spell, o.Times = [][]float32{{96, 12}}, 9
	assert.InDelta(t, (0.5+0.1)/2, o.Loss(tol, 0), 1e-9, "four days of a usual year on one site, the two of the storm on the other")

	o = even(48, 0.05)
	o.Least = []float64{96}
	assert.InDelta(t, 0.5, o.Loss(tol, 0), 1e-9, "four days on every site at least")
	o.Least = []float64{24}
	assert.InDelta(t, 0.1, o.Loss(tol, 0), 1e-9)

	o = even(1, 0.65)
	assert.Equal(t, lostCovered, o.Loss(tol, 0))
	o.Crown = 0.1
	assert.Equal(t, ModerateFrom, o.Loss(tol, 0), "a crown that stands up is not covered")
}

func TestOddsThatDoNotAddUpPanic(t *testing.T) {
	tol := Tolerance{Days: Range{1, 2, 3}}
	assert.Panics(t, func() { (&Odds{}).Loss(tol, 0) })
	assert.Panics(t, func() { (&Odds{Hours: [][]float32{{1}}, Depth: []float32{1, 2}}).Loss(tol, 0) })
	assert.Panics(t, func() { (&Odds{Hours: [][]float32{{1}, {1}}, Depth: []float32{1}}).Loss(tol, 0) })
	assert.Panics(t, func() {
		(&Odds{Hours: [][]float32{{1}}, Depth: []float32{1}, Usual: Usual{Least: []float64{1, 1}}}).Loss(tol, 0)
	})
	assert.Panics(t, func() {
		(&Odds{Hours: [][]float32{{1}}, Depth: []float32{1}, Usual: Usual{Spell: [][]float32{{1}, {1}}}}).Loss(tol, 0)
	})
	assert.Panics(t, func() {
		(&Odds{Hours: [][]float32{{1}}, Depth: []float32{1}, Usual: Usual{Spell: [][]float32{{1, 2}}}}).Loss(tol, 0)
	})
}

func TestOddsAreToldOutOfTen(t *testing.T) {
	for _, tt := range []struct {
		p    float64
		want string
	}{
		{0, "less than 1 in 10"}, {0.0999, "less than 1 in 10"}, {0.10, "about 1 in 10"}, {0.149, "about 1 in 10"},
		{0.27, "nearly 3 in 10"}, {0.30, "about 3 in 10"}, {0.57, "nearly 6 in 10"}, {0.60, "about 6 in 10"}, {0.90, "about 9 in 10"}, {0.91, "nearly certain (over 9 in 10)"},
		{1, "nearly certain (over 9 in 10)"}, {math.NaN(), "not known"},
	} {
		assert.Equal(t, tt.want, InTen(tt.p), tt.p)
	}
}

func BenchmarkOddsLoss(b *testing.B) {
	o := die{rand.New(rand.NewPCG(19, 20))}.draws(200, 0.5, 0.01)
	tol := ofClass(WetSpell).Tolerance(Conditions{})
	b.ReportAllocs()
	for b.Loop() {
		o.Loss(tol, 0.1)
	}
}

func BenchmarkJudgeByOdds(b *testing.B) {
	o := die{rand.New(rand.NewPCG(19, 20))}.draws(200, 0.8, 0.002)
	e, _ := BuiltIn().Find("mango")
	b.ReportAllocs()
	for b.Loop() {
		BuiltIn().JudgeWith(pond(0.5, 100), e, JudgeOptions{Odds: o})
	}
}
