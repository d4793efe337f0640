//go:build browser

package main

import (
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// onScreen is where a place of the ground lies on the page.
func (b *tab) onScreen(east, north float64) []float64 {
	b.t.Helper()
	return ask[[]float64](b.t, b, fmt.Sprintf(`(() => { const g = wetfeet.ground, box = document.getElementById("map").getBoundingClientRect(), s = wetfeet.view.toScreen(%g - g.west, g.north - %g); return [box.left + s[0], box.top + s[1]]; })()`, east, north))
}

// clickAt presses and lets go of the pointer at a place of the ground.
func (b *tab) clickAt(east, north float64) {
	b.t.Helper()
	at := b.onScreen(east, north)
	for _, kind := range []input.DispatchMouseEventType{input.DispatchMouseEventTypeMousePressed, input.DispatchMouseEventTypeMouseReleased} {
		_, err := chromedp.Call(b, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: at[0], Y: at[1], Button: input.MouseButtonLeft, ClickCount: 1})
		require.NoError(b.t, err)
	}
}

// draws takes up a kind of work to draw.
func (b *tab) draws(kind string) {
	b.t.Helper()
	ask[bool](b.t, b, `document.querySelector("input[name=hand][value=draw]").click() || true`)
	ask[bool](b.t, b, `document.querySelector("[data-kind=`+kind+`]").click() || true`)
	b.wait(`Math.abs(wetfeet.view.h - document.getElementById("map").clientHeight) < 1`) // it makes room for the tools
}

const (
	standing  = `wetfeet.view.depth.reduce((s, d) => s + Math.max(d, 0), 0)`
	worksTold = `!wetfeet.works.busy && ` + fullAnswer
)

// A ditch drawn out of the deepest hollow lets its water fall; its end is
// dragged, the water before is seen, and it is saved, taken back and read again.
func TestServedPageDraws(t *testing.T) {
	address, file := served(t)
	b := browse(t, address, 1280, 800)
	before := ask[float64](t, b, standing)
	stands := func(depth float64) { t.Helper(); b.wait(fmt.Sprintf(`Math.abs(%s - %g) < 1e-3`, standing, depth)) }
	b.draws("ditch")
	b.clickAt(500134, 3100030)
	b.clickAt(500134, 3100010)
	b.picture("drawing")
	b.click("work-end")
	b.wait(`wetfeet.reply.works.before && ` + worksTold)
	panel := `document.getElementById("work").textContent`
	assert.Contains(t, ask[string](t, b, panel), "under the ground", "it ends on the slope, deeper than that")

	// Its lower end, dragged off the site.
	from, to := b.onScreen(500134, 3100010), b.onScreen(500134, 3099998)
	b.drag(from[0], from[1], to[0], to[1])
	assert.InDelta(t, 3099998, ask[float64](t, b, `wetfeet.plan.now.works[0].line[1][1]`), 0.3)
	b.wait(worksTold)
	after := ask[float64](t, b, standing)
	assert.Less(t, after, before, "the water falls")
	assert.Greater(t, ask[float64](t, b, `wetfeet.reply.works.before.ponded - wetfeet.reply.works.after.ponded`), 1.0)
	words := ask[string](t, b, panel)
	assert.Contains(t, words, "Cut: ")
	assert.Contains(t, words, "m³")
	assert.NotContains(t, words, "under the ground")
	assert.Contains(t, words, "Before you dig")
	b.picture("drawn")
	ask[bool](t, b, `(document.getElementById("work").scrollIntoView(), true)`)
	b.picture("drawn-panel")
	ask[bool](t, b, `(document.querySelector(".side").scrollTop = 0, true)`)

	// The water before, as long as the button is held.
	hold := func(kind string) {
		ask[bool](t, b, `document.getElementById("work-before").dispatchEvent(new Event("`+kind+`", {cancelable: true}))`)
	}
	hold("pointerdown")
	stands(before)
	b.picture("drawn-before")
	hold("pointerup")
	stands(after)

	// In feet, soil is in cubic yards.
	units := func(name string) {
		ask[bool](t, b, `(() => { const e = document.getElementById("units"); e.value = "`+name+`"; e.dispatchEvent(new Event("change", {bubbles: true})); return true; })()`)
	}
	units("feet")
	b.wait(panel + `.includes("yd³") && !` + panel + `.includes(" m³")`)
	units("metric")
	b.wait(panel + `.includes(" m³")`)
	b.wait(worksTold)

	b.click("save")
	b.wait(`document.getElementById("notice").textContent.startsWith("Saved")`)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), "[[link]]\nname  = \"Ditch 1\"")
	b.click("undo") // the drag
	b.click("undo")
	b.wait(`wetfeet.plan.now.works.length === 0 && ` + worksTold)
	stands(before)

	// A wall after that, by keys, while the file has a ditch that the plan has
	// not.
	b.draws("wall")
	b.press(kb.Enter)
	for range 12 {
		b.press(kb.ArrowDown)
	}
	b.press(kb.Enter)
	b.press(kb.Escape)
	b.wait(`wetfeet.plan.now.works.length === 1 && wetfeet.reply.works.fill > 0 && ` + worksTold)
	assert.Greater(t, math.Abs(ask[float64](t, b, standing)-before), 0.01)
	b.click("undo")
	b.wait(worksTold)
	b.click("redo")
	b.wait(`wetfeet.plan.now.works[0].kind === "wall" && ` + worksTold)
	b.click("save")
	b.wait(`document.getElementById("save").disabled && document.getElementById("notice").textContent.startsWith("Saved")`)

	// Read again from the file.
	wall := ask[float64](t, b, standing)
	require.NoError(t, chromedp.Do(b, chromedp.Reload()))
	b.wait(`document.body.dataset.answered && wetfeet.reply && wetfeet.view.depth`)
	assert.Equal(t, []string{"wall Wall 1"}, ask[[]string](t, b, `wetfeet.plan.now.works.map((w) => w.kind + " " + w.name)`))
	stands(wall)
	b.quiet()
}

