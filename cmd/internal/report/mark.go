package report

import (
	"fmt"
	"html/template"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
)

// symbolOf is how a tree is drawn: by its risk, or as not known.
func symbolOf(t *assess.Tree) look.Symbol {
	if !t.OnGround {
		return look.NotKnown()
	}
	return look.Risk(t.Risk)
}

// markAt draws a symbol in a picture, with half its square radius units wide.
func markAt(s look.Symbol, x, y, radius float64) string {
	return fmt.Sprintf(`<g transform="translate(%.1f %.1f) scale(%.3f)">%s</g>`, x, y, radius/10, bare(s))
}

// inlineMark is a symbol as a small picture among words. The word beside it
// says the same, so readers that speak leave it out.
func inlineMark(s look.Symbol) template.HTML {
	return template.HTML(`<svg class="mark" viewBox="-11 -11 22 22" aria-hidden="true">` + bare(s) + `</svg>`)
}

func bare(s look.Symbol) string {
	body := fmt.Sprintf(`<path d="%s" fill="%s" stroke="%s" stroke-width="%d" stroke-linejoin="round"/>`,
		s.Body.SVG(), look.Hex(s.Fill), look.Hex(s.Ink), look.Outline)
	if !s.Marks.Empty() {
		body += fmt.Sprintf(`<path d="%s" fill="%s"/>`, s.Marks.SVG(), look.Hex(s.Mark))
	}
	return body
}
