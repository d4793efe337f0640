package assess

import (
	"fmt"
	"math"

	"wetfeet/cmd/internal/site"
	"wetfeet/hydro"
	"wetfeet/terrain/quantity"
)

// AssumedOfGround says, a sentence each, what was taken for the ground and
// how it was treated.
func AssumedOfGround(d *hydro.Drainage, fromShots bool, u quantity.Units) []string {
	var out []string
	sd := quantity.FormatDepth(d.Error, u)
	if fromShots {
		out = append(out, fmt.Sprintf("Between the spot heights the ground is known to about %s, one standard deviation at the middle cell, and better near them; hollows shallower than what is not known of their floor and brim are left out.", sd))
	} else if d.ErrorEstimated {
		out = append(out, fmt.Sprintf("The error of the ground was read off its roughness: %s, one standard deviation. A few levels taken with a staff would say how far to trust that.", sd))
	} else {
		out = append(out, fmt.Sprintf("The error of the ground was taken as %s, one standard deviation.", sd))
	}
	if d.Smooth > 0 {
		out = append(out, fmt.Sprintf("For the wetness index the ground was smoothed over %s, so that a cell falls by more than its noise; hollows were worked out on the ground in full detail.", quantity.FormatLength(d.Smooth, u)))
	}
	least := "the least that the error of the ground lets be told from level"
	if d.SlopeFloor <= hydro.LeastSlope {
		least = "less than any field is graded to"
	}
	out = append(out,
		fmt.Sprintf("The wetness index takes no slope below %s, %s, and a flow width of one cell, %s.", slopeText(d.SlopeFloor), least, quantity.FormatLength(d.FlowWidth, u)),
		"The edge of the ground and every gap in it let water out. Beyond the edge nothing is known: where land lies higher there, more water comes in than is counted here.",
	)
	return out
}

// Words says how well the surface through spot heights foretells a shot it has
// not seen. That, and not the error of the shots, is how far to trust the
// ground between them.
func (n *SurveyNote) Words(u quantity.Units) string {
	if n.Raster {
		return fmt.Sprintf("The ground is a raster corrected by %d spot heights; each left out in turn, it misses them by %s, root mean square.", n.Shots, quantity.FormatDepth(n.LooRMSE, u))
	}
	return fmt.Sprintf("The ground is a surface through %d spot heights; each left out in turn, it misses them by %s, root mean square.", n.Shots, quantity.FormatDepth(n.LooRMSE, u))
}

// slopeText writes a slope as a fall in a hundred.
func slopeText(s float64) string {
	if s <= 0 {
		return "0 %"
	}
	digits := max(0, 1-int(math.Floor(math.Log10(100*s))))
	return fmt.Sprintf("%.*f %%", digits, 100*s)
}

// notSeen says what no part of the answer sees.
func notSeen(drawn []site.Link) string {
	if len(drawn) > 0 {
		return "Pipes, drains and ditches narrower than a cell are not seen but for those drawn, and no river that rises."
	}
	return "Pipes, drains and ditches narrower than a cell are not seen, and no river that rises."
}
