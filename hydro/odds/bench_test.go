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

	"github.com/stretchr/testify/require"
)

// peak is the most memory the heap holds while f runs, MiB.
func peak(f func()) float64 {
	runtime.GC()
	stop, done := make(chan bool), make(chan uint64)
	go func() {
		most := uint64(0)
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
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
// dry-down, counting, with 1,000 watched cells at ten heights and the hollows
// of a first draw found again.
func BenchmarkDraws(b *testing.B) {
	for _, size := range []struct {
		name string
		side int
	}{{"0.1M", 316}, {"1M", 1000}, {"4M", 2000}} {
		for _, noise := range []float64{0, 0.01} {
			for _, draws := range []int{20, 200} {
				b.Run(fmt.Sprintf("cells=%s/noise=%g/draws=%d", size.name, noise, draws), func(b *testing.B) {
					benchDraws(b, waves{frame: square(size.side), noise: noise}, draws)
				})
			}
		}
	}
}

func benchDraws(b *testing.B, s waves, draws int) {
	o := asked(s, draws)
	o.Watch = o.Watch[:0]
	for k := range 1000 {
		o.Watch = append(o.Watch, k*s.frame.Len()/1000)
	}
	o.Heights = nil
	for k := range 10 {
		o.Heights = append(o.Heights, 0.05*float64(k))
	}
	z := terrain.NewGrid[float32](s.frame)
	s.ground(0, z.Cells)
	h := hydro.FindHollowsDeep(z, 0.02)
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
