//go:build browser

package main

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What to do about a tree is what the table is read for: it stands within the
// window at every width, and so does all else but what scrolls by itself.
func TestPageShowsWhatToDoAtEveryWidth(t *testing.T) {
	pages := map[string]string{"heron bend": demoPage(t), "names of several words": meusePage(t)}
	for name, page := range pages {
		for _, width := range []int64{390, 720, 800, 950, 970, 1000, 1100, 1200, 1600} {
			t.Run(fmt.Sprintf("%s at %d px", name, width), func(t *testing.T) {
				tab, _, complaints := openPage(t, page, width, 900)
				assert.LessOrEqual(t, ask[int](t, tab, `document.documentElement.scrollWidth`), int(width), "nothing sticks out sideways")
				const outside = `[...document.querySelectorAll("#trees td.do")].filter(d => { const b = d.getBoundingClientRect(); return b.width < 60 || b.left < 0 || b.right > innerWidth; }).length`
				assert.Zero(t, ask[int](t, tab, outside), "every cell that says what to do is in the window")

				shown := func(selector string) int {
					return ask[int](t, tab, fmt.Sprintf(`[...document.querySelectorAll(%q)].filter(e => e.getClientRects().length > 0).length`, selector))
				}
				assert.Equal(t, shown("#trees thead") > 0, shown("#sort-by") == 0, "headings to press, or a list to sort by")
				assert.Equal(t, shown("#trees thead") > 0, shown(".heads-only") > 0, "headings are spoken of where there are some")
				assert.NotEqual(t, shown("div.wide") > 0, shown("div.narrow") > 0, "one drawing of each row")
				// No word of a picture is too small to read.
				const small = `Math.min(...[...document.querySelectorAll(".section svg text")].filter(e => e.getClientRects().length > 0).map(e => e.ownerSVGElement.getScreenCTM().a * parseFloat(getComputedStyle(e).fontSize)))`
				assert.GreaterOrEqual(t, ask[float64](t, tab, small), 8.99)
				assert.Empty(t, complaints())
			})
		}
	}
}

func meusePage(t *testing.T) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	status, _, stderr := wetfeet(t, "assess", "../../testdata/meuse/meuse.toml", "-o", out)
	require.Equal(t, exitOK, status, stderr)
	return filepath.Join(out, "report.html")
}

func TestPageOnAPhoneSortsByAList(t *testing.T) {
	tab, _, _ := openPage(t, demoPage(t), 390, 800)
	ask[bool](t, tab, `(() => { const s = document.getElementById("sort-by"); s.value = [...s.options].find(o => o.text === "Stake").value; s.dispatchEvent(new Event("change")); return true; })()`)
	assert.Equal(t, "A-1", ask[string](t, tab, `document.querySelector("#trees tbody tr").cells[1].textContent`))

	// The name of a stake is not broken in two.
	const lines = `Math.max(...[...document.querySelectorAll("#trees td.id .together")].map(e => e.getClientRects().length))`
	assert.Equal(t, 1, ask[int](t, tab, lines))

	// A tree on its own says nothing of a row.
	const empty = `[...document.querySelectorAll('#trees td[data-label="Along row"]')].filter(d => d.textContent === "" && d.getClientRects().length > 0).length`
	assert.Zero(t, ask[int](t, tab, empty))
}

// The map as it prints can be made as large as its words need, and moved about in.
func TestPageShowsTheMapAtFullSize(t *testing.T) {
	tab, asked, _ := openPage(t, demoPage(t), 390, 800)
	width := func() float64 {
		return ask[float64](t, tab, `document.querySelector(".map img").getBoundingClientRect().width`)
	}
	ask[bool](t, tab, `document.getElementById("as-printed").click() || true`)
	assert.LessOrEqual(t, width(), 390.0)
	before := len(asked())
	ask[bool](t, tab, `document.querySelector(".map img").click() || true`)
	assert.GreaterOrEqual(t, width(), 1600.0, "pressing the map enlarges it")
	assert.True(t, ask[bool](t, tab, `document.querySelector(".zoom").scrollWidth > document.querySelector(".zoom").clientWidth`))
	assert.LessOrEqual(t, ask[int](t, tab, `document.documentElement.scrollWidth`), 390)
	assert.Len(t, asked(), before, "without asking for anything")
	ask[bool](t, tab, `document.querySelector(".map img").click() || true`)
	assert.LessOrEqual(t, width(), 390.0)
}
