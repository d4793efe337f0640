//go:build browser

package main

import (
	"context"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// openPage opens a file in a headless browser that may not reach a network,
// and returns the tab with what it asked for and complained of.
func openPage(t *testing.T, path string, width, height int64) (tab context.Context, asked, complaints func() []string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, // the check may run as root, where there is no other way
		chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true),
	)...)
	t.Cleanup(cancel)
	tab, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)

	var mu sync.Mutex
	var requests, errors []string
	require.NoError(t, chromedp.Do(tab, chromedp.EmulateViewport(width, height)))
	require.NoError(t, chromedp.Listen(tab, func(ev any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := ev.(type) {
		case *network.EventRequestWillBeSent:
			requests = append(requests, e.Request.URL)
		case *runtime.EventExceptionThrown:
			errors = append(errors, e.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "warning" {
				errors = append(errors, string(e.Type))
			}
		}
	}))
	where := url.URL{Scheme: "file", Path: path}
	require.NoError(t, chromedp.Do(tab, chromedp.Navigate(where.String())))
	read := func(list *[]string) func() []string {
		return func() []string {
			mu.Lock()
			defer mu.Unlock()
			return append([]string(nil), *list...)
		}
	}
	return tab, read(&requests), read(&errors)
}

// ask evaluates an expression in the page.
func ask[T any](t *testing.T, tab context.Context, expression string) T {
	t.Helper()
	v, err := chromedp.Run(tab, chromedp.Evaluate[T](expression))
	require.NoError(t, err, expression)
	return v
}

// demoPage is the page of the invented orchard, made once for all tests.
func demoPage(t *testing.T) string {
	t.Helper()
	demoMade.Do(func() {
		out := filepath.Join(t.TempDir(), "out")
		status, _, stderr := wetfeet(t, "assess", heronBend+"heron-bend.toml", "-o", out)
		require.Equal(t, exitOK, status, stderr)
		var err error
		demoBytes, err = os.ReadFile(filepath.Join(out, "report.html"))
		require.NoError(t, err)
	})
	page := filepath.Join(t.TempDir(), "report.html")
	require.NoError(t, os.WriteFile(page, demoBytes, 0o644))
	return page
}

var (
	demoMade  sync.Once
	demoBytes []byte
)

func TestPageInABrowser(t *testing.T) {
	page := demoPage(t)
	tab, asked, complaints := openPage(t, page, 1280, 900)

	assert.Contains(t, ask[string](t, tab, `document.title`), "Heron Bend")
	assert.True(t, ask[bool](t, tab, `document.querySelector("figure img").naturalWidth >= 1600`), "the map is in the page")
	for _, r := range asked() {
		assert.True(t, strings.HasPrefix(r, "data:") || strings.HasPrefix(r, "file://"), "asked for %s", r)
	}
	assert.Empty(t, complaints())

	risk := `[...document.querySelectorAll("#trees tbody tr")].map(r => +r.cells[0].dataset.sort)`
	ranks := ask[[]float64](t, tab, risk)
	require.NotEmpty(t, ranks)
	assert.IsNonIncreasing(t, ranks, "the most endangered first")

	ask[bool](t, tab, `document.querySelectorAll("#trees th button")[1].click() || true`)
	first := ask[string](t, tab, `document.querySelector("#trees tbody tr").cells[1].textContent`)
	assert.Equal(t, "A-1", first, "sorted by stake")
	assert.Equal(t, "ascending", ask[string](t, tab, `document.querySelectorAll("#trees th")[1].getAttribute("aria-sort")`))

	before := ask[int](t, tab, `[...document.querySelectorAll("#trees tbody tr")].filter(r => !r.hidden).length`)
	ask[bool](t, tab, `document.getElementById("only-flagged").click() || true`)
	after := ask[int](t, tab, `[...document.querySelectorAll("#trees tbody tr")].filter(r => !r.hidden).length`)
	assert.Less(t, after, before)
	assert.Equal(t, ask[int](t, tab, `document.querySelectorAll("#trees tr.flagged").length`), after)
}

func TestPageOnAPhone(t *testing.T) {
	tab, _, complaints := openPage(t, demoPage(t), 360, 740)
	assert.LessOrEqual(t, ask[int](t, tab, `document.documentElement.scrollWidth`), 360, "nothing sticks out sideways")
	assert.Empty(t, complaints())
}
