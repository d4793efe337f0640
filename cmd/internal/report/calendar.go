package report

import (
	"cmp"
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/wording"
	"wetfeet/hydro/season"
)

// mostSpells is how many trees have a picture of their years.
const mostSpells = 8

// A calendarView is what years of weather make of the planting, in pictures.
type calendarView struct {
	Note   string
	Months chartView
	Worst  string // the year that was worst for most trees
	Spells []chartView
	Left   string // of the trees without a picture
}

// noSeason says how to get a calendar.
const noSeason = "How often trees stand wet, and in which months, is not known without a record of rain: name a file of daily rain in the site file, under [season], as rain = \"file.csv\" with the columns date and rain_mm, and this page shows the wet days of each month and the wet spells of each year."

// calendar is nil without a record.
func calendar(r *assess.Result) *calendarView {
	s := r.Season
	if s == nil {
		return nil
	}
	trees := spellTrees(r)
	v := &calendarView{Note: fmt.Sprintf("What %s of weather (%s) would have made of this planting, day by day.", wording.CountOne(s.Whole, "whole year"), s.Name)}
	if len(trees) == 0 {
		v.Note += " No tree ever had wet roots."
		return v
	}
	v.Months = months(r, len(trees))
	if s.Wettest != "" {
		v.Worst = fmt.Sprintf("The wettest year was %s: in it more trees had their longest wet spell than in any other.", s.Wettest)
	}
	most := 0.0
	shown := trees[:min(mostSpells, len(trees))]
	for _, t := range shown {
		most = max(most, slices.Max(t.days))
	}
	for _, t := range shown {
		v.Spells = append(v.Spells, t.view(r, most))
	}
	if left := len(trees) - len(shown); left > 0 {
		v.Left = fmt.Sprintf("These are the %d worst; %s that are sometimes wet stand in the table with their median year.", len(shown), wording.CountOne(left, "more tree"))
	}
	return v
}

// A spellTree is a tree with its longest wet spell of every whole year.
type spellTree struct {
	tree  int
	days  []float64
	years []string
	once  float64 // reached in one year in five, days; NaN where too few years tell
}

// spellTrees are the trees that are ever wet, the worst median year first.
func spellTrees(r *assess.Result) []spellTree {
	s := r.Season
	var years []string
	for _, y := range s.Result.Years {
		if y.Whole {
			years = append(years, y.Name)
		}
	}
	var out []spellTree
	for k, i := range s.Trees {
		t := spellTree{tree: i, days: s.Result.LongestSpells(k), years: years, once: math.NaN()}
		if len(t.days) == 0 || !(slices.Max(t.days) > 0) {
			continue
		}
		if returns, err := season.ReturnsOf(t.days); err == nil {
			if once, err := returns.Once(5); err == nil {
				t.once = once
			}
		}
		out = append(out, t)
	}
	slices.SortStableFunc(out, func(a, b spellTree) int {
		return cmp.Or(cmp.Compare(r.Trees[b.tree].LongestWetDays, r.Trees[a.tree].LongestWetDays), cmp.Compare(slices.Max(b.days), slices.Max(a.days)))
	})
	return out
}

// months draws the wet days of the months of a year.
func months(r *assess.Result, trees int) chartView {
	const left, right, top, high = 10.0, 450.0, 26.0, 120.0
	days := r.Season.Months
	most := 1.0
	wettest := 0
	for m, d := range days {
		most = max(most, d)
		if d > days[wettest] {
			wettest = m
		}
	}
	wide := (right - left) / 12
	head := "Wet days by month"
	words := fmt.Sprintf("Days on which roots are wet, the mean of %s that are ever wet; %s is the wettest month.", wording.CountOne(trees, "tree"), time.Month(wettest+1))
	growing := r.Season.Result.Growing
	end := top + high + 2.9*chartText
	var b, told strings.Builder
	for m, d := range days {
		x := left + float64(m)*wide
		h := high * d / most
		fmt.Fprintf(&b, `<path d="M%.1f %.1fh%.1fV%.1fh%.1fZ" fill="%s"/>`, x+4, top+high, wide-8, top+high-h, -(wide - 8), look.Hex(look.WaterLine))
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="#22231f">%s</text>`, x+wide/2, top+high-h-5, fewDays(d))
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="%s">%s</text>`, x+wide/2, top+high+chartText+3, quiet, time.Month(m + 1).String()[:3])
		fmt.Fprintf(&told, " %s %s.", time.Month(m+1), fewDays(d))
	}
	fmt.Fprintf(&b, `<path d="M%g %gH%g" stroke="%s"/>`, left, top+high, right, quiet)
	if growing != (season.Growing{}) {
		words += fmt.Sprintf(" The line below the months is the growing season, %s to %s, when wet roots do most harm.", dayOf(growing.First), dayOf(growing.Last))
		at := func(d season.Date) float64 {
			return left + wide*(float64(d.Month-1)+float64(d.Day-1)/31)
		}
		from, to := at(growing.First), at(growing.Last)+wide/31
		y := top + high + 2.1*chartText
		parts := [][2]float64{{from, to}}
		if to < from {
			parts = [][2]float64{{left, to}, {from, right}}
		}
		for _, p := range parts {
			fmt.Fprintf(&b, `<path d="M%.1f %.1fH%.1f" stroke="%s" stroke-width="4"/>`, p[0], y, p[1], growingInk)
		}
	}
	svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" role="img" aria-label="%s" font-size="%g"><title>%s</title><desc>%s</desc>%s</svg>`,
		chartWide, end, head, chartText, head, html.EscapeString(words+told.String()), b.String())
	return chartView{Head: head, Words: words, SVG: template.HTML(svg)}
}

