//go:build browser

package main

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lockedBuffer is written by a server and read by a test.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// served begins wetfeet serve on a copy of the invented site and returns the
// address of the page and the site file.
func served(t *testing.T) (address, file string) {
	t.Helper()
	return servedWithDraws(t, 0) // odds are told by tests of their own
}

func servedWithDraws(t *testing.T, draws int) (address, file string) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(heronBend)))
	file = filepath.Join(dir, "heron-bend.toml")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, fmt.Appendf(text, "\n[odds]\ndraws = %d\n", draws), 0o644))
	return serveFile(t, file), file
}

func serveFile(t *testing.T, args ...string) string {
	t.Helper()
	return servePage(t, append([]string{"serve"}, args...)...)
}

func servePage(t *testing.T, args ...string) string {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var out, errs lockedBuffer
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, args, &out, &errs) }()
	t.Cleanup(func() {
		cancel()
		assert.Equal(t, exitOK, <-ended, errs.String())
	})
	for range 400 {
		if _, rest, ok := strings.Cut(out.String(), "http://"); ok {
			where, _, _ := strings.Cut(rest, "\n")
			return "http://" + where
		}
		select {
		case status := <-ended:
			ended <- status
			t.Fatalf("the server ended: %d %s", status, errs.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	t.Fatal("the page was not served")
	return ""
}

// A tab is a page in the browser, with what it asked for and complained of.
type tab struct {
	context.Context
	t                 *testing.T
	mu                sync.Mutex
	asked, complaints []string
}

func browse(t *testing.T, address string, width, height int64) *tab {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, // the check may run as root, where there is no other way
		chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true),
	)...)
	t.Cleanup(cancel)
	c, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	b := &tab{Context: c, t: t}
	require.NoError(t, chromedp.Do(b, chromedp.EmulateViewport(width, height)))
	require.NoError(t, chromedp.Listen(b, func(ev any) {
		b.mu.Lock()
		defer b.mu.Unlock()
		switch e := ev.(type) {
		case *network.EventRequestWillBeSent:
			b.asked = append(b.asked, e.Request.URL)
		case *runtime.EventExceptionThrown:
			words := e.ExceptionDetails.Text
			if e.ExceptionDetails.Exception != nil {
				words += " " + e.ExceptionDetails.Exception.Description
			}
			b.complaints = append(b.complaints, words)
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "warning" {
				b.complaints = append(b.complaints, string(e.Type))
			}
		case *page.EventJavascriptDialogOpening:
			go func() {
				_, _ = chromedp.Call(b, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
			}()
		}
	}))
	require.NoError(t, chromedp.Do(b, chromedp.Navigate(address)))
	b.wait(`document.body.dataset.answered`)
	return b
}

// patience is how long a page may take for anything, on a machine that does
// much else.
const patience = 40 * time.Second

// wait waits until an expression holds in the page.
func (b *tab) wait(expression string) {
	b.t.Helper()
	for began := time.Now(); time.Since(began) < patience; time.Sleep(50 * time.Millisecond) {
		if ask[bool](b.t, b, "!!("+expression+")") {
			return
		}
	}
	b.picture("stuck")
	b.t.Fatalf("never came true: %s; notice: %s", expression, ask[string](b.t, b, `document.getElementById("notice").textContent`))
}

func (b *tab) quiet() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	assert.Empty(b.t, b.complaints)
}

// picture keeps what the page looks like, where WETFEET_PICTURES names a
// folder, to be looked at.
func (b *tab) picture(name string) {
	b.t.Helper()
	dir := os.Getenv("WETFEET_PICTURES")
	if dir == "" {
		return
	}
	time.Sleep(300 * time.Millisecond)
	png, err := chromedp.Run(b, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644))
}

