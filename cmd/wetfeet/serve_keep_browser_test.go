//go:build browser

package main

import (
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Work that was not saved outlives the page it was done on.
func TestServedPageKeepsUnsavedWork(t *testing.T) {
	address, _ := served(t)
	b := browse(t, address, 1280, 800)
	kept := `Object.keys(localStorage).filter((k) => k.startsWith("wetfeet unsaved ")).length`
	load := func() {
		t.Helper()
		require.NoError(t, chromedp.Do(b, chromedp.Reload()))
		b.wait(`document.body.dataset.answered && window.wetfeet?.keep`)
	}
	b.slide("rain", "44")
	b.wait(kept + ` === 1`)

	// The page is loaded again: nothing is changed unasked.
	load()
	b.wait(`document.getElementById("kept")`)
	b.picture("kept")
	assert.Equal(t, 150, ask[int](t, b, `wetfeet.plan.now.storm.rain`))
	assert.Contains(t, ask[string](t, b, `document.getElementById("kept").textContent`), "the storm (44 mm in 24 h)")
	ask[bool](t, b, `document.querySelector("#kept .main").click() || true`)
	assert.Equal(t, 44, ask[int](t, b, `wetfeet.plan.now.storm.rain`))
	assert.True(t, ask[bool](t, b, `!document.getElementById("kept") && !document.getElementById("undo").disabled && `+kept+` === 1`), "taken up as a change that can be undone, and kept on")

	// The browser ends the page at once, without a word to it.
	go func() { _, _ = chromedp.Call(b, page.Crash, cdp.Empty{}) }() // the page that would answer is gone
	time.Sleep(time.Second)
	other, cancel := chromedp.NewContext(b)
	t.Cleanup(cancel)
	c := &tab{Context: other, t: t}
	require.NoError(t, chromedp.Do(c, chromedp.Navigate(address)))
	c.wait(`document.body.dataset.answered && document.getElementById("kept")`)
	assert.Contains(t, ask[string](t, c, `document.getElementById("kept").textContent`), "44 mm")
	ask[bool](t, c, `document.querySelector("#kept .main").click() || true`)
	c.wait(`wetfeet.reply.storm.rain === 44`)

	// Saved, there is nothing to keep.
	c.click("save")
	c.wait(`document.getElementById("notice").textContent.startsWith("Saved")`)
	assert.Zero(t, ask[int](t, c, kept))
	require.NoError(t, chromedp.Do(c, chromedp.Reload()))
	c.wait(`document.body.dataset.answered && window.wetfeet?.keep`)
	assert.False(t, ask[bool](t, c, `!!document.getElementById("kept")`))
}

// What a page that is still there holds is not offered to another one.
func TestServedPagesLeaveEachOthersWork(t *testing.T) {
	address, _ := served(t)
	b := browse(t, address, 1000, 700)
	b.slide("rain", "55")
	b.wait(`Object.keys(localStorage).length === 1`)
	other, cancel := chromedp.NewContext(b)
	t.Cleanup(cancel)
	c := &tab{Context: other, t: t}
	require.NoError(t, chromedp.Do(c, chromedp.Navigate(address)))
	c.wait(`document.body.dataset.answered && window.wetfeet?.keep`)
	ask[bool](t, c, `wetfeet.keep.left().then((l) => { window.left = l.length; }) && true`)
	c.wait(`window.left !== undefined`)
	assert.Zero(t, ask[int](t, c, `window.left`))
}
