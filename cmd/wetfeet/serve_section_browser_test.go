//go:build browser

package main

import (
	"regexp"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// place is where on the page a share of the map's width and height lies.
func (b *tab) place(x, y float64) (px, py float64) {
	b.t.Helper()
	box := ask[[]float64](b.t, b, `(() => { const r = document.getElementById("map").getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`)
	return box[0] + x*box[2], box[1] + y*box[3]
}

// A long section along a line drawn on the map.
func TestServedPageCutsAlongALine(t *testing.T) {
	address, _ := served(t)
	b := browse(t, address, 1280, 800)
	ask[bool](t, b, `document.querySelector("input[name=hand][value=cut]").click() || true`)
	x0, y0 := b.place(0.38, 0.82)
	x1, y1 := b.place(0.84, 0.32)
	b.drag(x0, y0, x1, y1)
	b.wait(`wetfeet.cut.drawn && wetfeet.cut.whole && !wetfeet.cut.open`)
	b.picture("section-drawn")

	// Its trees are those that stand within half a spacing of it, by the
	// distances of package planar.
	line := ask[orb.LineString](t, b, `wetfeet.cut.line`)
	type tree struct {
		ID, Row string
		At      orb.Point
	}
	trees := ask[[]tree](t, b, `wetfeet.reply.trees.map((t) => ({ID: t.id, Row: t.row || "", At: [t.gx, t.gy]}))`)
	spacing := ask[map[string]float64](t, b, `Object.fromEntries(wetfeet.plan.now.rows.map((r) => [r.name, r.spacing]))`)
	least := 1e9
	for _, s := range spacing {
		least = min(least, s)
	}
	var want []string
	for _, tr := range trees {
		s, ok := spacing[tr.Row]
		if !ok {
			s = least
		}
		if planar.DistanceFrom(line, tr.At) <= s/2 {
			want = append(want, tr.ID)
		}
	}
	require.NotEmpty(t, want)
	assert.ElementsMatch(t, want, ask[[]string](t, b, `[...document.querySelectorAll("#cut-picture .tree")].map((g) => g.dataset.tree)`))

	// The scale that is stated is that of the picture: levels and distances
	// measured on it.
	stated := regexp.MustCompile(`exactly ([0-9.]+) times`).FindStringSubmatch(ask[string](t, b, `document.getElementById("cut-scale").textContent`))
	require.NotNil(t, stated)
	times, err := strconv.ParseFloat(stated[1], 64)
	require.NoError(t, err)
	read := ask[[]float64](t, b, `(() => {
		const texts = [...document.querySelectorAll("#cut-picture svg > text[fill]")].map((e) => ({x: +e.getAttribute("x"), y: +e.getAttribute("y"), end: e.getAttribute("text-anchor") === "end" && +e.getAttribute("x") < 100, v: parseFloat(e.textContent)}));
		const up = texts.filter((e) => e.end), out = texts.filter((e) => !e.end && /^[0-9.]+$/.test(String(e.v))), foot = Math.max(...out.map((e) => e.y)), along = out.filter((e) => e.y === foot);
		const ticks = [...document.querySelectorAll("#cut-picture svg > path")].map((p) => /^M([0-9.]+) [0-9.]+v5$/.exec(p.getAttribute("d"))).filter(Boolean).map((m) => +m[1]);
		return [Math.abs(up[1].y - up[0].y) / Math.abs(up[1].v - up[0].v), (ticks[1] - ticks[0]) / (along[1].v - along[0].v)];
	})()`)
	assert.InEpsilon(t, times, read[0]/read[1], 0.01)

	// The lines lie where the water stands: highest over a day after over two.
	levels := ask[[]float64](t, b, `(() => { const w = wetfeet.water, n = wetfeet.ground.most + 1, k = w.courses[0][0], at = (t) => Math.max(w.levels(new Float64Array(n), t)[k], -1); return [at("peak"), at(w.storm.ends + 24), at(w.storm.ends + 48)]; })()`)
	assert.GreaterOrEqual(t, levels[0], levels[1])
	assert.GreaterOrEqual(t, levels[1], levels[2])
	key := ask[string](t, b, `document.getElementById("cut-key").textContent`)
	for _, words := range []string{"highest", "a day after the rain", "2 days after", "4 days after", "8 days after", "root crown"} {
		assert.Contains(t, key, words)
	}

	// A point of it pulled elsewhere, and a tree of it chosen.
	x2, y2 := b.place(0.84, 0.7)
	b.drag(x1, y1, x2, y2)
	assert.Greater(t, ask[float64](t, b, `wetfeet.cut.line[1][1]`), line[1][1]+5)
	ask[bool](t, b, `document.querySelector("#cut-picture .tree").dispatchEvent(new MouseEvent("click", {bubbles: true})) || true`)
	assert.True(t, ask[bool](t, b, `wetfeet.selected !== "" && wetfeet.cut.drawn`), "the section stays")
	ask[bool](t, b, `(() => { const s = document.getElementById("cut-row"); s.value = "A"; s.dispatchEvent(new Event("change")); return true; })()`)
	assert.False(t, ask[bool](t, b, `wetfeet.cut.drawn`))

	// By keys alone.
	press := func(keys string) { require.NoError(t, chromedp.Do(b, chromedp.KeyEvent(keys))) }
	ask[bool](t, b, `(wetfeet.cut.line = null, document.getElementById("map").focus(), true)`)
	press(kb.Enter)
	press(kb.ArrowRight)
	press(kb.Enter)
	press(kb.Escape)
	assert.True(t, ask[bool](t, b, `wetfeet.cut.drawn && wetfeet.cut.line.length === 2 && !wetfeet.cut.open`))
	b.quiet()
}

// The section at the sizes of a phone and of a large screen.
func TestServedPageCutsOnEveryScreen(t *testing.T) {
	address, _ := served(t)
	for _, size := range [][2]int64{{390, 844}, {3840, 2160}} {
		b := browse(t, address, size[0], size[1])
		ask[bool](t, b, `document.querySelector("input[name=hand][value=cut]").click() || true`)
		x0, y0 := b.place(0.25, 0.75)
		x1, y1 := b.place(0.8, 0.45)
		b.drag(x0, y0, x1, y1)
		b.wait(`wetfeet.cut.drawn && wetfeet.cut.whole`)
		assert.LessOrEqual(t, ask[int](t, b, `document.documentElement.scrollWidth`), int(size[0]))
		b.picture("section-" + strconv.FormatInt(size[0], 10))
		if size[0] < 800 {
			ask[bool](t, b, `(document.getElementById("cut").scrollIntoView({block: "end"}), true)`)
			b.picture("section-phone-below")
		}
		b.quiet()
	}
}
