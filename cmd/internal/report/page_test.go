package report

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"html"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"wetfeet/cmd/internal/assess"
	"wetfeet/species"
	"wetfeet/terrain/quantity"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	tags    = regexp.MustCompile(`<[^>]*>`)
	heading = regexp.MustCompile(`(?s)<h([1-6])[^>]*>(.*?)</h`)
	cells   = regexp.MustCompile(`(?s)<td data-label="Stake" class="id">(.*?)</td>`)
	scripts = regexp.MustCompile(`(?s)<script>.*?</script>`)
	encoded = regexp.MustCompile(`"(data:image|cells":")[^"]*"`)
	svgs    = regexp.MustCompile(`(?s)<svg xmlns.*?</svg>`)
)

func plainText(s string) string { return html.UnescapeString(tags.ReplaceAllString(s, "")) }

func TestEveryPage(t *testing.T) {
	for name, r := range sites(t) {
		t.Run(name, func(t *testing.T) {
			page := pageOf(t, r)

			seen := make(map[string]int)
			for _, m := range cells.FindAllStringSubmatch(page, -1) {
				seen[plainText(m[1])]++
			}
			assert.Len(t, seen, len(r.Trees))
			for _, tree := range r.Trees {
				assert.Equal(t, 1, seen[tree.ID], "tree %s in the table", tree.ID)
			}
			for class, n := range r.Counts() {
				if class == "unknown" && n == 0 {
					continue
				}
				word := class + " risk"
				if class == "unknown" {
					word = "unknown: off the ground"
				}
				assert.Contains(t, page, fmt.Sprintf("<b>%d</b> %s", n, word))
			}
			assert.Equal(t, r.Flagged(), strings.Count(page, `<tr class="flagged`))

			for _, tag := range []string{"div", "section", "figure", "table", "p", "ul", "ol", "li"} {
				opened := regexp.MustCompile("<"+tag+"[ >]").FindAllString(page, -1)
				assert.Len(t, opened, strings.Count(page, "</"+tag+">"), "every %s is closed", tag)
			}
			level := 0
			for i, m := range heading.FindAllStringSubmatch(page, -1) {
				n := int(m[1][0] - '0')
				assert.Equal(t, i == 0, n == 1, "one first heading, and it is the first")
				assert.LessOrEqual(t, n, level+1, "heading %q skips a level", plainText(m[2]))
				level = n
			}
			words := encoded.ReplaceAllString(scripts.ReplaceAllString(page, ""), "")
			assert.NotContains(t, words, "NaN")
			assert.NotContains(t, words, "Inf")
			for _, svg := range svgs.FindAllString(page, -1) {
				assert.NoError(t, xml.Unmarshal([]byte(svg), new(struct{})), "a picture is well-formed")
				assert.Contains(t, svg, `role="img" aria-label="`)
				assert.Contains(t, svg, "<title>", "each tree says what it is")
			}
			for _, id := range regexp.MustCompile(`href="#([^"]*)"`).FindAllStringSubmatch(page, -1) {
				assert.Contains(t, page, `id="`+id[1]+`"`)
			}
		})
	}
}