func (b *tab) press(keys string, o ...chromedp.KeyOption) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b, chromedp.KeyEvent(keys, o...)))
}

// tabTo goes on with the tab key, or back with shift, to an element.
func (b *tab) tabTo(selector string, o ...chromedp.KeyOption) {
	b.t.Helper()
	for range 80 {
		b.press(kb.Tab, o...)
		if ask[bool](b.t, b, "document.activeElement.matches(`"+selector+"`)") {
			return
		}
	}
	b.t.Fatalf("the tab key does not reach %s", selector)
}

// A wall drawn, moved, held against the water before, saved and removed with
// keys alone, and every kind of work.
func TestServedPageDrawsByKeyboard(t *testing.T) {
	address, file := served(t)
	b := browse(t, address, 1280, 800)
	b.tabTo("input[name=hand]")
	for range 4 {
		b.press(kb.ArrowRight)
	}
	assert.Equal(t, "draw", ask[string](t, b, `document.activeElement.value`))
	before := ask[float64](t, b, standing)
	b.tabTo("[data-kind=wall]")
	b.press(kb.Enter)
	assert.Equal(t, "map", ask[string](t, b, `document.activeElement.id`), "the hand is on the map")
	b.press(kb.Enter)
	for range 12 {
		b.press(kb.ArrowDown)
	}
	b.press(kb.Enter)
	b.press(kb.Escape)
	b.wait(`wetfeet.plan.now.works.length === 1 && ` + worksTold)
	assert.Positive(t, ask[float64](t, b, `wetfeet.reply.works.fill`))
	b.picture("wall")
	after := ask[float64](t, b, standing)
	b.tabTo("#work-before")
	key := func(kind input.DispatchKeyEventType) {
		t.Helper()
		_, err := chromedp.Call(b, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: " ", Code: "Space", WindowsVirtualKeyCode: 32})
		require.NoError(t, err)
	}
	key(input.DispatchKeyEventTypeRawKeyDown)
	b.wait(fmt.Sprintf(`Math.abs(%s - %g) < 1e-3`, standing, before))
	key(input.DispatchKeyEventTypeKeyUp)
	b.wait(fmt.Sprintf(`Math.abs(%s - %g) < 1e-3`, standing, after))
	b.press("s", chromedp.KeyModifiers(kb.ModifierCtrl))
	b.wait(`document.getElementById("notice").textContent.startsWith("Saved")`)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), "name   = \"Wall 1\"")

	b.tabTo("#map", chromedp.KeyModifiers(kb.ModifierShift))
	b.press("n") // its first point
	assert.Contains(t, ask[string](t, b, `document.getElementById("work-say").textContent`), "Wall 1, point 1 of 2: arrow keys move it.")
	line := `JSON.stringify(wetfeet.plan.now.works[0].line)`
	was := ask[string](t, b, line)
	b.press(kb.ArrowLeft)
	b.press(kb.ArrowLeft)
	b.wait(line + ` !== ` + fmt.Sprintf("%q", was))
	b.wait(worksTold)
	b.press("z", chromedp.KeyModifiers(kb.ModifierCtrl))
	assert.Equal(t, was, ask[string](t, b, line), "the two steps are one change")
	ask[bool](t, b, `(document.querySelector('[data-field="Wall 1 height"]').focus(), document.activeElement.select(), true)`)
	b.press("0.2")
	b.press(kb.Enter)
	b.wait(`wetfeet.plan.now.works[0].height === 0.2 && ` + worksTold)
	assert.Equal(t, "Wall 1 height", ask[string](t, b, `document.activeElement.dataset.field`), "the focus stays")
	ask[bool](t, b, `document.getElementById("map").focus() || true`)
	b.press(kb.Delete)
	b.wait(`wetfeet.plan.now.works.length === 0 && ` + worksTold)

	for _, kind := range []string{"mound", "bed", "ditch", "pipe"} {
		b.draws(kind)
		if kind == "pipe" { // out of the deepest hollow
			ask[bool](t, b, `(wetfeet.view.x = 500134 - wetfeet.ground.west, wetfeet.view.y = wetfeet.ground.north - 3100030, wetfeet.view.draw(), true)`)
		}
		b.press(kb.Enter)
		if kind != "mound" {
			b.press(kb.ArrowDown, chromedp.KeyModifiers(kb.ModifierShift))
			b.press(kb.Enter)
			b.press(kb.Escape)
		}
		b.wait(`wetfeet.plan.now.works.at(-1)?.kind === "` + kind + `" && ` + worksTold)
	}
	b.picture("kinds")
	b.quiet()
}

func TestServedPageDrawsOnAPhone(t *testing.T) {
	for _, size := range [][2]int64{{390, 844}, {320, 640}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			address, _ := served(t)
			b := browse(t, address, size[0], size[1])
			b.draws("ditch")
			b.clickAt(500134, 3100030)
			b.clickAt(500134, 3099998)
			b.click("work-end")
			b.wait(`wetfeet.plan.now.works.length === 1 && wetfeet.reply.works.before && ` + worksTold)
			assert.LessOrEqual(t, ask[int](t, b, `document.documentElement.scrollWidth`), int(size[0]))
			assert.True(t, ask[bool](t, b, `(() => { const r = document.getElementById("work-before").getBoundingClientRect(); return r.height > 0 && r.bottom <= innerHeight; })()`), "the water before is seen beside the map")
			b.picture(fmt.Sprintf("draw-%d", size[0]))
			ask[bool](t, b, `(document.getElementById("work").scrollIntoView(), true)`)
			b.picture(fmt.Sprintf("draw-%d-panel", size[0]))
			b.quiet()
			assert.Empty(t, barriers(t, b))
		})
	}
}
