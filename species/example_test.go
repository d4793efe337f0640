package species_test

import (
	"fmt"
	"math"
	"strings"

	"wetfeet/species"
)

func ExampleTable_Find() {
	for _, words := range []string{"Pecans", "persimmon", "birch", "hickry"} {
		e, err := species.BuiltIn().Find(words)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(e.Scientific, "is a", e.Class, "tree")
	}
	// Output:
	// Carya illinoinensis is a wet spell tree
	// "persimmon" could be Asian persimmon (Diospyros kaki), American persimmon (Diospyros virginiana); write which
	// "birch" is only part of a name; the table has river birch (Betula nigra)
	// "hickry" is not a species in the table; nearest: pecan hickory (Carya illinoinensis), scalybark hickory (Carya ovata), swamp hickory (Carya aquatica)
}

func ExampleTable_Judge() {
	trees := species.BuiltIn()
	walnut, _ := trees.Find("black walnut")
	unknown := math.NaN()
	swale := species.Spot{
		StormDepth: 0.22, WetHours: 75, InHollow: true, Error: 0.03, WetnessPercentile: 98,
		LongestWetDays: unknown, HeightAboveWater: unknown, WaterTable: unknown,
	}
	// The pond sinks by 5 mm an hour, and roots take 31 hours more to drain.
	v := trees.JudgeWith(swale, walnut, species.JudgeOptions{WetHoursAt: func(mound float64) (depth, hours float64) {
		if depth = 0.22 - mound; depth <= 0 {
			return 0, 0
		}
		return depth, depth/0.005 + 31
	}})
	fmt.Println(v.Risk, v.Flagged, v.Advice, v.Mound)
	fmt.Println(v.Why)
	for _, s := range v.Swaps {
		fmt.Println("or", s.Label())
	}
	// Output:
	// severe true raise 0.15
	// This spot stands in 0.22 m of water after this storm, deeper than the 0.10 m taken as shallow, and its roots stay wet for about 3 days; black walnut newly planted bears about 2 days.
	// or pecan (Carya illinoinensis)
	// or Ogeechee tupelo (Nyssa ogeche)
	// or American persimmon (Diospyros virginiana)
}

func ExampleTable_With() {
	mine := "scientific_name,class,days_likely\nCorylus avellana,,10\nAlnus cordata,wet spel,\n"
	_, err := species.BuiltIn().With(strings.NewReader(mine), "my-species.csv")
	fmt.Println(err)
	// Output:
	// my-species.csv, line 3, class: "wet spel" is not one of no wet feet, short soak, wet spell, wet season, swamp
	// my-species.csv, line 3: Alnus cordata is new to the table and needs a class or days_likely
}

// A newly planted pecan on three likely sites, each with the hours its ground
// is wet at 0, 10, 20 and 30 cm.
func ExampleOdds_LeastMound() {
	pecan, _ := species.BuiltIn().Find("pecan")
	odds := species.Odds{
		Step:  0.10,
		Hours: [][]float32{{60, 190, 260}, {10, 80, 120}, {0, 10, 30}, {0, 0, 0}},
		Depth: []float32{0.12, 0.21, 0.23},
	}
	tolerance := pecan.Tolerance(species.Conditions{})
	mound, ok := odds.LeastMound(tolerance, species.DefaultTarget)
	fmt.Printf("%s; a mound of %.2f m (%v) makes it %s\n",
		species.InTen(odds.Loss(tolerance, 0)), mound, ok, species.InTen(odds.Loss(tolerance, mound)))
	// Output:
	// about 7 in 10; a mound of 0.23 m (true) makes it about 2 in 10
}
