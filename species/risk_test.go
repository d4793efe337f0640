package species

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func ofClass(c Class) *Entry { return &Entry{Scientific: "Aus bus", Class: c, Days: c.Band()} }

// ground is a spot of which nothing is known but what is given; a figure of 0
// is none.
func ground(s Spot) Spot {
	for _, x := range []*float64{&s.LongestWetDays, &s.HeightAboveWater, &s.WaterTable} {
		if *x == 0 {
			*x = math.NaN()
		}
	}
	return s
}

// pond is a spot in a hollow that a storm puts under water.
func pond(depth, hours float64) Spot {
	return ground(Spot{StormDepth: depth, WetHours: hours, BrimDepth: depth, InHollow: true, Error: 0.02})
}

// A die throws spots and species, figures missing now and then, and many near
// and on the thresholds.
type die struct{ *rand.Rand }

func (d die) one(most float64, edges ...float64) float64 {
	switch k := d.IntN(10); {
	case k == 0:
		return math.NaN()
	case k == 1:
		return 0
	case k < 5 && len(edges) > 0:
		return edges[d.IntN(len(edges))]
	}
	return most * d.Float64()
}

func (d die) spot() Spot {
	return Spot{
		StormDepth: d.one(1, thinFilm, shallowDepth, headDepth), WetHours: d.one(24*20, 12, 24, 48, 96, 168),
		LongestWetDays: d.one(100, 0.5, 2, 7), HeightAboveWater: d.one(2, nearWater, -0.2), WaterTable: d.one(2, shallowTable, -0.1, 1.5),
		BrimDepth: d.one(1), InHollow: d.IntN(2) == 0, Error: d.one(0.2, 0.02),
		WetnessPercentile: d.one(100, dampPercentile, wetPercentile),
	}
}

func (d die) entry() *Entry {
	e := &Entry{Class: Class(d.IntN(5))}
	low, likely := 20*d.Float64(), 40*d.Float64()
	if d.IntN(3) == 0 {
		low = 0
	}
	e.Days = Range{low, low + likely, low + likely + 60*d.Float64()}
	if d.IntN(2) == 0 {
		depth := d.Float64()
		e.Depth = &depth
	}
	if d.IntN(2) == 0 {
		w := 2 * d.Float64()
		e.WaterTable = &Range{w, w, w}
	}
	return e
}

// hardier is a species that bears no less than e of anything.
func (d die) hardier(e *Entry) *Entry {
	h := &Entry{Class: min(e.Class+Class(d.IntN(3)), Swamp)}
	h.Days.Low = e.Days.Low + 5*d.Float64()*float64(d.IntN(2))
	h.Days.Likely = math.Max(h.Days.Low, e.Days.Likely+10*d.Float64())
	h.Days.High = math.Max(h.Days.Likely, e.Days.High+10*d.Float64())
	if e.Depth != nil {
		depth := *e.Depth + 0.3*d.Float64()
		h.Depth = &depth
	} else if d.IntN(2) == 0 {
		depth := shallowDepth + 0.5*d.Float64()
		h.Depth = &depth
	}
	if e.WaterTable != nil {
		w := e.WaterTable.Low * d.Float64()
		h.WaterTable = &Range{w, w, w}
	}
	return h
}

