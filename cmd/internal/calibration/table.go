package calibration

import (
	"fmt"
	"io"
	"strings"

	"wetfeet/cmd/internal/reliability"
)

// WriteTable writes the scores of answers as a table in Markdown, and below it
// how the two other answers do.
func WriteTable(w io.Writer, answers []*Answer) error {
	var b strings.Builder
	b.WriteString("| sites | trees | miscalibration (by chance up to) | skill over one surface | a hollow's 90 % interval holds | by the draws alone | bias of its expected volume | by the draws alone | a site's 90 % interval holds | bias of its volume |\n")
	b.WriteString("|---|---|---|---|---|---|---|---|---|---|\n")
	for _, s := range Scores(answers) {
		fmt.Fprintf(&b, "| %d %s | %d | %.4f (%.4f) | %.2f | %s | %s | %s | %s | %s | %s |\n",
			s.Sites, s.Name, s.Trees, max(s.Curve.Miscalibration, 0), s.Chance, s.Skill, share(s.Held), share(s.BareHeld), bias(s.Bias), bias(s.BareBias), share(s.SiteHeld), bias(s.SiteBias))
	}
	if s, any := Others(answers); any {
		fmt.Fprintf(&b, "\n| %d sites seen by a raster | miscalibration | Brier score | bias of a site's volume |\n|---|---|---|---|\n", s.Sites)
		fmt.Fprintf(&b, "| the odds | %.4f | %.4f | %s |\n", max(s.Curve.Miscalibration, 0), s.Curve.Brier, bias(s.SiteBias))
		fmt.Fprintf(&b, "| one surface, yes or no | | %.4f | %s |\n", s.Curve.Brier/(1-s.Skill), bias(s.Single))
		fmt.Fprintf(&b, "| the error added to the raster again | %.4f | %.4f | %s |\n", s.Naive.Miscalibration, s.Naive.Brier, bias(s.NaiveBias))
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
