package species

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testdata/tolerance.csv was made by R 4.2.2 with the script beside it, out of
// qnorm, qlnorm and plnorm.
func TestToleranceAgreesWithR(t *testing.T) {
	f, err := os.Open("testdata/tolerance.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+4*12)
	for _, row := range rows[1:] {
		var x [5]float64
		for i := range x {
			x[i], err = strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
		}
		tol := Tolerance{Days: Range{x[0], x[1], x[2]}, Depth: 1, Head: 1}
		p, days := x[3], x[4]
		assert.InEpsilon(t, days, tol.Quantile(p), 1e-9, "days at %v of %v", p, tol.Days)
		assert.InEpsilon(t, p, tol.Loss(24*days, 0), 1e-9, "loss after %v of %v", days, tol.Days)
	}
}

// R 4.2.2: pnorm(c(-6, -1.5, 0, 0.3, 2.5)) and qnorm(0.9).
func TestNormalAgreesWithR(t *testing.T) {
	for z, p := range map[float64]float64{-6: 9.86587645037698e-10, -1.5: 0.0668072012688581, 0: 0.5, 0.3: 0.617911422188953, 2.5: 0.993790334674224} {
		assert.InEpsilon(t, p, normal(z), 1e-12)
	}
	assert.InDelta(t, 1.2815515655446, tenth, 1e-13)
}

func TestRiskBeginsAtItsThresholds(t *testing.T) {
	for _, tt := range []struct {
		p    float64
		want Risk
	}{
		{0, Low}, {0.0999, Low}, {ModerateFrom, Moderate}, {0.2999, Moderate}, {HighFrom, High}, {0.5999, High}, {SevereFrom, Severe}, {1, Severe},
	} {
		assert.Equal(t, tt.want, RiskOf(tt.p), tt.p)
	}
}

func TestConditionsMoveTheDays(t *testing.T) {
	soil := func(c float64) *float64 { return &c }
	for _, tt := range []struct {
		name string
		of   string
		c    Conditions
		want float64 // times the days of an established tree
	}{
		{"newly planted", "pecan", Conditions{}, 0.5},
		{"two years on", "pecan", Conditions{Years: 2}, 0.5},
		{"half grown", "pecan", Conditions{Years: 2.5}, 0.75},
		{"grown", "pecan", Conditions{Years: 20}, 1},
		{"an age that is no number", "pecan", Conditions{Years: math.NaN()}, 0.5},
		{"hot soil", "pecan", Conditions{Years: 5, Soil: soil(30)}, 0.5},
		{"cold soil", "pecan", Conditions{Years: 5, Soil: soil(10)}, 2},
		{"cold soil under a tree of the tropics", "mango", Conditions{Years: 5, Soil: soil(10)}, 1},
		{"at rest", "pecan", Conditions{Years: 5, Dormant: true}, 2 * math.Sqrt2},
		{"at rest in colder soil", "pecan", Conditions{Years: 5, Dormant: true, Soil: soil(0)}, 4},
		{"at rest in the tropics", "mango", Conditions{Years: 5, Dormant: true}, 1},
		{"moving water", "pecan", Conditions{Years: 5, Moving: true}, 1.5},
		{"root rot", "pecan", Conditions{Years: 5, Rot: true}, 0.5},
		{"an unknown rootstock", "pecan", Conditions{Years: 5, Rootstock: "Nobody's 7"}, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			e := find(t, tt.of)
			got := e.Tolerance(tt.c).Days
			assert.InEpsilon(t, tt.want*e.Days.Likely, got.Likely, 1e-9)
			assert.InEpsilon(t, tt.want*e.Days.High, got.High, 1e-9)
		})
	}
}

