package species

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spots is every kind of spot there is, finer than any threshold.
func spots(visit func(Spot)) {
	for _, in := range []bool{false, true} {
		for _, errorOfGround := range []float64{0, 0.01, 0.05, 0.2} {
			for _, p := range []float64{0, 50, 79.9, 80, 94.9, 95, 100} {
				for d := 0; d <= 75; d++ {
					visit(Spot{BrimDepth: float64(d) / 100, InHollow: in, Error: errorOfGround, WetnessPercentile: p})
				}
			}
		}
	}
}

func ofClass(c Class) *Entry { return &Entry{Scientific: "Aus bus", Class: c, Days: c.Band()} }

func TestRiskNeverFallsWithDepthOrWetness(t *testing.T) {
	own := 0.25
	for c := NoWetFeet; c <= Swamp; c++ {
		for _, e := range []*Entry{ofClass(c), {Class: c, Depth: &own}} {
			spots(func(s Spot) {
				deeper, wetter, hollow := s, s, s
				deeper.BrimDepth += 0.01
				wetter.WetnessPercentile += 5
				hollow.InHollow = true
				for _, worse := range []Spot{deeper, wetter, hollow} {
					if riskAt(worse, e) < riskAt(s, e) {
						t.Fatalf("%s: %+v is less of a risk than %+v", c, worse, s)
					}
				}
			})
		}
	}
}

func TestRiskNeverRisesWithTolerance(t *testing.T) {
	own := 0.25
	spots(func(s Spot) {
		for c := NoWetFeet; c < Swamp; c++ {
			if riskAt(s, ofClass(c+1)) > riskAt(s, ofClass(c)) {
				t.Fatalf("%s is at more risk than %s on %+v", c+1, c, s)
			}
			if riskAt(s, &Entry{Class: c, Depth: &own}) > riskAt(s, ofClass(c)) {
				t.Fatalf("%s: bearing deeper water raises the risk on %+v", c, s)
			}
		}
	})
}

func TestRisksOfEveryClassAndExposure(t *testing.T) {
	at := map[Exposure]Spot{
		Dry:     {WetnessPercentile: 50},
		Damp:    {WetnessPercentile: 85},
		Wet:     {WetnessPercentile: 97},
		Shallow: {BrimDepth: 0.08, InHollow: true, Error: 0.02},
		Deep:    {BrimDepth: 0.30, InHollow: true, Error: 0.02},
		Over:    {BrimDepth: 0.75, InHollow: true, Error: 0.02},
	}
	for x, s := range at {
		for c := NoWetFeet; c <= Swamp; c++ {
			assert.Equal(t, x, exposure(s, ofClass(c)))
			assert.Equal(t, risks[c][x], BuiltIn().Judge(s, ofClass(c)).Risk)
		}
	}
}

func TestWaterWithinTheErrorIsNotThere(t *testing.T) {
	mango := find(t, "mango")
	avocado := find(t, "avocado")
	for _, tt := range []struct {
		name string
		spot Spot
		of   *Entry
		want Exposure
	}{
		{"outside any hollow and within the error", Spot{BrimDepth: 0.05, Error: 0.05}, avocado, Dry},
		{"outside any hollow though deeper than the error", Spot{BrimDepth: 0.06, Error: 0.05}, avocado, Dry},
		{"in a hollow but within the error", Spot{BrimDepth: 0.05, InHollow: true, Error: 0.05}, avocado, Wet},
		{"in a hollow but no deeper than ruts", Spot{BrimDepth: 0.03, InHollow: true}, avocado, Wet},
		{"in a hollow and in water", Spot{BrimDepth: 0.06, InHollow: true, Error: 0.05}, avocado, Shallow},
		{"on an island in a hollow", Spot{InHollow: true, Error: 0.05}, avocado, Dry},
		{"as deep as the species bears", Spot{BrimDepth: 0.10, InHollow: true}, mango, Shallow},
		{"deeper", Spot{BrimDepth: 0.101, InHollow: true}, mango, Deep},
		{"up to its head", Spot{BrimDepth: 0.60, InHollow: true}, mango, Deep},
		{"over its head", Spot{BrimDepth: 0.601, InHollow: true}, mango, Over},
		{"no figures at all", Spot{BrimDepth: math.NaN(), WetnessPercentile: math.NaN(), Error: math.NaN()}, avocado, Dry},
	} {
		t.Run(tt.name, func(t *testing.T) { assert.Equal(t, tt.want, exposure(tt.spot, tt.of)) })
	}
}

