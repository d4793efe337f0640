package report

import (
	"fmt"
	"html/template"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/calibration"
	"wetfeet/terrain/quantity"
)

// A trustView is how far the odds can be trusted.
type trustView struct {
	Words   []string
	Diagram template.HTML
}

func trustViewOf(r *assess.Result) *trustView {
	if r.Odds == nil {
		return nil
	}
	v := &trustView{Diagram: template.HTML(calibration.Diagram)}
	s := r.Storm
	v.Words = append(v.Words,
		fmt.Sprintf("The storm was sent over %d sites that are as likely as each other. On each the ground is another that agrees with what was measured, water soaks in at another rate, and the soil is wetter or drier before the rain. Odds are the share of them on which something happens, so a tenth more or less is no difference.", r.Odds.Draws),
		fmt.Sprintf("Most of the width of every interval of hours is the soil: one time in ten standing water soaks in slower than %s, and one in ten faster than %s. A test in a hole, or one pool whose dry day you have seen, narrows all of them.",
			quantity.FormatRate(s.Doubt[0], r.Units), quantity.FormatRate(s.Doubt[1], r.Units)),
		"The same odds were made for 1,920 invented sites whose true ground is known. The picture shows how often water stood where they gave such odds: on the dotted line they would be right. Ditches, banks and beds with sharp edges make them too high. What hollows hold is put right on average over such sites, and for no one kind of ground: a lone bowl with a crisp rim mostly holds more than is said here, a furrow or a dammed ditch less. The README of the program has the figures.",
		"What a tree bears is known to a class at best. Trials in clean pots lost fewer plants than these odds foretell; rot in the soil, deeper water and young trees lose more.")
	return v
}
