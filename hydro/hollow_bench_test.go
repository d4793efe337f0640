package hydro

import (
	"testing"

	"wetfeet/terrain"
)

func BenchmarkFindHollows(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			FindHollows(z)
		}
	})
}

// BenchmarkBasins is the first part of FindHollows, and BenchmarkTree that
// and the second.
func BenchmarkBasins(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			findBasins(z, steepestWay)
		}
	})
}

func BenchmarkTree(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			growTree(z, findBasins(z, steepestWay))
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

// BenchmarkFindHollowsDeep finds those of a centimetre and more.
func BenchmarkFindHollowsDeep(b *testing.B) {
	overGrounds(b, func(b *testing.B, z *terrain.Grid[float32]) {
		for b.Loop() {
			FindHollowsDeep(z, 0.01)
		}
	})
}