func TestMoundIsTheLeastThatUnflags(t *testing.T) {
	for c := NoWetFeet; c <= Swamp; c++ {
		spots(func(s Spot) {
			v := BuiltIn().JudgeWith(s, ofClass(c), JudgeOptions{})
			if !v.Flagged {
				if v.Mound != 0 || v.Advice != "keep" || v.Swaps != nil {
					t.Fatalf("%s, %+v is not flagged, yet %+v", c, s, v)
				}
				return
			}
			if after := riskAt(raised(s, v.Mound), ofClass(c)); after >= High {
				t.Fatalf("%s, %+v: still %s on a mound of %g", c, s, after, v.Mound)
			}
			if r := math.Remainder(v.Mound, moundStep); math.Abs(r) > 1e-9 {
				t.Fatalf("%+v: a mound of %g is no whole step", s, v.Mound)
			}
			free := math.Max(leastFreeboard, 2*s.Error)
			if lower := v.Mound - moundStep; s.depth() > 0 && s.WetnessPercentile < wetPercentile && lower >= s.depth()+free {
				t.Fatalf("%+v: a mound of %g would do", s, lower)
			}
		})
	}
}

func TestAdvice(t *testing.T) {
	mango := find(t, "mango")
	for _, tt := range []struct {
		name  string
		table *Table
		spot  Spot
		want  string
		mound float64
	}{
		{"a dry spot is kept", BuiltIn(), Spot{WetnessPercentile: 40}, "keep", 0},
		{"a low mound is raised", BuiltIn(), Spot{BrimDepth: 0.20, InHollow: true, Error: 0.03}, "raise", 0.30},
		{"half a metre is raised still", BuiltIn(), Spot{BrimDepth: 0.40, InHollow: true, Error: 0.05}, "raise", 0.50},
		{"a higher one is a swap", BuiltIn(), Spot{BrimDepth: 0.41, InHollow: true, Error: 0.05}, "swap", 0.55},
		{"where nothing bears the spot it is moved", alone(mango), Spot{BrimDepth: 0.41, InHollow: true, Error: 0.05}, "move", 0.55},
	} {
		t.Run(tt.name, func(t *testing.T) {
			v := tt.table.Judge(tt.spot, mango)
			assert.Equal(t, tt.want, v.Advice)
			assert.InDelta(t, tt.mound, v.Mound, 1e-9)
		})
	}
}

// alone is a table of one species.
func alone(e *Entry) *Table {
	t := &Table{entries: []*Entry{e}}
	t.index()
	return t
}

func TestWhyIsOneSentenceInTheUnitsOfTheReport(t *testing.T) {
	feet := JudgeOptions{Length: func(m float64) string { return fmt.Sprintf("%.1f ft", m/0.3048) }}
	for _, tt := range []struct {
		spot Spot
		opts JudgeOptions
		want string
	}{
		{Spot{WetnessPercentile: 50}, JudgeOptions{}, "No water is expected to stand here, and the ground is not among the wettest fifth of the site."},
		{Spot{WetnessPercentile: 85}, JudgeOptions{}, "No water is expected to stand here, though the ground is among the wettest fifth of the site; mango bears about 4 days of waterlogged roots."},
		{Spot{WetnessPercentile: 97}, JudgeOptions{}, "The ground here is among the wettest twentieth of the site, where water gathers and is slow to leave; mango bears about 4 days of waterlogged roots."},
		{Spot{BrimDepth: 0.02, InHollow: true}, JudgeOptions{}, "When its hollow is full this spot stands in 0.02 m of water, about as little as can be told from none; mango bears about 4 days of waterlogged roots."},
		{Spot{BrimDepth: 0.08, InHollow: true}, JudgeOptions{}, "When its hollow is full this spot stands in 0.08 m of water; mango bears about 4 days of waterlogged roots."},
		{Spot{BrimDepth: 0.49, InHollow: true}, feet, "When its hollow is full this spot stands in 1.6 ft of water, deeper than the 0.3 ft it has been seen to bear; mango bears about 4 days of waterlogged roots."},
	} {
		assert.Equal(t, tt.want, BuiltIn().JudgeWith(tt.spot, find(t, "mango"), tt.opts).Why)
	}
}