// growingInk is the colour of the line along the growing season.
const growingInk = "#2c6b2f"

func dayOf(d season.Date) string { return fmt.Sprintf("%d %s", d.Day, d.Month) }

// fewDays writes a mean number of days.
func fewDays(d float64) string {
	switch {
	case d == 0:
		return "0"
	case d < 0.05:
		return "<0.1"
	case d < 9.95:
		return fmt.Sprintf("%.1f", d)
	}
	return fmt.Sprintf("%.0f", d)
}

// view draws a tree's longest wet spell of each year, with the median year and
// the one in five as lines. All trees share a scale.
func (t *spellTree) view(r *assess.Result, most float64) chartView {
	const left, right, top, high = 10.0, 380.0, 18.0, 66.0
	tree := &r.Trees[t.tree]
	worst := 0
	for y, d := range t.days {
		if d > t.days[worst] {
			worst = y
		}
	}
	head := tree.ID
	if tree.Entry != nil {
		head += ", " + tree.Entry.Name()
	}
	words := fmt.Sprintf("%s in the median year, ", wetYear(tree.LongestWetDays))
	if !math.IsNaN(t.once) {
		words += fmt.Sprintf("%s once in five years, ", wetYear(t.once))
	}
	words += fmt.Sprintf("%s in the worst, %s.", wetYear(t.days[worst]), t.years[worst])

	y := func(d float64) float64 { return top + high*(1-d/most) }
	wide := (right - left) / float64(len(t.days))
	var b strings.Builder
	for k, d := range t.days {
		ink := look.Hex(look.Stages()[3].Fill)
		if k == worst {
			ink = look.Hex(look.WaterLine)
		}
		if d > 0 {
			fmt.Fprintf(&b, `<path d="M%.1f %.1fh%.1fV%.1fh%.1fZ" fill="%s"/>`, left+float64(k)*wide+0.1*wide, top+high, 0.8*wide, y(d), -0.8*wide, ink)
		}
	}
	fmt.Fprintf(&b, `<path d="M%g %gH%g" stroke="%s"/>`, left, top+high, right, quiet)
	at := left + (float64(worst)+0.5)*wide
	half := wordWide(t.years[worst], chartText) / 2
	fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" fill="%s">%s</text>`, min(max(at, left+half), right-half), y(t.days[worst])-4, look.Hex(look.WaterLine), html.EscapeString(t.years[worst]))
	text := func(x, at float64, anchor, word string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s" fill="%s">%s</text>`, x, at, anchor, quiet, html.EscapeString(word))
	}
	text(left, top+high+chartText+3, "start", t.years[0])
	if n := len(t.years); n > 1 {
		text(right, top+high+chartText+3, "end", t.years[n-1])
	}
	// The words beside the lines keep a line's height apart.
	median := y(tree.LongestWetDays)
	low := max(median, top+0.5*chartText)
	fmt.Fprintf(&b, `<path d="M%g %.1fH%g" stroke="#22231f" stroke-width="1.6"/>`, left, median, right)
	if !math.IsNaN(t.once) {
		once := y(min(t.once, most))
		fmt.Fprintf(&b, `<path d="M%g %.1fH%g" stroke="#22231f" stroke-width="1.6" stroke-dasharray="6 4"/>`, left, once, right)
		low = max(low, once+1.05*chartText)
		text(right+5, once+0.35*chartText, "start", "1 in 5")
	}
	text(right+5, low+0.35*chartText, "start", "median")
	svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %.0f" role="img" aria-label="%s" font-size="%g"><title>%s</title><desc>%s</desc>%s</svg>`,
		chartWide, top+high+1.7*chartText, html.EscapeString("Longest wet spell of each year: "+head), chartText, html.EscapeString(head), html.EscapeString(words), b.String())
	return chartView{Head: head, Words: words, SVG: template.HTML(svg)}
}
