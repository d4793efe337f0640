package report

import (
	"fmt"
	"html/template"
	"slices"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain/quantity"
)

// rowViews are the pictures of every row that lies on the ground at least in
// part, how to read them, and the lines of water they show.
func rowViews(r *assess.Result) (views []rowView, note string, key []keyView) {
	var sections []rowSection
	detail := false
	full, waters := brim.Full(r.Drain.Hollows), watersOf(r)
	for i := range r.Rows {
		if s, ok := sectionOf(r, &r.Rows[i], full, waters); ok {
			sections = append(sections, s)
			detail = detail || s.detail
		}
	}
	high := relief(sections)
	for i := range sections {
		s := &sections[i]
		v := rowView{Name: s.row.Name, Note: rowNote(r, s.row)}
		for _, p := range s.pieces(r, wide, high) {
			v.Wide = append(v.Wide, pictureView{SVG: p.draw()})
			v.WideTimes = tidyTimes(p.exaggeration())
		}
		v.Narrow, v.NarrowTimes = narrowViews(r, s, s.windows(r, narrow, high))
		views = append(views, v)
	}
	note = "Each picture is the ground along one row, seen from its side and cut open; a number over a flagged tree is its place in the row. "
	if r.Storm != nil {
		note += "The darker the water, the longer it stands; below each pool stands how long after the rain it is dry. "
	}
	soft := "ground"
	if length := brim.Soften(r.Drain); length > 0 {
		soft = fmt.Sprintf("ground smoothed over %s for its noise", quantity.FormatLength(length, r.Units))
	}
	if detail {
		note += "The thick line is the " + soft + ", the thin one the ground in full detail. "
	}
	note += "As on the map, water is drawn where its level stands above the " + soft + "; where a row only grazes a pool for less than one spacing none is drawn. Heights are drawn larger than lengths, by the factor beside each row."
	return views, note, waterKey(r, sections)
}

// A keyView is a sample of a line and what it stands for.
type keyView struct {
	Sample template.HTML
	Word   string
}

// waterKey is the key to the lines of water that some row shows, and what is
// to be said of the others.
func waterKey(r *assess.Result, sections []rowSection) (key []keyView) {
	shows := func(level func(s *rowSection) []float64) bool {
		return slices.ContainsFunc(sections, func(s rowSection) bool {
			return slices.ContainsFunc(level(&s), func(z float64) bool { return z == z })
		})
	}
	stages := look.Stages()
	if r.Storm != nil {
		for k, m := range r.Storm.Shown {
			if !shows(func(s *rowSection) []float64 { return s.water[k] }) {
				what := "no water along any row " + m.Name
				if k > 0 && k < len(r.Storm.Shown)-1 {
					what += ", nor later"
				}
				key = append(key, keyView{Word: what})
				break
			}
			key = append(key, keyView{sample(look.Hex(stages[min(k, len(stages)-1)].Fill), stageStroke(k)), m.Name})
		}
	}
	if shows(func(s *rowSection) []float64 { return s.brim }) {
		key = append(key, keyView{sample("", brimStroke()), "the brim, where the water does not reach it"})
	}
	return key
}

// sample is a piece of a water line over its fill.
func sample(fill, stroke string) template.HTML {
	s := `<svg class="sample" viewBox="0 0 52 20" aria-hidden="true">`
	if fill != "" {
		s += `<path d="M0 7H52V20H0Z" fill="` + fill + `"/>`
	}
	return template.HTML(s + `<path d="M1 7H51" fill="none" ` + stroke + `/></svg>`)
}

// narrowViews are the pictures of a telephone's page with what is said of the
// parts of the row that they leave out.
func narrowViews(r *assess.Result, s *rowSection, windows []*piece) (out []pictureView, times string) {
	if len(windows) == 0 {
		return []pictureView{{Words: "No water and nothing flagged along it."}}, ""
	}
	at := 0.0
	say := func(to float64) {
		if to-at >= s.row.Spacing {
			out = append(out, pictureView{Words: fmt.Sprintf("No water and nothing flagged from %s to %s.", quantity.FormatDistance(at, r.Units), quantity.FormatDistance(to, r.Units))})
		}
	}
	for _, p := range windows {
		say(p.from)
		out = append(out, pictureView{SVG: p.draw()})
		at = p.to
	}
	say(s.row.Length)
	return out, tidyTimes(windows[0].exaggeration())
}

func rowNote(r *assess.Result, row *assess.Row) string {
	flagged := 0
	for _, i := range row.Trees {
		if r.Trees[i].Flagged {
			flagged++
		}
	}
	s := fmt.Sprintf("%s long, %d plants every %s", quantity.FormatDistance(row.Length, r.Units), len(row.Trees), quantity.FormatLength(row.Spacing, r.Units))
	switch flagged {
	case 0:
		return s + ", none flagged."
	case 1:
		return s + ", one flagged."
	}
	return fmt.Sprintf("%s, %d flagged.", s, flagged)
}

// tidyTimes writes an exaggeration as a person would say it.
func tidyTimes(v float64) string {
	if v >= 10 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.1f", v)
}