func TestSwapsBearTheSpotAndKeepTheRole(t *testing.T) {
	for _, spot := range []Spot{
		{BrimDepth: 0.08, InHollow: true, Error: 0.02},
		{BrimDepth: 0.50, InHollow: true, Error: 0.02},
	} {
		for _, e := range BuiltIn().All() {
			v := BuiltIn().Judge(spot, e)
			assert.LessOrEqual(t, len(v.Swaps), maxSwaps)
			for _, s := range v.Swaps {
				assert.NotSame(t, e, s)
				assert.LessOrEqual(t, riskAt(spot, s), Moderate, "%s for %s", s.Scientific, e.Scientific)
				assert.Less(t, riskAt(spot, s), v.Risk)
				assert.Positive(t, role(e, s), "%s for %s", s.Scientific, e.Scientific)
				a, _ := e.zones()
				b, _ := s.zones()
				assert.GreaterOrEqual(t, a.share(b), sharedZones, "%s for %s", s.Scientific, e.Scientific)
				if e.Invasive == "" {
					assert.Empty(t, s.Invasive, "%s for %s", s.Scientific, e.Scientific)
				}
			}
			assert.Equal(t, v, BuiltIn().Judge(spot, e), "twice the same")
		}
	}
}

func TestPlannedSpeciesComeFirstAmongEqualSwaps(t *testing.T) {
	spot := Spot{BrimDepth: 0.50, InHollow: true, Error: 0.02}
	pecan := find(t, "pecan")
	without := BuiltIn().Judge(spot, pecan).Swaps
	require.Greater(t, len(without), 1)
	// The second best, planned, takes the first place from its equal in role
	// and size, and never one from a better role.
	second := without[1]
	with := BuiltIn().JudgeWith(spot, pecan, JudgeOptions{Planned: []*Entry{pecan, second}}).Swaps
	require.NotEmpty(t, with)
	if role(pecan, second) == role(pecan, without[0]) {
		assert.Same(t, second, with[0])
	} else {
		assert.Same(t, without[0], with[0])
	}
}

// Mango's zones reach beyond what an apple lives in; with fig and apple
// planned too, what is planned draws the climate in.
func TestPlannedSpeciesNarrowTheClimate(t *testing.T) {
	spot := Spot{BrimDepth: 0.50, InHollow: true, Error: 0.02}
	fig, apple := find(t, "fig"), find(t, "apple")
	for _, s := range BuiltIn().JudgeWith(spot, fig, JudgeOptions{Planned: []*Entry{fig, apple}}).Swaps {
		z, _ := s.zones()
		a, _ := fig.zones()
		b, _ := apple.zones()
		common, ok := a.overlap(b)
		require.True(t, ok)
		assert.GreaterOrEqual(t, common.share(z), sharedZones, s.Scientific)
	}
}

func TestZones(t *testing.T) {
	for _, tt := range []struct {
		zones string
		want  span
		ok    bool
	}{
		{"1", span{0, 1}, true},
		{"5b-9", span{9, 17}, true},
		{"10b-13", span{19, 25}, true},
		{"annual", span{0, 25}, true},
		{"", span{}, false},
		{"0-4", span{}, false},
		{"9-14", span{}, false},
		{"9-5", span{}, false},
		{"warm", span{}, false},
	} {
		got, ok := readZones(tt.zones)
		assert.Equal(t, tt.ok, ok, tt.zones)
		if tt.ok {
			assert.Equal(t, tt.want, got, tt.zones)
		}
	}
}

func BenchmarkJudge(b *testing.B) {
	spot := Spot{BrimDepth: 0.50, InHollow: true, Error: 0.02}
	e, err := BuiltIn().Find("pecan")
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		BuiltIn().Judge(spot, e)
	}
}

func BenchmarkFind(b *testing.B) {
	for _, words := range []string{"Carya illinoinensis", "pekan", "beech"} {
		b.Run("words="+words, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				BuiltIn().Find(words)
			}
		})
	}
}
