package report

import (
	"fmt"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/terrain/quantity"
)

// rowViews are the pictures of every row that lies on the ground at least in
// part, and how to read them.
func rowViews(r *assess.Result) (views []rowView, note string) {
	var sections []rowSection
	detail := false
	for i := range r.Rows {
		if s, ok := sectionOf(r, &r.Rows[i]); ok {
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
	note = "Each picture is the ground along one row, seen from its side, with every hollow full to the brim; a number over a flagged tree is its place in the row. "
	soft := "ground"
	if length := brim.Soften(r.Drain); length > 0 {
		soft = fmt.Sprintf("ground smoothed over %s for its noise", quantity.FormatLength(length, r.Units))
	}
	if detail {
		note += "The thick line is the " + soft + ", the thin one the ground in full detail. "
	}
	note += "As on the map, water is drawn where a hollow's spill level stands above the " + soft + "; where a row only grazes a pool for less than one spacing none is drawn. Heights are drawn larger than lengths, by the factor beside each row."
	return views, note
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
