package calibration

import (
	"fmt"
	"io"
	"strings"

	"wetfeet/cmd/internal/reliability"
)

// WriteTable writes the scores as a table in Markdown, and below it how the two
// other answers do.
func WriteTable(w io.Writer, scores []Score) error {
	var b strings.Builder
	b.WriteString("| sites | trees | miscalibration (by chance up to) | skill over one surface | a hollow's 90 % interval holds | by the draws alone | bias of its volume | a site's 90 % interval holds | bias of its volume |\n")
	b.WriteString("|---|---|---|---|---|---|---|---|---|\n")
	for _, s := range scores {
		fmt.Fprintf(&b, "| %d %s | %d | %.4f (%.4f) | %.2f | %s | %s | %s | %s | %s |\n",
			s.Sites, s.Name, s.Trees, max(s.Curve.Miscalibration, 0), s.Chance, s.Skill, share(s.Held), share(s.Bare), bias(s.Bias), share(s.SiteHeld), bias(s.SiteBias))
	}
	b.WriteString("\n| the other answers | miscalibration | Brier score | bias of a site's volume |\n|---|---|---|---|\n")
	for _, s := range scores {
		if s.Naive.Points != nil && strings.HasPrefix(s.Name, "by") {
			fmt.Fprintf(&b, "| the odds, %s | %.4f | %.4f | %s |\n", s.Name, max(s.Curve.Miscalibration, 0), s.Curve.Brier, bias(s.SiteBias))
			fmt.Fprintf(&b, "| one surface, yes or no | | %.4f | %s |\n", s.Curve.Brier/(1-s.Skill), bias(s.Single))
			fmt.Fprintf(&b, "| the error added to the raster again | %.4f | %.4f | %s |\n", s.Naive.Miscalibration, s.Naive.Brier, bias(s.NaiveBias))
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// share writes a share with its interval, in per cent.
func share(e reliability.Estimate) string {
	return fmt.Sprintf("%.0f %% (%.0f–%.0f)", 100*e.Value, 100*e.Lo, 100*e.Hi)
}

func bias(e reliability.Estimate) string {
	text := fmt.Sprintf("%+.0f %% (%+.0f to %+.0f)", 100*e.Value, 100*e.Lo, 100*e.Hi)
	return strings.ReplaceAll(text, "-", "−")
}

// Diagram is the picture of a score.
func (s *Score) Diagram() reliability.Diagram {
	return reliability.Diagram{Curve: s.Curve, Band: s.Band, What: "trees", Came: "stood in water"}
}
