package species

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files from what the program says now")

func TestExplainPecan(t *testing.T) {
	var b strings.Builder
	require.NoError(t, BuiltIn().Explain(&b, find(t, "pecan"), ExplainOptions{}))
	const path = "testdata/pecan.txt"
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String(), "go test ./species -update, then read the diff")
}

func TestExplainKeepsToItsWidth(t *testing.T) {
	for _, e := range BuiltIn().All() {
		for _, width := range []int{0, 10, 60, 100} {
			var b strings.Builder
			require.NoError(t, BuiltIn().Explain(&b, e, ExplainOptions{Width: width}))
			most := max(width, 40)
			if width == 0 {
				most = 80
			}
			for line := range strings.Lines(b.String()) {
				line = strings.TrimSuffix(line, "\n")
				if strings.Contains(line, "://") {
					continue // an address stays whole
				}
				assert.LessOrEqual(t, utf8.RuneCountInString(line), most, "%s: %q", e.Scientific, line)
				assert.Equal(t, strings.TrimRight(line, " "), line, e.Scientific)
			}
		}
	}
}

func TestExplainShowsEveryFactAndSource(t *testing.T) {
	for _, e := range BuiltIn().All() {
		var b strings.Builder
		require.NoError(t, BuiltIn().Explain(&b, e, ExplainOptions{Width: 1000}))
		for _, f := range e.Facts {
			assert.Contains(t, b.String(), valueOf(f), e.Scientific)
		}
		for _, s := range BuiltIn().Sources(e) {
			assert.Contains(t, b.String(), s.Citation, e.Scientific)
			assert.Contains(t, b.String(), s.Address, e.Scientific)
		}
		assert.Contains(t, b.String(), e.Clash, e.Scientific)
		assert.Contains(t, b.String(), "one class either way")
	}
}

func TestExplainWritesLengthsInTheUnitsAsked(t *testing.T) {
	var b strings.Builder
	feet := func(m float64) string { return fmt.Sprintf("%.0f ft", m/0.3048) }
	require.NoError(t, BuiltIn().Explain(&b, find(t, "fig"), ExplainOptions{Length: feet}))
	assert.Contains(t, b.String(), "13 ft to 20 ft")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestExplainPassesOnAWriteError(t *testing.T) {
	assert.EqualError(t, BuiltIn().Explain(full{}, find(t, "fig"), ExplainOptions{}), "disk full")
}
