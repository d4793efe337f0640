package main

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files from what the program says now")

const (
	readme    = "../../README.md"
	demoBegin = "`make demo` prints the flagged trees and where the map is:\n\n"
	demoEnd   = "\nOpen `demo-out/report.html`"
)

// The README shows what the demo says today.
func TestReadmeShowsTheDemo(t *testing.T) {
	dir := demo(t)
	var indented strings.Builder
	for line := range strings.Lines(strings.ReplaceAll(told[dir], dir, "demo-out")) {
		if line != "\n" {
			indented.WriteString("    ")
		}
		indented.WriteString(line)
	}
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(text), demoBegin)
	require.True(t, found, "README.md: %q", demoBegin)
	shown, after, found := strings.Cut(rest, demoEnd)
	require.True(t, found, "README.md: %q", demoEnd)
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(before+demoBegin+indented.String()+demoEnd+after), 0o644))
		return
	}
	assert.Equal(t, indented.String(), shown, "make golden brings it up to date")
}

// The README shows the odds as they were last held against made sites.
func TestReadmeShowsTheCalibration(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	table, err := os.ReadFile("../internal/calibration/result/table.md")
	require.NoError(t, err)
	for part := range strings.SplitSeq(string(table), "\n\n") {
		assert.Contains(t, string(text), part)
	}
}
