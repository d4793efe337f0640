//go:build browser

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sees keeps a picture of what the tab shows, to be looked at with
// go test -artifacts.
func sees(t *testing.T, tab context.Context, name string) {
	t.Helper()
	picture, err := chromedp.Run(tab, chromedp.CaptureScreenshot())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(t.ArtifactDir(), name+".png"), picture, 0o644))
}

// settle lets the page draw what it was asked to.
const settle = `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`

func settled(t *testing.T, tab context.Context) {
	t.Helper()
	_, err := chromedp.Run(tab, chromedp.Evaluate[bool](settle, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
}

// changed is how many dots of the map differ from when it was last asked, by
// more than a browser's own rounding, which is another on a canvas often read.
func changed(t *testing.T, tab context.Context) int {
	t.Helper()
	settled(t, tab)
	return ask[int](t, tab, `(() => { const c = document.querySelector("#view canvas"), d = c.getContext("2d").getImageData(0, 0, c.width, c.height).data, old = window.lastDots || d; let n = 0; for (let i = 0; i < d.length; i++) { if (Math.abs(d[i] - old[i]) > 24) { n++; } } window.lastDots = d; return n; })()`)
}

func scaleOf(t *testing.T, tab context.Context) float64 {
	t.Helper()
	settled(t, tab)
	// The bar says so many metres in so many px.
	return ask[float64](t, tab, `(() => { const s = document.getElementById("scale"), words = s.querySelector("text"); return (+words.getAttribute("x") - 8) / parseFloat(words.textContent); })()`)
}

func act(t *testing.T, tab context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	for _, a := range actions {
		require.NoError(t, chromedp.Do(tab, a))
	}
	settled(t, tab)
}

func TestPageMapMovesAbout(t *testing.T) {
	tab, asked, complaints := openPage(t, demoPage(t), 1280, 900)
	ask[bool](t, tab, `(document.getElementById("view").scrollIntoView({block: "center"}), true)`)
	require.False(t, ask[bool](t, tab, `document.getElementById("live").hidden`))
	assert.Zero(t, ask[int](t, tab, `document.querySelector("figure.map").getClientRects().length`), "the printed map waits")
	_, err := chromedp.Run(tab, chromedp.Evaluate[bool](`new Promise((done) => setTimeout(() => done(true), 300))`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	sees(t, tab, "whole")
	first := scaleOf(t, tab)

	box := ask[[]float64](t, tab, `(() => { const b = document.getElementById("view").getBoundingClientRect(); return [b.left, b.top, b.width, b.height]; })()`)
	x, y := box[0]+box[2]/2, box[1]+box[3]/2

	// Level and place are those of the ground under the pointer.
	act(t, tab, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y))
	assert.Regexp(t, `^E 5001\d\d\.\d, N 31000\d\d\.\d m; ground 9\d\.\d\d m$`, ask[string](t, tab, `document.getElementById("place").textContent`))

	// The wheel is the page's until the map has been pressed.
	wheel := func(dy float64) chromedp.Action[chromedp.Void] {
		return chromedp.MouseEvent(input.DispatchMouseEventTypeMouseWheel, x, y, func(p *input.DispatchMouseEventParams) { p.DeltaX, p.DeltaY = 0.01, dy })
	}
	act(t, tab, chromedp.MouseClickXY(x, box[1]+4))
	act(t, tab, wheel(-300))
	assert.Greater(t, scaleOf(t, tab), 1.5*first)
	act(t, tab, chromedp.KeyEvent("0"))
	assert.InDelta(t, first, scaleOf(t, tab), 1e-6)

	for _, way := range []struct {
		name  string
		there chromedp.Action[chromedp.Void]
		times float64
	}{
		{"plus", chromedp.KeyEvent("+"), 1.4}, {"minus", chromedp.KeyEvent("-"), 1 / 1.4},
	} {
		before := scaleOf(t, tab)
		act(t, tab, way.there)
		assert.InEpsilon(t, way.times, scaleOf(t, tab)/before, 0.02, way.name)
	}
	act(t, tab, chromedp.KeyEvent("0"))
	act(t, tab, chromedp.KeyEvent("+"), chromedp.KeyEvent("+"), chromedp.KeyEvent(kb.ArrowRight))
	changed(t, tab)
	act(t, tab, chromedp.KeyEvent(kb.ArrowRight))
	assert.Greater(t, changed(t, tab), 1000)
	assert.Contains(t, ask[string](t, tab, `document.getElementById("place").textContent`), "ground", "the keyboard asks the middle")
	sees(t, tab, "by-keyboard")
	act(t, tab, chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)), chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+120, y+40, chromedp.ButtonLeft), chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x+120, y+40, chromedp.ButtonLeft))
	place := ask[string](t, tab, `document.getElementById("place").textContent`)
	act(t, tab, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+120, y+40))
	assert.Equal(t, place, ask[string](t, tab, `document.getElementById("place").textContent`), "the ground goes with the pointer")
	ask[bool](t, tab, `document.querySelector('[data-do="closer"]').click() || true`)
	ask[bool](t, tab, `document.querySelector('[data-do="whole"]').click() || true`)
	assert.InDelta(t, first, scaleOf(t, tab), 1e-6)

	// Every layer can be left out and leaves its part of the legend with it.
	for _, layer := range ask[[]string](t, tab, `[...document.querySelectorAll("[data-layer]")].map((e) => e.dataset.layer)`) {
		tick := fmt.Sprintf(`document.querySelector('[data-layer="%s"]')`, layer)
		on := ask[bool](t, tab, tick+`.checked`)
		changed(t, tab)
		if layer != "shade" {
			assert.Equal(t, on, ask[bool](t, tab, tick+`.closest(".layer").querySelector("ul") !== null`), "%s: the legend tells what is shown", layer)
		}
		ask[bool](t, tab, tick+`.click() || true`)
		assert.Greater(t, changed(t, tab), 300, "%s is drawn", layer)
		if layer == "odds" {
			sees(t, tab, "odds")
		}
		if layer != "shade" {
			assert.Equal(t, !on, ask[bool](t, tab, tick+`.closest(".layer").querySelector("ul") !== null`), layer)
		}
		ask[bool](t, tab, tick+`.click() || true`)
		assert.Greater(t, changed(t, tab), 300, "%s comes back", layer)
	}

	for _, r := range asked() {
		assert.True(t, strings.HasPrefix(r, "data:") || strings.HasPrefix(r, "file://"), "asked for %s", r)
	}
	assert.Empty(t, complaints())
}

