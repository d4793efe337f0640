package report

import (
	"fmt"
	"html/template"
	"strings"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
)

// symbolOf is how a tree is drawn: by its risk, or as not known.
func symbolOf(t *assess.Tree) look.Symbol { return look.Spot(t.OnGround, t.Risk) }

// marks are the symbols, drawn once for the whole page; the rest refers to
// them, which keeps a page of thousands of trees light.
func marks() template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="marks" width="0" height="0" aria-hidden="true"><defs>`)
	for _, s := range look.Symbols() {
		fmt.Fprintf(&b, `<g id="mark-%s"><path d="%s" fill="%s" stroke="%s" stroke-width="%d" stroke-linejoin="round"/>`,
			s.Name, s.Body.SVG(), look.Hex(s.Fill), look.Hex(s.Ink), look.Outline)
		if !s.Marks.Empty() {
			fmt.Fprintf(&b, `<path d="%s" fill="%s"/>`, s.Marks.SVG(), look.Hex(s.Mark))
		}
		b.WriteString(`</g>`)
	}
	b.WriteString(`</defs></svg>`)
	return template.HTML(b.String())
}

// markAt draws a symbol in a picture, with half its square radius units wide.
func markAt(s look.Symbol, x, y, radius float64) string {
	return fmt.Sprintf(`<use href="#mark-%s" transform="translate(%.1f %.1f) scale(%.2f)"/>`, s.Name, x, y, radius/10)
}

// inlineMark is a symbol as a small picture among words. The word beside it
// says the same, so readers that speak leave it out.
func inlineMark(s look.Symbol) template.HTML {
	return template.HTML(`<svg class="mark" viewBox="-11 -11 22 22" aria-hidden="true"><use href="#mark-` + s.Name + `"/></svg>`)
}
