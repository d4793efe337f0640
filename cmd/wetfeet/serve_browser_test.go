//go:build browser

package main

import (
	"bytes"
	"context"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
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
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(heronBend)))
	file = filepath.Join(dir, "heron-bend.toml")
	return serveFile(t, file), file
}

func serveFile(t *testing.T, args ...string) string {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var out, errs lockedBuffer
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, append([]string{"serve"}, args...), &out, &errs) }()
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
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
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

// wait waits until an expression holds in the page.
func (b *tab) wait(expression string) {
	b.t.Helper()
	for range 200 {
		if ask[bool](b.t, b, "!!("+expression+")") {
			return
		}
		time.Sleep(50 * time.Millisecond)
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
