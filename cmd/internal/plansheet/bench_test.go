package plansheet

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkWrite(b *testing.B) {
	p := slips()
	for _, bench := range []struct {
		name  string
		write func(*bytes.Buffer) error
	}{
		{"plan as PNG", func(w *bytes.Buffer) error { return WritePNG(w, p, Options{}) }},
		{"plan as PDF", func(w *bytes.Buffer) error { return WritePDF(w, p, Options{}) }},
		{"error as PDF", func(w *bytes.Buffer) error { return WritePDF(w, p, Options{Show: Errors}) }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			var out bytes.Buffer
			b.ReportAllocs()
			for b.Loop() {
				out.Reset()
				require.NoError(b, bench.write(&out))
			}
			b.ReportMetric(float64(out.Len()), "file-bytes")
		})
	}
}
