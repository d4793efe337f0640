package serve

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"testing"

	"wetfeet/cmd/internal/assess"

	"github.com/stretchr/testify/require"
)

// What the server does while a hand slides the storm over a site of about a
// million cells.
func BenchmarkJudgeSoon(b *testing.B) {
	d, err := newDesk(b.Context(), Options{Site: "../../../testdata/heron-bend/heron-bend.toml", Plan: func(path string) (assess.Plan, error) {
		p, err := planOf(path)
		p.Ground.Cell = 0.125
		return p, err
	}})
	require.NoError(b, err)
	s := d.sheet()
	b.ReportMetric(float64(s.result.Drain.Ground.Len()), "cells")
	doc := documentOf(s.result)
	size := 0
	for i := 0; b.Loop(); i++ {
		doc.Storm.Rain = float64(40 + 10*(i%20))
		body, err := json.Marshal(question{doc, "metric", "soon"})
		require.NoError(b, err)
		r := httptest.NewRequestWithContext(b.Context(), http.MethodPost, "/api/judge", bytes.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		require.NoError(b, d.judge(w, r, s))
		size = w.Body.Len()
	}
	b.ReportMetric(float64(size), "B/answer")
}
