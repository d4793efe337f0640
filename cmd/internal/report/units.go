package report

import (
	"html"
	"html/template"

	"wetfeet/cmd/internal/assess"
	"wetfeet/terrain/quantity"
)

// inOther is a result as it would be told in the units the site is not in.
func inOther(r *assess.Result) *assess.Result {
	other := *r
	other.Units = quantity.Feet
	if r.Units == quantity.Feet {
		other.Units = quantity.Metric
	}
	return &other
}

func inBothUnits(r *assess.Result) []treeView {
	views, others := treeViews(r), treeViews(inOther(r))
	for i := range views {
		views[i].Other = &others[i]
	}
	return views
}

func pondsInBothUnits(r *assess.Result) []pondView {
	views, others := pondViews(r), pondViews(inOther(r))
	for i := range views {
		views[i].Other = &others[i]
	}
	return views
}

// either writes a measure so that the page can change it for the same in the
// other units.
func either(text, other string) template.HTML {
	if text == other {
		return keep(text)
	}
	return `<span data-other="` + template.HTML(html.EscapeString(other)) + `">` + keep(text) + `</span>`
}
