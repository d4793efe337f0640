package odds

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"
	"time"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/field"

	"github.com/stretchr/testify/require"
)

// peak is the most memory that the program has from the system while f runs,
// MiB.
func peak(f func()) float64 {
	runtime.GC()
	stop, done := make(chan bool), make(chan uint64)
	go func() {
		most := uint64(0)
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			most = max(most, m.Sys-m.HeapReleased)
			select {
			case <-stop:
				done <- most
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	}()
	f()
	close(stop)
	return float64(<-done) / (1 << 20)
}

// BenchmarkDraws is the whole chain: ground, hollows, their storage, storm,
// dry-down, counting, with 1,000 watched cells at ten heights and the largest
// hollows of the likeliest ground found again. Grounds are drawn given a raster
// that is 5 cm wrong over 15 m and rough by a centimetre.
func BenchmarkDraws(b *testing.B) {
	for _, size := range []struct {
		name string
		side int
	}{{"0.1M", 316}, {"1M", 1000}, {"4M", 2000}} {
		for _, draws := range []int{20, 200, 1000} {
			b.Run(fmt.Sprintf("cells=%s/draws=%d", size.name, draws), func(b *testing.B) {
				benchDraws(b, size.side, draws)
			})
		}
	}
}

func benchDraws(b *testing.B, side, draws int) {
	s := waves{frame: square(side), noise: 0.01}
	z := terrain.NewGrid[float32](s.frame)
	s.ground(0, z.Cells)
	d, err := field.OfRaster(z, field.Error{SD: 0.05, Range: 15, CellNoise: 0.01}, 1)
	require.NoError(b, err)
	o := asked(s, draws)
	o.Source = func() Source { return d.NewRoom() }
	o.SourceBytes = d.RoomBytes()
	o.Watch = o.Watch[:0]
	for k := range 1000 {
		o.Watch = append(o.Watch, k*s.frame.Len()/1000)
	}
	o.Heights = nil
	for k := range 10 {
		o.Heights = append(o.Heights, 0.05*float64(k))
	}
	h := hydro.FindHollowsDeep(d.Mean, 0.02)
	for i := range min(len(h.All), 200) {
		o.Hollows = append(o.Hollows, KnownOf(h, i))
	}
	b.ReportAllocs()
	for b.Loop() {
		most := peak(func() {
			_, err := Run(context.Background(), o)
			require.NoError(b, err)
		})
		b.ReportMetric(math.Ceil(most), "MiB")
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*draws*s.frame.Len()), "ns/cell/draw")
	b.ReportMetric(float64(len(h.All)), "hollows")
}
