package hydro

import (
	"testing"

	"wetfeet/terrain"
)

func BenchmarkBasins(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			x := findBasins(z)
			b.ReportMetric(float64(len(x.pits)), "pits")
			b.ReportMetric(float64(len(x.saddles)), "saddles")
		}
	})
}

func BenchmarkTree(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			x := findBasins(z)
			t := growTree(z, x)
			b.ReportMetric(float64(len(x.saddles)), "saddles")
			b.ReportMetric(float64(len(t.nodes)), "nodes")
		}
	})
}

func BenchmarkFindHollows(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			h := FindHollows(z)
			b.ReportMetric(float64(len(h.All)), "hollows")
		}
	})
}

// BenchmarkSignificant and BenchmarkStorage take the hollows as found.
func BenchmarkSignificant(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		h := FindHollows(z)
		for b.Loop() {
			h.Significant(0.02)
		}
	})
}

func BenchmarkStorage(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		h := FindHollows(z)
		for b.Loop() {
			h.Storage()
		}
	})
}
