// Package surveypage writes the page of a survey: one self-contained file of
// HTML with the contour plan, how well the ground is known, which spot heights
// to doubt, where to measure next and the level book as it was reduced. It needs
// no network, prints, and reads on a telephone.
//
// Everything it is given is metres; the page is lettered in the units of the
// plan, and a level book in those it was kept in.
package surveypage

import (
	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/plansheet"
	"wetfeet/terrain/survey/fieldbook"

	"github.com/paulmach/orb"
)

// A Survey is what the page is written from.
type Survey struct {
	// Plan is the ground and what was measured. Its Suspicious and Next are
	// taken from Doubts and Next here.
	Plan  plansheet.Plan
	Paper plansheet.Paper

	Doubts []Doubt // the most suspicious first
	Next   []Place // the most useful first

	// Changed is where a later survey found other ground than an earlier one,
	// the largest change first.
	Changed []Change

	// Book is the field book the heights come from; nil where they came from a
	// table of spot heights.
	Book *fieldbook.Reduction

	Model    string  // the surface in a line, as survey.Model has it
	BlockRMS float64 // by how much whole blocks left out are missed, the root of the mean square, m; 0 where not known

	Assumptions []string // every default taken, one sentence each
	Remarks     []string // what was found on the way and should be known
	Inputs      []assess.Input
	PlanFile    string // the document of the plan beside the page, such as "contour-plan.pdf"; empty where there is none
}

// A Doubt is a spot height that does not go with the others.
type Doubt struct {
	Shot         int     // in Plan.Shots
	Off          float64 // its height less what the others say, m
	Standardised float64 // the same over its standard deviation
	Where        string  // in the book or table: "page 1, line 23"
	Reason       string  // one plain sentence
}

// A Change is a place whose ground a later survey found elsewhere.
type Change struct {
	Point         orb.Point // in the system of the ground, m
	Name          string    // of the earlier shot
	Before, After float64   // level, m
	SD            float64   // standard deviation of their difference, m
}

// A Place is where to hold the staff next.
type Place struct {
	Point         orb.Point // in the system of the ground, m
	Along         string    // the same as a taped place where it is known: "12.5 m along row A, 1 m left"
	Before, After float64   // standard error there before and after a reading, m; 0 where not known
	Why           string    // one plain sentence
}
