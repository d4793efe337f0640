package species

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhySaysDepthAndDays(t *testing.T) {
	const mango = "; mango newly planted bears about 2 days."
	season := pond(0.14, 30)
	season.LongestWetDays = 12
	seasonOnly := ground(Spot{LongestWetDays: 12})
	table := ground(Spot{WaterTable: 0.4})
	surface := ground(Spot{})
	surface.WaterTable = -0.02
	for _, tt := range []struct {
		of   string
		spot Spot
		want string
	}{
		{"American pawpaw", pond(0.09, 70), "This spot stands in 9 cm of water after this storm and its roots stay wet for about 3 days; pawpaw newly planted bears about 2 days."},
		{"mango", pond(0.14, 70), "This spot stands in 14 cm of water after this storm, deeper than the 10 cm it has been seen to bear, and its roots stay wet for about 3 days" + mango},
		{"American pawpaw", pond(0.14, 70), "This spot stands in 14 cm of water after this storm, deeper than the 10 cm taken as shallow, and its roots stay wet for about 3 days; pawpaw newly planted bears about 2 days."},
		{"mango", pond(0.80, 200), "This spot stands in 80 cm of water after this storm, over the head of a tree as it is planted, and its roots stay wet for about 8 days" + mango},
		{"mango", pond(0.02, 14), "This spot stands in 2 cm of water after this storm, about as little as can be told from none, and its roots stay wet for about half a day" + mango},
		{"bald cypress", pond(0.30, 16*24), "This spot stands in 30 cm of water after this storm and its roots stay wet for about 2 weeks; bald cypress newly planted bears about 3 months."},
		{"mango", pond(0, 24), "The roots here stay wet for about a day after this storm" + mango},
		{"mango", season, "In the median year the roots here stay wet for about 12 days on end, and the spot stands in 14 cm of water after this storm, deeper than the 10 cm it has been seen to bear" + mango},
		{"mango", seasonOnly, "In the median year the roots here stay wet for about 12 days on end" + mango},
		{"mango", ground(Spot{WetnessPercentile: 50}), "No water is expected to stand here, and the ground is not among the wettest fifth of the site."},
		{"mango", ground(Spot{WetnessPercentile: 85}), "No water is expected to stand here, though the ground is among the wettest fifth of the site" + mango},
		{"mango", ground(Spot{WetnessPercentile: 85, HeightAboveWater: 1.4}), "No water is expected to stand here, and the ground, though among the wettest fifth of the site, lies 140 cm above the water it drains to."},
		{"mango", ground(Spot{WetnessPercentile: 97}), "The ground here is among the wettest twentieth of the site, where water gathers and is slow to leave" + mango},
		{"mango", ground(Spot{WetnessPercentile: 97, HeightAboveWater: 0.3}), "The ground here is among the wettest twentieth of the site, where water gathers and is slow to leave and lies only 30 cm above the water it drains to" + mango},
		{"mango", ground(Spot{BrimDepth: 0.31, InHollow: true}), "No water is expected to stand here, where a full hollow would hold 31 cm, and the ground is not among the wettest fifth of the site."},
		{"mango", ground(Spot{BrimDepth: 0.03, Error: 0.05}), "The dip of 3 cm here is no more than the error of the ground makes, and the ground is not among the wettest fifth of the site."},
		{"mango", ground(Spot{StormDepth: math.NaN(), WetHours: math.NaN()}), "No storm was assessed here, and the ground is not among the wettest fifth of the site."},
		{"mango", table, "In the wet season the water table comes within 40 cm of the surface here; mango wants it 120 cm down or deeper."},
		{"fig", surface, "In the wet season the water table comes up to the surface here; fig newly planted bears about 2 days of wet roots."},
	} {
		v := BuiltIn().JudgeWith(tt.spot, find(t, tt.of), JudgeOptions{Length: func(m float64) string { return fmt.Sprintf("%.0f cm", 100*m) }})
		assert.Equal(t, tt.want, v.Why)
	}
}

func TestWhyIsInTheUnitsOfTheReport(t *testing.T) {
	feet := JudgeOptions{Length: func(m float64) string { return fmt.Sprintf("%.1f ft", m/0.3048) }}
	assert.Equal(t, "This spot stands in 1.6 ft of water after this storm, deeper than the 0.3 ft it has been seen to bear, and its roots stay wet for about 3 days; mango newly planted bears about 2 days.",
		BuiltIn().JudgeWith(pond(0.49, 70), find(t, "mango"), feet).Why)
	assert.Contains(t, BuiltIn().Judge(pond(0.49, 70), find(t, "mango")).Why, "0.49 m of water")
}

// Whatever the spot, what makes a risk is named, and what is not there is not.
func TestWhyNamesWhatMakesTheRisk(t *testing.T) {
	d := die{rand.New(rand.NewPCG(9, 10))}
	for range 100_000 {
		s, e := d.spot(), d.entry()
		e.Scientific = "Aus bus"
		x := s.stress()
		why := s.why(e, JudgeOptions{Length: metres, Degrees: celsius})
		if strings.Contains(why, ". ") || !strings.HasSuffix(why, ".") || strings.Contains(why, "NaN") || strings.Contains(why, ",,") {
			t.Fatalf("%q is no plain sentence", why)
		}
		names := map[string]bool{
			"water":  strings.Contains(why, "after this storm") || strings.Contains(why, "median year"),
			"table":  strings.Contains(why, "water table"),
			"ground": strings.Contains(why, "the ground is among") || strings.Contains(why, "The ground here is among"),
		}
		risks := map[string]Risk{"water": e.waterRisk(x, Conditions{}), "table": e.tableRisk(x.table), "ground": e.groundRisk(x.ground)}
		if worst := e.risk(x, Conditions{}); worst > Low {
			named := false
			for what, r := range risks {
				named = named || r == worst && names[what]
			}
			if !named {
				t.Fatalf("%+v for %+v is %s: %q", s, e, worst, why)
			}
		}
		if strings.Contains(why, "No water is expected") && x.depth+x.storm+x.season > 0 {
			t.Fatalf("%+v: %q", s, why)
		}
	}
}

func TestTimesAreSaidAsPeopleSayThem(t *testing.T) {
	for _, tt := range []struct {
		days float64
		want string
	}{
		{0, "an hour"}, {0.25, "6 hours"}, {0.5, "half a day"}, {1, "a day"}, {1.5, "a day and a half"}, {1.75, "2 days"}, {3, "3 days"},
		{10, "10 days"}, {14, "2 weeks"}, {22.5, "3 weeks"}, {59, "8 weeks"}, {60, "2 months"}, {90, "3 months"}, {365, "a whole year"},
	} {
		assert.Equal(t, tt.want, lasting(tt.days), "%g days", tt.days)
	}
}
