package survey

import (
	"fmt"
	"math"
	"testing"

	"wetfeet/terrain"

	"github.com/stretchr/testify/require"
)

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{100, 3000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("shots=%d", n), func(b *testing.B) {
			shots := scattered(n, 1)
			b.ReportAllocs()
			for b.Loop() {
				_, err := Fit(shots, Options{})
				require.NoError(b, err)
			}
		})
	}
}

// BenchmarkGrid draws 128 by 128 cells in the middle of the site.
func BenchmarkGrid(b *testing.B) {
	for _, n := range []int{100, 3000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("shots=%d", n), func(b *testing.B) {
			shots := scattered(n, 1)
			m, err := Fit(shots, Options{})
			require.NoError(b, err)
			f := terrain.Frame{Rows: 128, Cols: 128, CellSize: CellFor(shots)}
			middle := 5 * math.Sqrt(float64(n))
			f.West, f.North = 500_000+middle-64*f.CellSize, 3_000_000+middle+64*f.CellSize
			b.ReportAllocs()
			for b.Loop() {
				m.Grid(f)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(f.Len()), "ns/cell")
		})
	}
}

func BenchmarkLeaveOneOut(b *testing.B) {
	for _, n := range []int{120, 1000, 3000} {
		b.Run(fmt.Sprintf("shots=%d", n), func(b *testing.B) {
			m, err := Fit(scattered(n, 1), Options{})
			require.NoError(b, err)
			for b.Loop() {
				m.LeaveOneOut()
			}
		})
	}
}

func BenchmarkTriangulate(b *testing.B) {
	for _, n := range []int{100, 3000, 100_000, 1_000_000} {
		b.Run(fmt.Sprintf("shots=%d", n), func(b *testing.B) {
			shots := scattered(n, 1)
			b.ReportAllocs()
			for b.Loop() {
				_, err := Triangulate(shots, Options{})
				require.NoError(b, err)
			}
		})
	}
}