func TestEveryToleranceIsSound(t *testing.T) {
	for _, e := range append(BuiltIn().All(), &Entry{Scientific: "Aus bus"}) { // the last with no days at all
		tol := e.Tolerance(Conditions{})
		assert.Positive(t, tol.Days.Low, e.Scientific)
		assert.Less(t, tol.Days.Low, tol.Days.Likely, e.Scientific)
		assert.Less(t, tol.Days.Likely, tol.Days.High, e.Scientific)
		assert.InEpsilon(t, tol.Days.Low, tol.Quantile(0.1), 1e-9, e.Scientific)
		assert.InEpsilon(t, tol.Days.Likely, tol.Quantile(0.5), 1e-9, e.Scientific)
		assert.InEpsilon(t, tol.Days.High, tol.Quantile(0.9), 1e-9, e.Scientific)
		assert.Zero(t, tol.Loss(0, 0), e.Scientific)
		assert.Zero(t, tol.Loss(math.NaN(), math.NaN()), e.Scientific)
		assert.Equal(t, 1.0, tol.Loss(math.Inf(1), 0), e.Scientific)
	}
}

func TestDeepWaterAddsToTheOdds(t *testing.T) {
	oak := Tolerance{Days: Range{4, 14, 45}, Depth: 0.10, Head: 0.60}
	cypress := Tolerance{Days: Range{121, 180, 365}, Depth: 0.10, Head: 0.60, Swamp: true}
	brief := 6.0
	assert.InDelta(t, 0, oak.Loss(brief, 0.10), 0.01)
	assert.Equal(t, ModerateFrom, oak.Loss(brief, 0.11))
	assert.Equal(t, ModerateFrom, oak.Loss(brief, 0.60))
	assert.Equal(t, lostCovered, oak.Loss(brief, 0.61))
	assert.InDelta(t, 0, cypress.Loss(brief, 0.60), 0.01)
	assert.Equal(t, ModerateFrom, cypress.Loss(brief, 0.61))
	assert.InDelta(t, oak.Loss(14*24, 0.05), oak.Loss(4*24, 0.25), 1e-9, "with its graft under the days of the class below")
	assert.InDelta(t, 0.5, oak.Loss(4*24, 0.60), 1e-9)
	assert.InDelta(t, oak.Loss(14*24/math.Sqrt(3.5), 0.175), 0.5, 1e-9, "half way there half of that")
}

// throws is how many random cases a promise is held to.
func throws() int {
	if testing.Short() {
		return 5_000
	}
	return 100_000
}

func (d die) conditions() Conditions {
	c := Conditions{Years: d.one(6), Dormant: d.IntN(3) == 0, Moving: d.IntN(3) == 0, Rot: d.IntN(3) == 0}
	if d.IntN(2) == 0 {
		soil := 50*d.Float64() - 5
		c.Soil = &soil
	}
	return c
}

func (d die) hardy(e *Entry) *Entry {
	e.Hardiness = []string{"", "annual", "5a-8b", "9b-11", "11"}[d.IntN(5)]
	if d.IntN(2) == 0 {
		tall := 12 * d.Float64()
		e.Height = &Range{tall, tall, tall}
	}
	return e
}

func TestLossNeverFallsAsThingsGetWorse(t *testing.T) {
	d := die{rand.New(rand.NewPCG(9, 10))}
	type throw struct {
		e            *Entry
		c            Conditions
		hours, depth float64
	}
	worse := []struct {
		what   string
		change func(*throw)
	}{
		{"hours", func(x *throw) { x.hours = positive(x.hours) + 100*d.Float64() }},
		{"depth", func(x *throw) { x.depth = positive(x.depth) + 0.5*d.Float64() }},
		{"warmth", func(x *throw) {
			soil := 20.0
			if x.c.Soil != nil {
				soil = *x.c.Soil
			}
			soil += 15 * d.Float64()
			x.c.Soil = &soil
		}},
		{"youth", func(x *throw) { x.c.Years = positive(x.c.Years) * d.Float64() }},
		{"leaves", func(x *throw) { x.c.Dormant = false }},
		{"still water", func(x *throw) { x.c.Moving = false }},
		{"rot", func(x *throw) { x.c.Rot = true }},
	}
	rose := map[string]int{}
	for range throws() {
		x := throw{d.hardy(d.entry()), d.conditions(), d.one(24*40, 12, 48), d.one(1, shallowDepth, headDepth)}
		was := x.e.Tolerance(x.c).Loss(x.hours, x.depth)
		if !(was >= 0 && was <= 1) {
			t.Fatalf("%+v: %v is no probability", x, was)
		}
		for _, w := range worse {
			y := x
			w.change(&y)
			switch is := y.e.Tolerance(y.c).Loss(y.hours, y.depth); {
			case is < was-1e-12:
				t.Fatalf("%s: %v of %+v, yet %v of %+v", w.what, was, x, is, y)
			case is > was:
				rose[w.what]++
			}
		}
	}
	for _, w := range worse {
		assert.Greater(t, rose[w.what], throws()/100, "%s tells", w.what)
	}
}

