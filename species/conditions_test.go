package species

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Warmer soil, a younger tree, leaves, still water and rot never make a spot less
// of a risk, by the days of the likeliest storm and year or by odds; nor do the
// hours of the year, however they are weighed.
func TestRiskNeverFallsAsConditionsGetWorse(t *testing.T) {
	d := die{rand.New(rand.NewPCG(25, 26))}
	type throw struct {
		s Spot
		c Conditions
	}
	worse := []struct {
		what   string
		change func(*throw)
	}{
		{"hours", func(x *throw) { x.s.WetHours = positive(x.s.WetHours) + 200*d.Float64() }},
		{"a warmer storm", func(x *throw) {
			soil := 20.0
			if x.c.Soil != nil {
				soil = *x.c.Soil
			}
			soil += 20 * d.Float64()
			x.c.Soil = &soil
		}},
		{"youth", func(x *throw) { x.c.Years = positive(x.c.Years) * d.Float64() }},
		{"leaves", func(x *throw) { x.c.Dormant = false }},
		{"still water", func(x *throw) { x.c.Moving = false }},
		{"rot", func(x *throw) { x.c.Rot = true }},
		{"warmer years", func(x *throw) {
			if x.s.Doses != nil {
				more := 1 + 2*d.Float64()
				x.s.Doses = &Doses{x.s.Doses.Temperate * more, x.s.Doses.Tropical * more}
			}
		}},
	}
	rose := map[string]int{}
	for range throws() / 4 {
		x, e := throw{d.spot(), d.conditions()}, d.hardy(d.entry())
		if d.IntN(2) == 0 {
			days := 60 * d.Float64()
			x.s.Doses = &Doses{days * d.Float64(), days}
		}
		was := e.risk(x.s.stress(), x.c)
		for _, w := range worse {
			y := x
			w.change(&y)
			switch is := e.risk(y.s.stress(), y.c); {
			case is < was:
				t.Fatalf("%s: %+v is %s, yet %+v is %s for %+v", w.what, x, was, y, is, e)
			case is > was:
				rose[w.what]++
			}
		}
	}
	for _, w := range worse {
		assert.Greater(t, rose[w.what], throws()/4000, "%s tells", w.what)
	}

	rose = map[string]int{}
	for range 1000 {
		x, e := throw{d.spot(), d.conditions()}, d.hardy(d.entry())
		o := d.draws(20, 0.6, 0.01)
		o.Times, o.Tropical = 2*d.Float64(), &Usual{Spell: d.draws(20, 0.6, 0.01).Hours}
		mound := 0.4 * d.Float64()
		was := o.Loss(e.Tolerance(x.c), mound)
		for _, w := range worse[1:6] {
			y := x
			w.change(&y)
			switch is := o.Loss(e.Tolerance(y.c), mound); {
			case is < was-1e-12:
				t.Fatalf("%s: %v of %+v, yet %v of %+v", w.what, was, x.c, is, y.c)
			case is > was+1e-12:
				rose[w.what]++
			}
		}
	}
	for _, w := range worse[1:6] {
		assert.Positive(t, rose[w.what], "%s tells", w.what)
	}
}

// An older tree stands higher out of the water, as far as its kind grows.
func TestHeadsRiseWithTheYears(t *testing.T) {
	tall, small, unknown := ofClass(WetSpell), ofClass(WetSpell), ofClass(WetSpell)
	tall.Height, small.Height = &Range{8, 10, 12}, &Range{1, 1.5, 2}
	for _, tt := range []struct {
		e     *Entry
		years float64
		head  float64
	}{
		{tall, 0, 0.6}, {tall, 5, 2.1}, {tall, 50, 4}, {small, 0, 0.6}, {small, 5, 0.6}, {unknown, 9, 0.6},
	} {
		assert.InDelta(t, tt.head, tt.e.Tolerance(Conditions{Years: tt.years}).Head, 1e-9)
	}
	deep := pond(0.9, 6)
	v := alone(tall).JudgeWith(deep, tall, JudgeOptions{})
	assert.Contains(t, v.Why, "over the head of a tree as it is planted")
	v = alone(tall).JudgeWith(deep, tall, JudgeOptions{Conditions: Conditions{Years: 5}})
	assert.NotContains(t, v.Why, "over the head")
	v = alone(tall).JudgeWith(pond(2.5, 6), tall, JudgeOptions{Conditions: Conditions{Years: 5}})
	assert.Contains(t, v.Why, "over the head of a tree of its age")
}

// What the conditions are stands in the reason, by days and by odds, in the
// units of the reader.
func TestReasonsNameTheConditions(t *testing.T) {
	cold := 8.0
	c := Conditions{Years: 2.5, Soil: &cold, Dormant: true, Moving: true, Rot: true}
	fahrenheit := func(v float64) string { return "46 °F" }
	pecan := find(t, "pecan")
	v := BuiltIn().JudgeWith(pond(0.05, 60), pecan, JudgeOptions{Conditions: c, Degrees: fahrenheit})
	assert.Equal(t, "This spot stands in 0.05 m of water after this storm and its roots stay wet for about 2 days; pecan not long planted, at rest, in soil of 46 °F, in moving water, with root rot in the soil bears about 3 weeks.", v.Why)
	v = BuiltIn().JudgeWith(pond(0.05, 60), pecan, JudgeOptions{Conditions: c, Odds: even(60, 0.05)})
	assert.Contains(t, v.Why, "; not long planted, at rest, in soil of 8 °C, in moving water, with root rot in the soil it bears about")

	// The year is in soil of its own, so what the storm finds is left out of it.
	s := ground(Spot{LongestWetDays: 40})
	s.Doses = &Doses{Temperate: 9, Tropical: 40}
	v = BuiltIn().JudgeWith(s, pecan, JudgeOptions{Conditions: Conditions{Soil: &cold}})
	assert.Equal(t, "In the median year the roots here stay wet for about 6 weeks on end, which counts as 9 days in leaf in soil of 20 °C; pecan newly planted bears about 7 days.", v.Why)
	assert.Equal(t, High, v.Risk)
	s.Doses = nil
	assert.Equal(t, Severe, BuiltIn().JudgeWith(s, pecan, JudgeOptions{}).Risk)

	o := even(60, 0.05)
	o.Usual = Usual{Spell: [][]float32{{96, 96}}}
	o.Tropical = &Usual{Spell: [][]float32{{960, 960}}}
	v = BuiltIn().JudgeWith(s, pecan, JudgeOptions{Odds: o})
	assert.Contains(t, v.Why, "its roots stay wet for what counts as 4 days, in the storm or the longest wet spell of a usual year; newly planted it bears")
	assert.Greater(t, BuiltIn().JudgeWith(s, find(t, "mango"), JudgeOptions{Odds: o}).Odds, 0.9)
}
