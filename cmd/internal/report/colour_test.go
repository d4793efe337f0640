package report

import (
	"image/color"
	"regexp"
	"strconv"
	"testing"

	"wetfeet/cmd/internal/look"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func hex(t *testing.T, s string) color.RGBA {
	require.Regexp(t, `^#([0-9a-f]{3}|[0-9a-f]{6})$`, s)
	if len(s) == 4 {
		s = string([]byte{'#', s[1], s[1], s[2], s[2], s[3], s[3]})
	}
	v, err := strconv.ParseUint(s[1:], 16, 32)
	require.NoError(t, err)
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 0xff}
}

// Success criterion 1.4.3 of the Web Content Accessibility Guidelines 2.2 (W3C,
// 2023): text has a contrast of 4.5 to 1 at least with what is behind it.
func TestWordsStandOutFromWhatIsBehindThem(t *testing.T) {
	css := look.PageStyle + pageCSS
	named := make(map[string]color.RGBA)
	for _, m := range regexp.MustCompile(`--([a-z]+): (#[0-9a-f]+);`).FindAllStringSubmatch(css, -1) {
		named[m[1]] = hex(t, m[2])
	}
	value := func(s string) color.RGBA {
		if m := regexp.MustCompile(`^var\(--([a-z]+)\)$`).FindStringSubmatch(s); m != nil {
			require.Contains(t, named, m[1])
			return named[m[1]]
		}
		return hex(t, s)
	}
	collect := func(pattern string) map[string]color.RGBA {
		out := make(map[string]color.RGBA)
		for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(css, -1) {
			if m[1] != "none" {
				out[m[1]] = value(m[1])
			}
		}
		return out
	}
	words, grounds := collect(`[{; ]color: ([^;}]+?) ?[;}]`), collect(`background: ([^;}]+?) ?[;}]`)
	require.GreaterOrEqual(t, len(words), 3)
	require.GreaterOrEqual(t, len(grounds), 4)
	for w, word := range words {
		for g, ground := range grounds {
			assert.GreaterOrEqual(t, look.Contrast(word, ground), 4.5, "%s on %s", w, g)
		}
	}
	for _, word := range []string{quiet, "#22231f"} {
		for _, ground := range []color.RGBA{look.Paper, look.SectionSoil, look.Stages()[0].Fill} {
			assert.GreaterOrEqual(t, look.Contrast(hex(t, word), ground), 4.5, "%s in a section", word)
		}
	}
}

// Criterion 1.4.11 asks 3 to 1 of lines that must be seen. The waters of a
// dry-down also differ without colour: each is darker than that before it, and
// no two lines are dashed alike.
func TestWaterLinesStandOut(t *testing.T) {
	dashes := map[string]bool{look.BrimDash: true}
	for k, s := range look.Stages() {
		assert.GreaterOrEqual(t, look.Contrast(look.WaterLine, s.Fill), 3.0, "line of moment %d", k)
		assert.GreaterOrEqual(t, look.Contrast(hex(t, "#22231f"), s.Fill), 4.5, "words in the water of moment %d", k)
		assert.False(t, dashes[s.Dash], "dashes of moment %d", k)
		dashes[s.Dash] = true
		if k > 0 {
			before := look.Stages()[k-1].Fill
			assert.Greater(t, look.Contrast(before, look.Ink), look.Contrast(s.Fill, look.Ink), "moment %d is darker", k)
		}
	}
	for _, ground := range []color.RGBA{look.Paper, look.SectionSoil} {
		assert.GreaterOrEqual(t, look.Contrast(look.WaterLine, ground), 4.5)
		assert.GreaterOrEqual(t, look.Contrast(hex(t, growingInk), ground), 3.0)
	}
}
