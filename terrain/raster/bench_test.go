package raster

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"wetfeet/terrain"

	"github.com/airbusgeo/godal"
	"github.com/stretchr/testify/require"
)

// lowland is a gentle plain with 2 cm of noise, kept to the millimetre as a
// survey would: harder to compress than a formula, easier than white noise.
func lowland(side int) *terrain.Grid[float32] {
	z := terrain.NewGrid[float32](terrain.Frame{Rows: side, Cols: side, West: 500000, North: 4000000, CellSize: 1, CRS: "EPSG:32614"})
	r := rand.New(rand.NewPCG(1, 2))
	for i := range z.Cells {
		row, col := z.Cell(i)
		v := 40 + 0.003*float64(row) + 0.5*math.Sin(float64(col)/90) + 0.02*r.NormFloat64()
		z.Cells[i] = float32(math.Round(v*1000) / 1000)
	}
	return z
}

func report(b *testing.B, cells int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(cells), "ns/cell")
}

func BenchmarkWrite(b *testing.B) {
	for _, side := range []int{1000, 4000} {
		b.Run(fmt.Sprintf("side=%d", side), func(b *testing.B) {
			z := lowland(side)
			path := filepath.Join(b.TempDir(), "z.tif")
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, Write(path, z))
			}
			report(b, z.Len())
			info, err := os.Stat(path)
			require.NoError(b, err)
			b.ReportMetric(float64(info.Size())/float64(z.Len()), "filebytes/cell")
		})
	}
}

func BenchmarkOpen(b *testing.B) {
	for _, side := range []int{1000, 4000} {
		z := lowland(side)
		tif := filepath.Join(b.TempDir(), "z.tif")
		require.NoError(b, Write(tif, z))
		b.Run(fmt.Sprintf("format=GTiff/side=%d", side), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := Open(tif, Options{})
				require.NoError(b, err)
			}
			report(b, z.Len())
		})
		// What GDAL alone takes for the same cells, unchecked.
		b.Run(fmt.Sprintf("format=GTiff-plain/side=%d", side), func(b *testing.B) {
			for b.Loop() {
				ds, err := godal.Open(tif, godal.Drivers("GTiff"), godal.ConfigOption("GDAL_NUM_THREADS=ALL_CPUS"))
				require.NoError(b, err)
				buf := make([]float32, side*side)
				require.NoError(b, ds.Bands()[0].Read(0, 0, buf, side, side))
				require.NoError(b, ds.Close())
			}
			report(b, z.Len())
		})
		b.Run(fmt.Sprintf("resampled=2m/side=%d", side), func(b *testing.B) {
			for b.Loop() {
				_, err := Open(tif, Options{CellSize: 2})
				require.NoError(b, err)
			}
			report(b, z.Len())
		})
	}
}

func BenchmarkOpenText(b *testing.B) {
	const side = 1000
	z := lowland(side)
	path := filepath.Join(b.TempDir(), "z.asc")
	f, err := os.Create(path)
	require.NoError(b, err)
	fmt.Fprintf(f, "ncols %d\nnrows %d\nxllcorner 500000\nyllcorner 4000000\ncellsize 1\n", side, side)
	for row := range side {
		for _, v := range z.Row(row) {
			fmt.Fprintf(f, "%.3f ", v)
		}
		fmt.Fprintln(f)
	}
	require.NoError(b, f.Close())
	b.Run("here", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := Open(path, Options{AllowLocal: true})
			require.NoError(b, err)
		}
		report(b, z.Len())
	})
	b.Run("GDAL", func(b *testing.B) {
		for b.Loop() {
			ds, err := godal.Open(path, godal.Drivers("AAIGrid"))
			require.NoError(b, err)
			buf := make([]float32, side*side)
			require.NoError(b, ds.Bands()[0].Read(0, 0, buf, side, side))
			require.NoError(b, ds.Close())
		}
		report(b, z.Len())
	})
}