func TestPageMapAndTableChooseTheSameTree(t *testing.T) {
	tab, _, complaints := openPage(t, demoPage(t), 1280, 900)
	name := `document.getElementById("chosen-name").textContent.trim()`
	picked := `[...document.querySelectorAll("#trees tr.picked td.id")].map((e) => e.textContent)`

	// From the table to the map.
	row := ask[[]string](t, tab, `(() => { const r = document.querySelector("#trees tbody tr"); r.querySelector("td.id button").click(); return [r.querySelector("td.id").textContent, r.querySelector("td.why").textContent, r.querySelector("td.do").textContent]; })()`)
	assert.Equal(t, row[0], ask[string](t, tab, name))
	assert.Equal(t, "view", ask[string](t, tab, `document.activeElement.id`))
	for _, words := range row[1:] {
		assert.Contains(t, ask[string](t, tab, `document.getElementById("chosen-says").textContent`), words)
	}
	assert.Equal(t, row[:1], ask[[]string](t, tab, picked))
	settled(t, tab)
	sees(t, tab, "chosen")

	// From the map to the table, by a press on the mark.
	act(t, tab, chromedp.KeyEvent(kb.Escape))
	assert.Equal(t, "No tree chosen", ask[string](t, tab, name))
	assert.Empty(t, ask[[]string](t, tab, picked))
	act(t, tab, chromedp.KeyEvent("n"))
	first := ask[string](t, tab, name)
	assert.Equal(t, "A-1", first, "in planting order")
	act(t, tab, chromedp.KeyEvent("n"), chromedp.KeyEvent("n"), chromedp.KeyEvent("p"))
	assert.Equal(t, "A-2", ask[string](t, tab, name))
	assert.Contains(t, ask[string](t, tab, `document.getElementById("heard").textContent`), "A-2: ")
	_, err := chromedp.Call(tab, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeRawKeyDown, Key: "Enter", Code: "Enter"})
	require.NoError(t, err)
	assert.Equal(t, "A-2", ask[string](t, tab, `document.activeElement.textContent`), "Enter goes to the row")
	act(t, tab, chromedp.KeyEvent(kb.Enter))
	assert.Equal(t, "view", ask[string](t, tab, `document.activeElement.id`), "and back")

	// A row that the table leaves out is brought back when it is gone to.
	ask[bool](t, tab, `document.getElementById("only-flagged").click() || true`)
	ask[bool](t, tab, `document.querySelector('[data-do="row"]').click() || true`)
	assert.False(t, ask[bool](t, tab, `document.querySelector("#trees tr.picked").hidden`))

	// Feet, in the map and in the table.
	ask[bool](t, tab, `document.querySelector('input[name="units"][value="feet"]').click() || true`)
	settled(t, tab)
	assert.Contains(t, ask[string](t, tab, `document.getElementById("scale").textContent`), " ft")
	assert.Contains(t, ask[string](t, tab, `document.getElementById("layers").textContent`), "2 to 6 in")
	assert.Contains(t, ask[string](t, tab, `document.querySelector('#trees tr.picked td[data-label="Along row"]').textContent`), " ft")
	ask[bool](t, tab, `document.querySelector('input[name="units"][value="metric"]').click() || true`)
	assert.Contains(t, ask[string](t, tab, `document.querySelector('#trees tr.picked td[data-label="Along row"]').textContent`), " m")
	assert.Empty(t, complaints())
}