func TestServedPageOpens(t *testing.T) {
	address, _ := served(t)
	b := browse(t, address, 1280, 800)
	assert.Contains(t, ask[string](t, b, `document.title`), "Heron Bend")
	assert.Contains(t, ask[string](t, b, `document.getElementById("lead").textContent`), "of the 336 planned trees")
	b.picture("1280x800")
	for _, r := range b.asked {
		u := strings.TrimPrefix(r, "blob:")
		assert.True(t, strings.HasPrefix(u, address) || strings.HasPrefix(u, "data:"), "asked for %s", r)
	}
	b.quiet()
	host, _, err := net.SplitHostPort(strings.TrimSuffix(strings.TrimPrefix(address, "http://"), "/"))
	require.NoError(t, err)
	assert.Equal(t, "127.0.0.1", host)
}

func TestServedPageTellsTheOdds(t *testing.T) {
	address, _ := servedWithDraws(t, 20)
	b := browse(t, address, 1280, 800)
	b.wait(`document.body.dataset.answered === "sure"`)
	b.wait(`wetfeet.view.hasOdds`)
	ask[bool](t, b, `document.querySelector('[data-layer="water"]').click() || document.querySelector('[data-layer="odds"]').click() || true`)
	ask[bool](t, b, `document.querySelector("#trees tbody button").click() || true`)
	assert.Contains(t, ask[string](t, b, `document.getElementById("one-body").textContent`), "Odds of losing it")
	b.picture("odds")

	// The advice for the tree, taken and taken back.
	id := ask[string](t, b, `wetfeet.selected`)
	ask[bool](t, b, `document.querySelector("#one-body .buttons button").click() || true`)
	b.wait(`document.body.dataset.answered === "sure" && !wetfeet.byID.get("` + id + `").flagged`)
	b.picture("advice")
	b.click("undo")
	b.wait(`document.body.dataset.answered === "sure" && wetfeet.byID.get("` + id + `").flagged`)
	b.wait(`document.querySelector("#advice:not(.old) #advice-body .main:not(:disabled)")`)
	assert.True(t, ask[bool](t, b, `document.getElementById("accept").hidden`), "there is one button for all of it")
	ask[bool](t, b, `document.querySelector("#advice-body .main").click() || true`)
	b.wait(`document.body.dataset.answered === "sure" && wetfeet.reply.trees.filter((t) => t.flagged).length < 3`)
	b.picture("accepted")
	b.quiet()
}

// slide moves a slider as a hand does.
func (b *tab) slide(id, value string) {
	b.t.Helper()
	ask[bool](b.t, b, `(() => { const e = document.getElementById("`+id+`"); e.value = `+value+`; e.dispatchEvent(new Event("input", {bubbles: true})); e.dispatchEvent(new Event("change", {bubbles: true})); return true; })()`)
}

func (b *tab) click(id string) {
	b.t.Helper()
	ask[bool](b.t, b, `document.getElementById("`+id+`").click() || true`)
}

// drag moves the pointer from one place of the page to another.
func (b *tab) drag(x0, y0, x1, y1 float64) {
	b.t.Helper()
	mouse := func(kind input.DispatchMouseEventType, x, y float64) {
		p := input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, ClickCount: 1}
		if kind == input.DispatchMouseEventTypeMouseMoved {
			p.Buttons = 1
		}
		_, err := chromedp.Call(b, input.DispatchMouseEvent, p)
		require.NoError(b.t, err)
	}
	mouse(input.DispatchMouseEventTypeMousePressed, x0, y0)
	for k := 1.0; k <= 5; k++ {
		mouse(input.DispatchMouseEventTypeMouseMoved, x0+(x1-x0)*k/5, y0+(y1-y0)*k/5)
	}
	mouse(input.DispatchMouseEventTypeMouseReleased, x1, y1)
}

const fullAnswer = `document.body.dataset.answered === "likely" && !wetfeet.follower.busy`