func TestRiskNeverFallsAsASpotGetsWetter(t *testing.T) {
	d := die{rand.New(rand.NewPCG(1, 2))}
	worse := []struct {
		what   string
		change func(*Spot)
	}{
		{"hours", func(s *Spot) { s.WetHours = positive(s.WetHours) + 100*d.Float64() }},
		{"depth", func(s *Spot) { s.StormDepth = positive(s.StormDepth) + 0.5*d.Float64() }},
		{"season", func(s *Spot) { s.LongestWetDays = positive(s.LongestWetDays) + 20*d.Float64() }},
		{"percentile", func(s *Spot) { s.WetnessPercentile = positive(s.WetnessPercentile) + 50*d.Float64() }},
		{"height", func(s *Spot) { s.HeightAboveWater -= d.Float64() }},
		{"table", func(s *Spot) {
			if math.IsNaN(s.WaterTable) {
				s.WaterTable = 2
			}
			s.WaterTable -= d.Float64()
		}},
		{"hollow", func(s *Spot) { s.InHollow = true }},
		{"error", func(s *Spot) { s.Error = positive(s.Error) * d.Float64() }},
	}
	rose := map[string]int{}
	for range 100_000 {
		s, e := d.spot(), d.entry()
		was := e.risk(s.stress(), Conditions{})
		for _, w := range worse {
			wetter := s
			w.change(&wetter)
			switch is := e.risk(wetter.stress(), Conditions{}); {
			case is < was:
				t.Fatalf("%s: %+v is %s, yet %+v is %s for %+v", w.what, s, was, wetter, is, e)
			case is > was:
				rose[w.what]++
			}
		}
	}
	for _, w := range worse {
		assert.Greater(t, rose[w.what], 100, "%s tells", w.what)
	}
}

func TestRiskNeverRisesWithTolerance(t *testing.T) {
	d := die{rand.New(rand.NewPCG(3, 4))}
	fell := 0
	for range 100_000 {
		s, e := d.spot(), d.entry()
		h := d.hardier(e)
		weak, hardy := e.risk(s.stress(), Conditions{}), h.risk(s.stress(), Conditions{})
		if hardy > weak {
			t.Fatalf("%+v is %s for %+v and %s for %+v", s, weak, e, hardy, h)
		}
		if hardy < weak {
			fell++
		}
	}
	assert.Greater(t, fell, 10_000)
}

func TestClassesKeepTheirOrderOnEverySpot(t *testing.T) {
	d := die{rand.New(rand.NewPCG(5, 6))}
	for range 100_000 {
		s := d.spot()
		for c := NoWetFeet; c < Swamp; c++ {
			if ofClass(c+1).risk(s.stress(), Conditions{}) > ofClass(c).risk(s.stress(), Conditions{}) {
				t.Fatalf("%s is at more risk than %s on %+v", c+1, c, s)
			}
		}
	}
}

// A short soak tree bears 3 to 7 days, likely 4; newly planted half of that.
func TestDaysAreHeldAgainstANewPlanting(t *testing.T) {
	never := math.NaN()
	for _, tt := range []struct {
		name          string
		hours, season float64
		want          Risk
	}{
		{"none", 0, never, Low},
		{"fewer than the low", 35.9, never, Low},
		{"the low", 36, never, Moderate},
		{"fewer than the likely", 47.9, never, Moderate},
		{"the likely", 48, never, High},
		{"fewer than the high", 83.9, never, High},
		{"the high", 84, never, Severe},
		{"a median year as long", 0, 2, High},
		{"a median year that is longer than the storm", 12, 3.5, Severe},
		{"a storm that is longer than the median year", 84, 1.5, Severe},
		{"two that are short are not added up", 35, 1.4, Low},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := pond(0.05, tt.hours)
			s.LongestWetDays = tt.season
			assert.Equal(t, tt.want, BuiltIn().Judge(s, ofClass(ShortSoak)).Risk)
		})
	}
	assert.Equal(t, Low, BuiltIn().Judge(pond(0.05, 0), ofClass(NoWetFeet)).Risk, "no time at all is no harm")
	assert.Equal(t, Moderate, BuiltIn().Judge(pond(0.05, 1), ofClass(NoWetFeet)).Risk)
}

func TestDeepWaterIsWorse(t *testing.T) {
	own := 0.30
	for _, tt := range []struct {
		name  string
		depth float64
		of    *Entry
		want  Risk
	}{
		{"as deep as is taken as shallow", 0.10, ofClass(WetSpell), Moderate},
		{"deeper", 0.101, ofClass(WetSpell), High},
		{"up to its head", 0.60, ofClass(WetSpell), High},
		{"over its head", 0.601, ofClass(WetSpell), Severe},
		{"as deep as the species bears", 0.30, &Entry{Class: WetSpell, Days: WetSpell.Band(), Depth: &own}, Moderate},
		{"deeper than the species bears", 0.31, &Entry{Class: WetSpell, Days: WetSpell.Band(), Depth: &own}, High},
		{"a swamp tree up to its head", 0.60, ofClass(Swamp), Low},
		{"a swamp tree under water", 0.61, ofClass(Swamp), Moderate},
		{"a tree of wet seasons under water", 0.61, ofClass(WetSeason), Severe},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, BuiltIn().Judge(pond(tt.depth, 5*24), tt.of).Risk)
		})
	}
}