func TestPageMapByFingers(t *testing.T) {
	tab, _, complaints := openPage(t, demoPage(t), 360, 740)
	ask[bool](t, tab, `(document.getElementById("view").scrollIntoView({block: "center"}), true)`)
	before := scaleOf(t, tab)
	box := ask[[]float64](t, tab, `(() => { const b = document.getElementById("view").getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; })()`)
	touch := func(kind input.DispatchTouchEventType, apart ...float64) {
		points := []*input.TouchPoint{}
		for i, d := range apart {
			id := float64(i)
			points = append(points, &input.TouchPoint{X: box[0] + d, Y: box[1], ID: &id})
		}
		_, err := chromedp.Call(tab, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		require.NoError(t, err)
	}
	touch(input.DispatchTouchEventTypeTouchStart, -20, 20)
	touch(input.DispatchTouchEventTypeTouchMove, -40, 40)
	touch(input.DispatchTouchEventTypeTouchMove, -60, 60)
	touch(input.DispatchTouchEventTypeTouchEnd)
	assert.InEpsilon(t, 3, scaleOf(t, tab)/before, 0.05, "fingers three times as far apart")
	assert.LessOrEqual(t, ask[int](t, tab, `document.documentElement.scrollWidth`), 360)
	sees(t, tab, "phone")
	assert.Empty(t, complaints())
}

// The page is looked at from a small telephone to a very wide screen; nothing
// sticks out, and the general checker finds no barrier.
func TestPageIsAccessibleAtEveryWidth(t *testing.T) {
	tab, _, complaints := openPage(t, demoPage(t), 1280, 800)
	ask[bool](t, tab, `document.querySelector("#trees td.id button").click() || true`)
	ask[bool](t, tab, `[...document.querySelectorAll("details")].forEach((d) => { d.open = true; }) || true`)
	// Rows are all alike: those of the flagged trees stand for them.
	ask[bool](t, tab, `([...document.querySelectorAll("#trees tr.low")].forEach((r) => r.remove()), true)`)
	for _, size := range [][2]int64{{320, 640}, {390, 844}, {768, 1024}, {1280, 800}, {1920, 1080}, {3840, 2160}} {
		require.NoError(t, chromedp.Do(tab, chromedp.EmulateViewport(size[0], size[1])))
		settled(t, tab)
		assert.LessOrEqual(t, ask[int](t, tab, `document.documentElement.scrollWidth`), int(size[0]))
		for _, section := range []string{"map-section", "advice", "trust", "trees"} {
			require.True(t, ask[bool](t, tab, fmt.Sprintf(`(() => { const s = document.querySelector("section.%s"); s?.scrollIntoView(); return !!s; })()`, section)), section)
			settled(t, tab)
			sees(t, tab, fmt.Sprint(size[0], "-", section))
		}
		if size[0] == 390 || size[0] == 1280 {
			assert.Empty(t, barriers(t, tab), "at %d px", size[0])
		}
	}
	assert.Empty(t, complaints())
}
