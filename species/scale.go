package species

import (
	"fmt"
	"strconv"
)

// index is the source whose words are numbers from 1 to 5.
const index = "niinemets-2006"

// scales reads the words of the sources as classes. What each source means
// by its words was read for ufifas-hs202, usfs-ksu and south-dakota; the
// places of the other words are common practice. Words with no place on a
// scale, such as "listed for wet areas", are kept as facts and not read.
var scales = map[string]map[string]Class{
	"ufifas-hs202": { // one to a few days; several days; several days to a few weeks
		"not tolerant": NoWetFeet, "moderately tolerant": ShortSoak, "tolerant": WetSpell,
	},
	"usfs-ksu": { // a few days; 30 days in a row; one growing season
		"sensitive": NoWetFeet, "moderately tolerant": WetSpell, "tolerant": WetSeason,
	},
	"south-dakota": { // may decline after weeks; several weeks to a month; over a month
		"low": ShortSoak, "intermediate": WetSpell, "high": WetSeason,
	},
	"sref": {
		"very intolerant": NoWetFeet, "intolerant": ShortSoak, "intermediate": WetSpell,
		"tolerant": WetSeason, "very tolerant": Swamp,
	},
	"missouri-2019": {
		"highly sensitive": NoWetFeet, "most sensitive small fruit group": NoWetFeet,
		"intermediate": ShortSoak, "least sensitive of temperate tree fruit": WetSpell,
		"relatively more tolerant small fruit": WetSpell,
	},
	"msu-flood":   {"tolerates some flooding": WetSpell},
	"usda-plants": {"none": NoWetFeet, "low": ShortSoak, "medium": WetSpell, "high": WetSeason},
	"fao-ecocrop": {"susceptible to flooding": NoWetFeet, "tolerates flooding": WetSeason},
}

// classIn reads the word of a fact as a class, if it has a place on a scale.
//
// The waterlogging index of Niinemets and Valladares (2006) is cut midway
// between its whole numbers, whose day meanings are from memory: 1 a few
// days, 2 one to two weeks, 3 thirty days, 4 a growing season, 5 over a year.
func classIn(f Fact) (Class, bool) {
	if f.Source == index {
		v, err := strconv.ParseFloat(f.Value, 64)
		if err != nil {
			return 0, false
		}
		c := NoWetFeet
		for c < Swamp && v >= float64(c)+1.5 {
			c++
		}
		return c, true
	}
	c, ok := scales[f.Source][f.Value]
	return c, ok
}

// clash says in one sentence that two sources are more than one class apart,
// naming the lowest and the highest, in the order of trust among equals; or
// else that one is more than one class from where all the facts put it.
func clash(class Class, facts []Fact, short func(source string) string) string {
	var low, high Fact
	least, most := Swamp+1, NoWetFeet-1
	for _, f := range facts {
		if f.Attribute != "flood_tolerance" {
			continue
		}
		c, ok := classIn(f)
		if !ok {
			continue
		}
		if c < least {
			least, low = c, f
		}
		if c > most {
			most, high = c, f
		}
	}
	says := func(f Fact, c Class) string {
		if f.Source == index {
			return fmt.Sprintf("%s puts it at %s of 5 (%s)", short(f.Source), f.Value, c)
		}
		return fmt.Sprintf("%s says %q (%s)", short(f.Source), f.Value, c)
	}
	switch {
	case most-least > 1:
		return says(low, least) + ", yet " + says(high, most)
	case least <= Swamp && class-least > 1:
		return fmt.Sprintf("%s, yet its other facts make it %q", says(low, least), class)
	case most >= NoWetFeet && most-class > 1:
		return fmt.Sprintf("%s, yet its other facts make it %q", says(high, most), class)
	}
	return ""
}
