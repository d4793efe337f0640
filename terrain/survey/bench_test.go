package survey

import (
	"fmt"
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
			all, err := FrameFor(shots, 0)
			require.NoError(b, err)
			f := terrain.Frame{Rows: 128, Cols: 128, CellSize: all.CellSize}
			f.West = all.West + float64(all.Cols-f.Cols)/2*f.CellSize
			f.North = all.North - float64(all.Rows-f.Rows)/2*f.CellSize
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