func TestWaterWithinTheErrorIsNotThere(t *testing.T) {
	for _, tt := range []struct {
		name string
		spot Spot
		want Risk
	}{
		{"outside any hollow and no deeper than ruts", Spot{StormDepth: 0.03, WetHours: 100}, Low},
		{"outside any hollow and as deep as false hollows get", Spot{StormDepth: 0.15, WetHours: 100, Error: 0.05}, Low},
		{"outside any hollow and deeper", Spot{StormDepth: 0.16, WetHours: 100, Error: 0.05}, Severe},
		{"in a hollow though within the error", Spot{StormDepth: 0.05, WetHours: 100, InHollow: true, Error: 0.05}, Severe},
		{"on an island whose roots stay wet", Spot{WetHours: 100, InHollow: true, Error: 0.05}, Severe},
		{"no figures at all", Spot{StormDepth: math.NaN(), WetHours: math.NaN(), WetnessPercentile: math.NaN(), Error: math.NaN()}, Low},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, BuiltIn().Judge(ground(tt.spot), ofClass(NoWetFeet)).Risk)
		})
	}
}

func TestWetGroundCountsWhereItLiesLow(t *testing.T) {
	unknown := math.NaN()
	for _, tt := range []struct {
		name               string
		percentile, height float64
		want               [5]Risk // by class
	}{
		{"not among the wettest fifth", 79.9, unknown, [5]Risk{}},
		{"among the wettest fifth", 80, unknown, [5]Risk{Moderate}},
		{"among the wettest twentieth", 95, unknown, [5]Risk{High, Moderate}},
		{"and low above water", 95, 0.89, [5]Risk{High, Moderate}},
		{"and below water", 95, -0.3, [5]Risk{High, Moderate}},
		{"and high above water", 95, 0.90, [5]Risk{}},
		{"low above water alone", 50, 0.1, [5]Risk{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := ground(Spot{WetnessPercentile: tt.percentile})
			s.HeightAboveWater = tt.height
			for c := NoWetFeet; c <= Swamp; c++ {
				assert.Equal(t, tt.want[c], BuiltIn().Judge(s, ofClass(c)).Risk, c)
			}
		})
	}
}

func TestWaterTableCountsWhereItIsNearerThanWanted(t *testing.T) {
	wants := func(c Class, low float64) *Entry {
		return &Entry{Class: c, Days: c.Band(), WaterTable: &Range{low, low + 0.2, low + 0.4}}
	}
	for _, tt := range []struct {
		name  string
		table float64
		of    *Entry
		want  Risk
	}{
		{"as deep as wanted", 1.20, wants(ShortSoak, 1.20), Low},
		{"nearer", 1.19, wants(ShortSoak, 1.20), Moderate},
		{"close under the surface", 0.29, wants(ShortSoak, 1.20), High},
		{"close, for a tree that bears wet spells", 0.29, wants(WetSpell, 1.20), Moderate},
		{"close, for a tree that is content with it", 0.29, wants(NoWetFeet, 0.15), Low},
		{"at the surface", 0, wants(NoWetFeet, 0.15), High},
		{"close, where the want is not known", 0.29, ofClass(NoWetFeet), High},
		{"farther, where it is not known", 0.30, ofClass(NoWetFeet), Low},
		{"above the ground", -0.05, ofClass(ShortSoak), High},
		{"at the surface, for a swamp tree", 0, ofClass(Swamp), Low},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := ground(Spot{})
			s.WaterTable = tt.table
			assert.Equal(t, tt.want, BuiltIn().Judge(s, tt.of).Risk)
		})
	}
}