func TestLossNeverRisesWithTolerance(t *testing.T) {
	d := die{rand.New(rand.NewPCG(11, 12))}
	fell := 0
	for range throws() {
		e := d.hardy(d.entry())
		h := d.hardier(e)
		h.Hardiness, h.Height = e.Hardiness, e.Height
		c, hours, depth := d.conditions(), d.one(24*60), d.one(1, shallowDepth, headDepth)
		weak, hardy := e.Tolerance(c).Loss(hours, depth), h.Tolerance(c).Loss(hours, depth)
		if hardy > weak+1e-12 {
			t.Fatalf("%v of %+v, yet %v of the hardier %+v (%v h, %v m, %+v)", weak, e, hardy, h, hours, depth, c)
		}
		if hardy < weak {
			fell++
		}
	}
	assert.Greater(t, fell, throws()/10)
}

func TestLossKeepsTheOrderOfTheClasses(t *testing.T) {
	d := die{rand.New(rand.NewPCG(13, 14))}
	fell := 0
	for range throws() {
		c, hours, depth := d.conditions(), 24*math.Exp(8*d.Float64()-2), d.one(1, shallowDepth, headDepth)
		for k := NoWetFeet; k < Swamp; k++ {
			weak, hardy := ofClass(k).Tolerance(c).Loss(hours, depth), ofClass(k+1).Tolerance(c).Loss(hours, depth)
			if hardy > weak+1e-12 {
				t.Fatalf("%s loses %v and %s %v in %v h at %v m", k, weak, k+1, hardy, hours, depth)
			}
			if hardy < weak {
				fell++
			}
		}
	}
	assert.Greater(t, fell, throws())
}

func TestRootstocksLendTheirDays(t *testing.T) {
	of := func(e *Entry, stock string) Tolerance { return e.Tolerance(Conditions{Years: 5, Rootstock: stock}) }
	apple, atemoya, mango, persimmon := find(t, "apple"), find(t, "atemoya"), find(t, "mango"), find(t, "Diospyros kaki")
	own := of(apple, "")

	m16 := of(apple, "m.16")
	assert.Equal(t, "M16", m16.Stock)
	assert.Greater(t, m16.Days.Likely, own.Days.Likely)
	assert.Less(t, m16.Loss(20*24, 0), of(apple, "M 9").Loss(20*24, 0), "Lee et al. 1983: M9 died of 30 days, M16 recovered")
	assert.LessOrEqual(t, of(apple, "M9").Days.High, 30.0)

	onPond := of(atemoya, "Annona glabra")
	assert.Equal(t, Range{28, 56, 112}, onPond.Days)
	assert.Equal(t, onPond, of(atemoya, "pond apple"))
	assert.Greater(t, of(atemoya, "").Loss(28*24, 0), 0.9)

	assert.Equal(t, 0.30, of(mango, "seedling").Depth)
	assert.Empty(t, of(persimmon, "seedling").Stock)

	virginian := of(persimmon, "Diospyros virginiana")
	assert.Equal(t, find(t, "Diospyros virginiana").Days.Likely, virginian.Days.Likely, "a grafted tree bears what its roots bear")
	for _, unknown := range []string{"", "  ", "X", "Nobody's 7", fmt.Sprint(make([]byte, 1000))} {
		assert.Equal(t, own, of(apple, unknown), unknown)
	}
	for _, s := range stocks {
		_, known := BuiltIn().Source(s.source)
		assert.True(t, known, s.source)
	}
}