func TestServedPagePlays(t *testing.T) {
	address, file := served(t)
	b := browse(t, address, 1280, 800)

	// The storm.
	depth := `wetfeet.reply.trees.reduce((s, t) => s + t.depth, 0)`
	before := ask[float64](t, b, depth)
	b.slide("rain", "20")
	b.wait(`wetfeet.reply.storm.rain === 20`)
	assert.Less(t, ask[float64](t, b, depth), before)
	b.wait(fullAnswer)
	b.picture("20mm")
	wet := `wetfeet.view.depth.reduce((n, d) => n + (d > 0), 0)`
	b.click("undo")
	b.wait(`wetfeet.reply.storm.rain === 150`)
	atEnd := ask[int](t, b, wet)
	b.slide("when", "600")
	assert.Contains(t, ask[string](t, b, `document.getElementById("when-out").textContent`), "after the rain")
	assert.Less(t, ask[int](t, b, wet), atEnd, "the water falls")
	b.picture("later")
	b.slide("when", "300")
	b.click("redo")
	b.wait(`wetfeet.reply.storm.rain === 20`)

	// A row's end, dragged.
	ask[bool](t, b, `document.querySelector("input[name=hand][value=move]").click() || true`)
	at := ask[[]float64](t, b, `(() => { const r = wetfeet.plan.now.rows[2], g = wetfeet.ground, box = document.getElementById("map").getBoundingClientRect(), p = r.line[1], s = wetfeet.view.toScreen(p[0] - g.west, g.north - p[1]); return [box.left + s[0], box.top + s[1]]; })()`)
	end := `wetfeet.plan.now.rows[2].line[1][1]`
	was := ask[float64](t, b, end)
	b.drag(at[0], at[1], at[0]-20, at[1]+30)
	b.picture("dragged")
	assert.Less(t, ask[float64](t, b, end), was-1)
	b.wait(fullAnswer)
	moved := ask[float64](t, b, `wetfeet.byID.get("C-2").y`)

	// Spacing, by its field.
	ask[bool](t, b, `(() => { const i = document.querySelector('[data-field="spacing"]'); i.value = 5; i.dispatchEvent(new Event("change", {bubbles: true})); return true; })()`)
	b.wait(`wetfeet.reply.trees.filter((t) => t.row === "C").length < 30`)
	b.click("undo")
	b.wait(`wetfeet.reply.trees.filter((t) => t.row === "C").length > 50 && ` + fullAnswer)
	assert.Equal(t, moved, ask[float64](t, b, `wetfeet.byID.get("C-2").y`))

	// Saved and read again.
	b.click("save")
	b.wait(`document.getElementById("notice").textContent.startsWith("Saved")`)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), `rain     = "20 mm"`)
	assert.Contains(t, string(text), "# the track crosses here")
	assert.True(t, ask[bool](t, b, `document.getElementById("save").disabled`))
	require.NoError(t, chromedp.Do(b, chromedp.Reload()))
	b.wait(`document.body.dataset.answered && wetfeet.reply`)
	assert.Equal(t, 20, ask[int](t, b, `wetfeet.plan.now.storm.rain`))
	assert.InDelta(t, moved, ask[float64](t, b, `wetfeet.byID.get("C-2").y`), 0.01)

	// An editor in between.
	require.NoError(t, os.WriteFile(file, append([]byte("# by hand\n"), text...), 0o644))
	b.slide("rain", "33")
	b.wait(`wetfeet.reply.storm.rain === 33`)
	b.click("save")
	b.wait(`document.getElementById("notice").textContent.includes("changed meanwhile")`)
	now, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(now), `rain     = "20 mm"`)
	b.picture("conflict")
	b.mu.Lock()
	defer b.mu.Unlock()
	assert.Empty(t, b.complaints)
}

func TestServedPageOnAPhone(t *testing.T) {
	address, _ := served(t)
	for _, size := range [][2]int64{{390, 844}, {320, 640}, {1920, 1080}} {
		b := browse(t, address, size[0], size[1])
		assert.LessOrEqual(t, ask[int](t, b, `document.documentElement.scrollWidth`), int(size[0]), "nothing sticks out sideways: %v", ask[[]string](t, b, `[...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.tagName + "#" + e.id + "." + e.className).slice(0, 5)`))
		b.picture(fmt.Sprintf("%dx%d-top", size[0], size[1]))
		ask[bool](t, b, `document.querySelector("#trees tbody button").click() || true`)
		b.picture(fmt.Sprintf("%dx%d", size[0], size[1]))
		if size[0] < 800 {
			ask[bool](t, b, `(document.getElementById("one").scrollIntoView(), true)`)
			b.picture(fmt.Sprintf("%dx%d-below", size[0], size[1]))
		}
		b.quiet()
	}
}

