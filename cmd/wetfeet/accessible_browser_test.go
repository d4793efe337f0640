//go:build browser

package main

import (
	"context"
	"os"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// barriers are what axe-core (Deque Systems, MPL 2.0), a general checker of
// accessibility that .ci/browser fetches, finds against a page.
func barriers(t *testing.T, tab context.Context) []string {
	t.Helper()
	axe, err := os.ReadFile("../../bin/axe.min.js")
	require.NoError(t, err, ".ci/browser fetches it, through npm")
	_, err = chromedp.Run(tab, chromedp.Evaluate[any](string(axe)+";0"))
	require.NoError(t, err)
	const run = `axe.run(document, {resultTypes: ["violations"]}).then((r) => r.violations.map((v) => v.id + " (" + v.impact + "): " + v.nodes.map((n) => n.target.join(" ") + " " + (n.any[0]?.message || "")).slice(0, 3).join(" | ")))`
	found, err := chromedp.Run(tab, chromedp.Evaluate[[]string](run, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	return found
}