func TestPageIsLabelled(t *testing.T) {
	page := pageOf(t, sites(t)["an orchard"])
	assert.Contains(t, page, `<html lang="en">`)
	for _, img := range regexp.MustCompile(`<img [^>]*>`).FindAllString(page, -1) {
		assert.Regexp(t, `alt="[^"]{20,}"`, img)
	}
	for _, m := range regexp.MustCompile(`aria-labelledby="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.Contains(t, page, `id="`+m[1]+`"`)
	}
	for _, th := range regexp.MustCompile(`<th[ >][^>]*>`).FindAllString(page, -1) {
		assert.Contains(t, th, `scope="col"`)
	}
	for _, input := range regexp.MustCompile(`(?s)<(?:input|select)[^>]*>`).FindAllStringIndex(page, -1) {
		before := page[:input[0]]
		assert.Greater(t, strings.LastIndex(before, "<label"), strings.LastIndex(before, "</label>"), "%s is within a label", page[input[0]:input[1]])
	}
	// A heading that is a button does not print; its twin on paper does.
	for _, m := range regexp.MustCompile(`<button type="button">([^<]*)</button>(.*)</th>`).FindAllStringSubmatch(page, -1) {
		assert.Equal(t, `<span class="paper">`+m[1]+`</span>`, m[2])
	}
	assert.Contains(t, page, "3 hollows", "as many as the map says")
}

// Names come from files of strangers: they stay text wherever they are shown.
func TestHostileNamesStayText(t *testing.T) {
	const bad = `"><img src=x onerror=alert(1)>'&{{.}}</script></title></svg><b>`
	r := sites(t)["an orchard"]
	r.Name, r.Rows[1].Name = bad, bad
	r.Remarks, r.Assumptions = []string{bad}, []string{bad}
	entry := *r.Species[0]
	entry.Common, entry.Scientific, entry.Clash = []string{bad}, bad, bad
	r.Species = []*species.Entry{&entry}
	for i := range r.Trees {
		tree := &r.Trees[i]
		tree.ID, tree.Row, tree.Why = fmt.Sprint(bad, i), bad, bad
		tree.Entry, tree.Position.Species = &entry, bad
	}
	r.Season.Name, r.Season.Wettest = bad, bad
	for y := range r.Season.Result.Years {
		r.Season.Result.Years[y].Name = bad
	}
	r.Survey, r.Next = &assess.SurveyNote{}, []assess.Reading{{Why: bad}}
	page := pageOf(t, r)
	assert.NotContains(t, page, "<img src=x")
	assert.NotContains(t, page, "</svg><b>")
	assert.Equal(t, 2, strings.Count(page, "</script>"), "the map's data and what the page runs")
	assert.Equal(t, 1, strings.Count(page, "</title></svg>")+strings.Count(page, "</title>\n"), "only the page's own title ends a line")
	assert.Contains(t, html.UnescapeString(strings.ReplaceAll(page, "<wbr>", "")), bad)
	for _, svg := range svgs.FindAllString(page, -1) {
		assert.NoError(t, xml.Unmarshal([]byte(svg), new(struct{})))
	}
}

func TestSameResultSameBytes(t *testing.T) {
	r := sites(t)["an orchard"]
	want := pageOf(t, r)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.True(t, want == pageOf(t, r))
	runtime.GOMAXPROCS(5)
	assert.True(t, want == pageOf(t, r))
}

func TestPageInFeetIsInFeet(t *testing.T) {
	page := pageOf(t, sites(t)["a site in feet"])
	body := page[strings.Index(page, "</h1>"):strings.Index(page, "What the planned species bear")]
	body = plainText(regexp.MustCompile(`(?s)data:image[^"]*`).ReplaceAllString(body, ""))
	assert.Regexp(t, `\d ft\b`, body)
	assert.Regexp(t, `\d in\b`, body)
	assert.NotRegexp(t, `\d (m|cm|mm|ha|m²|m³)\b`, body)
}

func TestPageRefusesWhatIsNoMap(t *testing.T) {
	err := Write(new(bytes.Buffer), sites(t)["no hollows"], nil, []byte("no picture"))
	assert.ErrorContains(t, err, "the map: ")
}

// What the storm is, how sure its drying, and what it does is said in words, and
// where to measure only where a survey can tell.
func TestPageSaysTheStormInWords(t *testing.T) {
	all := sites(t)
	r := all["an orchard"]
	page := pageOf(t, r)
	assert.Contains(t, page, r.Storm.Words(r.Units))
	assert.Contains(t, page, "slower than 0.6 mm/h and one in ten faster than 15 mm/h")
	assert.Contains(t, page, "as deep as they stand when the rain of 90 mm ends")
	assert.NotContains(t, page, "Hold the staff next")
	assert.Contains(t, page, "Median year")
	assert.Contains(t, pageOf(t, all["a storm that leaves nothing"]), "All hollows are dry when the rain")

	before := pageOf(t, all["no storm"])
	assert.Contains(t, before, "full to the brim")
	assert.NotContains(t, before, "How sure")
	assert.NotContains(t, before, "Median year")

	r.Survey = &assess.SurveyNote{}
	r.Next = []assess.Reading{{Point: orb.Point{12.34, 56.78}, Why: "known to 7 cm now, to 2 cm with a reading"}}
	page = pageOf(t, r)
	assert.Contains(t, page, "Hold the staff next")
	assert.Contains(t, page, "<b>E 12.3, N 56.8</b>: known to 7 cm now, to 2 cm with a reading.")
}

// The depth and the hours of the table are those of the tree, and sort as
// numbers.
func TestTableTellsDepthAndHours(t *testing.T) {
	r := sites(t)["clay that holds its water"]
	over, none := 0, 0
	for _, v := range treeViews(r) {
		for i := range r.Trees {
			tree := &r.Trees[i]
			if tree.ID != v.ID {
				continue
			}
			assert.Equal(t, sortable(tree.StormDepth), v.DeepSort)
			assert.Equal(t, sortable(tree.WetHours), v.RootsSort)
			if tree.StormDepth > 0 {
				assert.Equal(t, quantity.FormatDepth(tree.StormDepth, r.Units), v.Deepest)
			} else {
				none++
				assert.Equal(t, "none", v.Deepest)
			}
			if strings.HasPrefix(v.Roots, "over ") {
				over++
			}
		}
	}
	assert.Positive(t, over, "what was wet to the end may stay so")
	assert.Positive(t, none)
}

// A ground without noise has one line, and the page does not speak of two.
func TestThinLineIsExplainedWhereThereIsOne(t *testing.T) {
	all := sites(t)
	assert.Contains(t, pageOf(t, all["an orchard"]), "the thin one the ground in full detail")
	assert.NotContains(t, pageOf(t, all["no hollows"]), "the thin one")
}

func TestNamesAreNotBroken(t *testing.T) {
	assert.Equal(t, `see <span class="together">A-12,</span> <span class="together">B-3</span> &lt;now&gt;`, string(keep("see A-12, B-3 <now>")))
	long := strings.Repeat("é", 60)
	got := string(keep(long))
	assert.Equal(t, long, strings.ReplaceAll(got, "<wbr>", ""), "letters are never cut in two")
	assert.GreaterOrEqual(t, strings.Count(got, "<wbr>"), 3)
}

// On paper no row of the table stands alone on its page.
func TestRowsKeepTogetherOnPaper(t *testing.T) {
	rows := []treeView{{Class: "flagged"}, {}, {}, {}, {Class: "flagged"}, {Class: "low"}, {Class: "low"}}
	keepTogether(rows)
	var got []string
	for _, r := range rows {
		got = append(got, r.Class)
	}
	assert.Equal(t, []string{"flagged first", "first", "", "last", "flagged last", "low", "low"}, got)
	keepTogether(nil)
}

func TestSingleTreesHaveNoRow(t *testing.T) {
	r := sites(t)["no hollows"]
	r.Rows, r.Trees = nil, nil
	single(r, "oak", orb.Point{20, 20})
	single(r, "lost", orb.Point{-900, 20})
	page := pageOf(t, r)
	assert.NotContains(t, page, "Along the rows")
	require.Contains(t, page, `<td data-label="Along row" class="n" data-sort=""></td>`, "an empty cell, which a card leaves out")
	assert.Contains(t, page, "unknown: off the ground")
}
