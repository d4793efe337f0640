//go:build browser

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// give hands files to the page as a person does who chooses them.
func (b *tab) give(files ...string) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b, chromedp.SetUploadFiles("#b-file", files)))
}

func (b *tab) fill(id, value string) {
	b.t.Helper()
	ask[bool](b.t, b, fmt.Sprintf(`(() => { const e = document.getElementById(%q); e.value = %q; e.dispatchEvent(new Event("input", {bubbles: true})); return true; })()`, id, value))
}

// A newcomer with a table of spot heights and a list of species gets from
// nothing to the map and the sheets to carry.
func TestAPageBeginsASite(t *testing.T) {
	heights, err := filepath.Abs(heronBend + "survey.csv")
	require.NoError(t, err)
	for _, size := range [][2]int64{{1280, 800}, {390, 844}} {
		dir := t.TempDir()
		plants, wrong := filepath.Join(dir, "plants.txt"), filepath.Join(dir, "wrong.txt")
		require.NoError(t, os.WriteFile(plants, []byte("pecan\nAmerican elderberry\nAsimina triloba\n"), 0o644))
		require.NoError(t, os.WriteFile(wrong, []byte("pecan\nblue gumm\n"), 0o644))
		b := browse(t, serveFile(t, filepath.Join(dir, "my-orchard")), size[0], size[1])
		picture := func(name string) { b.picture(fmt.Sprintf("begin-%d-%s", size[0], name)) }
		narrow := func() {
			t.Helper()
			assert.LessOrEqual(t, ask[int](t, b, `document.documentElement.scrollWidth`), int(size[0]), "nothing sticks out sideways: %v",
				ask[[]string](t, b, `[...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.tagName + "#" + e.id + "." + e.className + " " + e.textContent.slice(0, 20)).slice(0, 8)`))
		}
		picture("1-empty")
		narrow()
		b.give(wrong)
		b.wait(`document.getElementById("notice").textContent.includes("nearest: ")`)
		b.give(heights, plants)
		b.wait(`document.querySelectorAll("#b-chosen li").length === 3`)
		b.wait(`document.getElementById("b-state").textContent.includes("do not tell where they lie")`)
		assert.True(t, ask[bool](t, b, `!document.getElementById("b-place").hidden`))
		picture("2-where")
		narrow()
		b.fill("b-crs", "EPSG:32614")
		b.fill("b-rain", "150")
		b.wait(`!document.getElementById("b-seen").hidden`)
		narrow()
		told := ask[string](t, b, `document.getElementById("b-told").textContent`)
		assert.Contains(t, told, "loam")
		assert.NotContains(t, told, "100 mm")
		picture("3-questions")
		ask[bool](t, b, `(document.getElementById("b-seen").scrollIntoView(), true)`)
		picture("4-preview")
		assert.NoDirExists(t, filepath.Join(dir, "my-orchard"))
		b.click("b-go")
		b.wait(`window.wetfeet && document.body.dataset.answered === "likely" && wetfeet.reply`)
		assert.Greater(t, ask[int](t, b, `wetfeet.reply.trees.length`), 30)
		assert.Equal(t, "My orchard", ask[string](t, b, `document.getElementById("name").textContent`))
		picture("5-map")
		b.quiet()
		b.carry(dir, "field.pdf")
		picture("6-carried")
		narrow()
	}
}

// carry has the page make a file and holds that it came whole, as wetfeet
// assess writes it: field sheets that name the stakes.
func (b *tab) carry(folder, name string) {
	b.t.Helper()
	_, err := chromedp.Call(b, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: folder})
	require.NoError(b.t, err)
	ask[bool](b.t, b, fmt.Sprintf(`(() => { const e = document.querySelector("#carry-files [data-file='%s']"); e.scrollIntoView({block: "center"}); e.click(); return true; })()`, name))
	b.wait(fmt.Sprintf(`wetfeet.carried?.file === %q`, name))
	said := ask[string](b.t, b, `document.getElementById("carry-state").textContent`)
	assert.Contains(b.t, said, name+" is among your downloads")
	bytes := ask[int](b.t, b, `wetfeet.carried.bytes`)
	var file []byte
	require.Eventually(b.t, func() bool {
		file, err = os.ReadFile(filepath.Join(folder, name))
		return err == nil && len(file) == bytes
	}, patience, 50*time.Millisecond)
	assert.True(b.t, strings.HasPrefix(string(file), "%PDF"))
}
