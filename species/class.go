package species

import "math"

// bands are the days of the classes: the edges of the class and the figure
// that stands for it. The edges come from laying the scales of the sources
// beside one another, see the package comment; the figure in the middle is a
// cautious one inside the band. Common practice, no source for either.
var bands = [...]Range{
	NoWetFeet: {0, 1, 2},
	ShortSoak: {3, 4, 7},
	WetSpell:  {8, 14, 30},
	WetSeason: {31, 45, 120},
	Swamp:     {121, 180, yearRound},
}

// yearRound is the most that days can say: water all year.
const yearRound = 365.0

// Band is the days of the class: its edges, and the figure that stands for
// it when nothing better is known. A swamp tree's band ends with the year.
func (c Class) Band() Range { return bands[c] }

// ClassOf is the class whose band holds so many days. Days between two bands
// belong to the lower one.
func ClassOf(days float64) Class {
	c := NoWetFeet
	for c < Swamp && days >= bands[c+1].Low {
		c++
	}
	return c
}

// phrase says the band in words.
func (c Class) phrase() string {
	return [...]string{"2 days at most", "3 to 7 days", "8 to 30 days", "31 to 120 days", "over 120 days, or all year"}[c]
}

// classNamed finds a class by its word.
func classNamed(word string) (Class, bool) {
	for c := NoWetFeet; c <= Swamp; c++ {
		if c.String() == word {
			return c, true
		}
	}
	return 0, false
}

// A count is a number of days some source put on a species.
type count struct {
	Range
	basis Basis
	bound byte // '<' the plants were lost by then, '>' they lived on, 0 neither
}

// daysBorne is the range of days of a species and the basis of its likely
// figure, by the rule in the package comment.
func daysBorne(c Class, confidence string, counts []count) (Range, Basis) {
	days, basis := c.Band(), Practice
	below, above := 0, 0
	switch confidence {
	case "medium":
		below, above = 1, 1
	case "low":
		below, above = 1, 2
	}
	if below > 0 {
		days.Low = 0
		if c > NoWetFeet {
			days.Low = bands[c-1].Likely
		}
	}
	if above > 0 && c < Swamp {
		days.High = bands[min(c+Class(above), Swamp)].Likely
	}
	for _, n := range counts {
		switch n.bound {
		case '<':
			days.Low = math.Min(days.Low, n.Likely)
			continue
		case '>':
			days.High = math.Max(days.High, math.Min(n.Likely, yearRound))
			continue
		}
		days.Low = math.Min(days.Low, n.Low)
		days.High = math.Max(days.High, math.Min(n.High, yearRound))
		if n.basis == Read && n.Likely < days.Likely {
			days.Likely, basis = math.Max(n.Likely, bands[c].Low), Read
		}
	}
	return days, basis
}