func TestServedPageIsAccessible(t *testing.T) {
	check := func(b *tab, what string) {
		t.Helper()
		assert.Empty(t, barriers(t, b), what)
	}
	address, _ := served(t)
	b := browse(t, address, 1280, 800)
	ask[bool](t, b, `document.querySelector("#trees tbody button").click() || true`)
	ask[bool](t, b, `[...document.querySelectorAll("details")].forEach((d) => { d.open = true; }) || true`)
	check(b, "the map")
	check(browse(t, address, 360, 740), "on a phone")
	start := serveFile(t, filepath.Join(t.TempDir(), "new"))
	check(browse(t, start, 1000, 900), "a new site")
	check(browse(t, start, 360, 740), "a new site on a phone")
}

// Without a pointer: the tab key reaches everything, the map moves, every tree
// can be told of.
func TestServedPageByKeyboard(t *testing.T) {
	address, _ := served(t)
	b := browse(t, address, 1280, 800)
	press := func(keys string, o ...chromedp.KeyOption) {
		require.NoError(t, chromedp.Do(b, chromedp.KeyEvent(keys, o...)))
	}
	where := `(() => { const e = document.activeElement; return e === document.body ? "BODY" : e.id || e.dataset.layer || e.dataset.field || e.value || e.textContent.trim().slice(0, 30) || e.tagName; })()`
	var stops []string
	for range 120 {
		press(kb.Tab)
		at := ask[string](t, b, where)
		if len(stops) > 0 && at == stops[0] || at == "BODY" {
			break
		}
		assert.True(t, ask[bool](t, b, `(() => { const s = getComputedStyle(document.activeElement), t = document.activeElement; return s.outlineStyle !== "none" || t.matches("input[type=radio]") || t.classList.contains("skip"); })()`), "%s shows that it has the focus", at)
		stops = append(stops, at)
	}
	t.Log(stops)
	for _, must := range []string{"units", "map", "closer", "farther", "whole", "rain", "hours", "when", "cut-row", "water", "wetness", "find", "only", "accept", "spacing"} {
		assert.Contains(t, stops, must)
	}
	focus := func(id string) { ask[bool](t, b, `document.getElementById("`+id+`").focus() || true`) }
	focus("map")
	scale := ask[float64](t, b, `wetfeet.view.scale`)
	press("+")
	assert.Greater(t, ask[float64](t, b, `wetfeet.view.scale`), scale)
	x := ask[float64](t, b, `wetfeet.view.x`)
	press(kb.ArrowRight)
	assert.Greater(t, ask[float64](t, b, `wetfeet.view.x`), x)
	press("0")
	press("n")
	seen := map[string]bool{}
	for range ask[int](t, b, `wetfeet.reply.trees.length`) {
		seen[ask[string](t, b, `(document.activeElement.dispatchEvent(new KeyboardEvent("keydown", {key: "n", bubbles: true})), wetfeet.selected)`)] = true
	}
	assert.Len(t, seen, 336, "every tree")
	press(kb.Enter)
	assert.Equal(t, "one-title", ask[string](t, b, where))
	focus("rain")
	rain := ask[float64](t, b, `wetfeet.plan.now.storm.rain`)
	press(kb.ArrowLeft)
	assert.Less(t, ask[float64](t, b, `wetfeet.plan.now.storm.rain`), rain)
	press("z", chromedp.KeyModifiers(kb.ModifierCtrl))
	assert.Equal(t, rain, ask[float64](t, b, `wetfeet.plan.now.storm.rain`))
	ask[bool](t, b, `document.querySelector("#trees tbody button[tabindex='0']").focus() || true`)
	press(kb.ArrowDown)
	assert.Equal(t, ask[string](t, b, `document.activeElement.textContent`), ask[string](t, b, `wetfeet.selected`))
	b.quiet()
}
