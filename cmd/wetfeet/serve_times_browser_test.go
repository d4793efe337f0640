//go:build browser

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// How long the page takes on a site of a million cells is measured, in the
// browser, and told; it is not held to a figure. A step ends when the map with
// the new answer has been painted.
func TestServedPageTimes(t *testing.T) {
	if os.Getenv("WETFEET_TIMES") == "" {
		t.Skip("measures only where WETFEET_TIMES is set")
	}
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(heronBend)))
	file := filepath.Join(dir, "heron-bend.toml")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	fine := strings.Replace(string(text), `cell           = "0.5 m"`, `cell           = "0.125 m"`, 1)
	require.NoError(t, os.WriteFile(file, []byte(fine+"\n[odds]\ndraws = 0\n"), 0o644))
	began := time.Now()
	address := serveFile(t, file)
	t.Logf("the site read and answered in %v", time.Since(began).Round(time.Millisecond))
	b := browse(t, address, 1280, 800)
	t.Logf("%d cells; the first answer stands on the page %.0f ms after it was asked for", ask[int](t, b, `wetfeet.ground.z.length`), ask[float64](t, b, `wetfeet.opened`))
	require.NoError(t, chromedp.Do(b, chromedp.Reload()))
	b.wait(`document.body.dataset.answered && wetfeet.opened`)
	t.Logf("loaded again: %.0f ms", ask[float64](t, b, `wetfeet.opened`))
	t.Logf("%s", ask[string](t, b, `(() => {
		const middle = (n, f) => { const all = []; for (let i = 0; i < n; i++) { const a = performance.now(); f(i); all.push(performance.now() - a); } all.sort((x, y) => x - y); return all[n >> 1].toFixed(1) + " ms (most " + all[n - 1].toFixed(1) + ")"; };
		return "water of a moment on all cells " + middle(30, (i) => wetfeet.water.stand(20 + 4 * i)) + "; the map painted " + middle(30, () => wetfeet.view.paint()) + "; time slid, water, map asked for and section " + middle(30, (i) => { const e = document.getElementById("when"); e.value = 200 + 20 * i; e.dispatchEvent(new Event("input")); });
	})()`))

	// From an event to the map painted with what it led to.
	ask[bool](t, b, `(() => {
		const painted = wetfeet.view.painted;
		window.took = [];
		window.until = (holds) => { window.began = performance.now(); window.holds = holds; };
		wetfeet.view.painted = (v) => { painted(v); if (window.holds?.()) { window.holds = null; window.took.push(performance.now() - window.began); } };
		return true;
	})()`)
	// What the processors do for it, which other work on the machine does not
	// make longer.
	spent := func() (server, page time.Duration) {
		t.Helper()
		var use syscall.Rusage
		require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &use))
		got, err := chromedp.Call(b, performance.GetMetrics, cdp.Empty{})
		require.NoError(t, err)
		for _, m := range got.Metrics {
			if m.Name == "TaskDuration" {
				page = time.Duration(m.Value * float64(time.Second))
			}
		}
		return time.Duration(use.Utime.Nano() + use.Stime.Nano()), page
	}
	_, err = chromedp.Call(b, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks})
	require.NoError(t, err)
	server, page := spent()
	summary := func(what string) {
		t.Helper()
		steps := ask[int](t, b, `window.took.length`)
		s, p := spent()
		t.Logf("%s takes %v of the server and %v of the page", what, ((s - server) / time.Duration(steps)).Round(time.Millisecond/10), ((p - page) / time.Duration(steps)).Round(time.Millisecond/10))
		defer func() { server, page = spent() }()
		t.Logf("%s: %s", what, ask[string](t, b, `(() => { const all = window.took.splice(0), first = all[0]; all.sort((x, y) => x - y); const at = (s) => all[Math.min(all.length - 1, Math.floor(s * all.length))].toFixed(0); return all.length + " times, middle " + at(0.5) + " ms, nine in ten under " + at(0.9) + " ms, most " + at(1) + " ms, the first " + first.toFixed(0) + " ms"; })()`))
	}
	ask[bool](t, b, `(() => {
		const e = document.getElementById("rain");
		let k = 0;
		const step = () => {
			if (k === 40) { window.slid = true; return; }
			const rain = 30 + 6 * (k++ * 7 % 40);
			until(() => wetfeet.reply.storm.rain === rain && (setTimeout(step, 30), true));
			e.value = rain;
			e.dispatchEvent(new Event("input", { bubbles: true }));
		};
		step();
		return true;
	})()`)
	b.wait(`window.slid`)
	summary("a step of the storm")
	b.wait(fullAnswer)

	// A tree, dragged.
	ask[bool](t, b, `document.querySelector("input[name=hand][value=move]").click() || true`)
	ask[bool](t, b, `document.querySelector("#trees tbody button").click() || true`)
	b.wait(fullAnswer)
	server, page = spent()
	at := ask[[]float64](t, b, `(() => { const t = wetfeet.byID.get(wetfeet.selected), box = document.getElementById("map").getBoundingClientRect(), s = wetfeet.view.toScreen(t.gx, t.gy); return [box.left + s[0], box.top + s[1]]; })()`)
	ask[bool](t, b, `(document.getElementById("map").addEventListener("pointermove", () => { const was = wetfeet.byID.get(wetfeet.selected); until(() => wetfeet.byID.get(wetfeet.selected) !== was); }, true), true)`)
	mouse := func(kind input.DispatchMouseEventType, x, y float64) {
		t.Helper()
		_, err := chromedp.Call(b, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
		require.NoError(t, err)
	}
	mouse(input.DispatchMouseEventTypeMousePressed, at[0], at[1])
	mouse(input.DispatchMouseEventTypeMouseMoved, at[0]+6, at[1]) // taken hold of
	b.wait(`!window.holds`)
	ask[bool](t, b, `(window.took = [], true)`)
	for k := 1.0; k <= 30; k++ {
		mouse(input.DispatchMouseEventTypeMouseMoved, at[0]+6+k, at[1]+k/2)
		b.wait(`!window.holds`)
	}
	mouse(input.DispatchMouseEventTypeMouseReleased, at[0]+36, at[1]+15)
	summary("a step of a tree that is dragged")
	b.wait(fullAnswer)

	again := func(what, id string) { // with the whole answers in between

		t.Helper()
		for range 5 {
			ask[bool](t, b, `(() => { const was = wetfeet.reply; until(() => wetfeet.reply !== was); document.getElementById("`+id+`").click(); return true; })()`)
			b.wait(`!window.holds`)
			b.wait(fullAnswer)
			back := map[string]string{"undo": "redo", "redo": "undo"}[id]
			ask[bool](t, b, `document.getElementById("`+back+`").click() || true`)
			b.wait(fullAnswer)
		}
		summary(what)
	}
	again("undo", "undo")
	saves := make([]string, 0, 5)
	for k := range 5 {
		b.slide("rain", fmt.Sprint(100+10*k))
		b.wait(fullAnswer)
		ask[bool](t, b, `(() => { document.getElementById("notice").textContent = ""; window.saved = 0; const from = performance.now(); new MutationObserver((_, o) => { if (document.getElementById("notice").textContent.startsWith("Saved")) { window.saved = performance.now() - from; o.disconnect(); } }).observe(document.getElementById("notice"), { childList: true, subtree: true, characterData: true }); document.getElementById("save").click(); return true; })()`)
		b.wait(`window.saved`)
		saves = append(saves, fmt.Sprintf("%.0f ms", ask[float64](t, b, `window.saved`)))
	}
	t.Logf("saves: %s", strings.Join(saves, ", "))
	t.Logf("the whole likeliest answer after a change: %.0f ms", ask[float64](t, b, `wetfeet.took`))
	b.quiet()
}
