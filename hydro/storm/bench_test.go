package storm

import (
	"fmt"
	"math"
	"testing"

	"wetfeet/hydro"
	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"
)

// BenchmarkGroundToStorm goes from ground to the depth of a storm's water on
// every cell, and then by its parts.
func BenchmarkGroundToStorm(b *testing.B) {
	for _, noise := range []float64{0.02, 0} {
		z := terraintest.Lowland(4000, noise)
		name := fmt.Sprintf("side=4000/noise=%g", noise)
		depth := terrain.NewGrid[float32](z.Frame)
		b.Run(name+"/part=all", func(b *testing.B) {
			for b.Loop() {
				site := site(b, z)
				site.Storm(20).Depth(depth)
				b.ReportMetric(float64(len(site.h.All)), "hollows")
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*z.Len()), "ns/cell")
		})
		h := hydro.FindHollows(z)
		b.Run(name+"/part=prepare", func(b *testing.B) {
			for b.Loop() {
				prepare(b, h)
			}
		})
		b.Run(name+"/part=storage", func(b *testing.B) {
			for b.Loop() {
				h.Storage()
			}
		})
		s := prepare(b, h)
		b.Run(name+"/part=storm", func(b *testing.B) {
			for b.Loop() {
				s.Storm(20)
			}
		})
		st := s.Storm(20)
		b.Run(name+"/part=depth", func(b *testing.B) {
			for b.Loop() {
				st.Depth(depth)
			}
		})
	}
}

// tenThousand is a site with some ten thousand hollows.
func tenThousand(b *testing.B) *Site {
	b.Helper()
	s := site(b, terraintest.Lowland(310, 0.02))
	if n := len(s.h.All); n < 9_000 || n > 20_000 {
		b.Fatalf("%d hollows", n)
	}
	return s
}

func BenchmarkNewStormOnTenThousandHollows(b *testing.B) {
	s := tenThousand(b)
	rise := s.Rise()
	mm := 1.0
	b.ReportMetric(float64(len(s.h.All)), "hollows")
	for _, part := range []struct {
		name string
		run  func()
	}{
		{"fill", func() { s.Storm(mm) }},
		{"fill and list ponds", func() { s.Storm(mm).Ponds() }},
		{"read from the rise", func() { rise.At(mm) }},
		{"the rise itself", func() { s.Rise() }},
	} {
		b.Run(part.name, func(b *testing.B) {
			for b.Loop() {
				mm = math.Mod(mm*1.3, 100)
				part.run()
			}
			b.ReportMetric(float64(len(s.h.All)), "hollows")
		})
	}
}

// BenchmarkStormAndEightDays is a storm of a day in hourly steps and the eight
// days after it.
func BenchmarkStormAndEightDays(b *testing.B) {
	for _, tt := range []struct {
		name string
		site *Site
	}{
		{"ten thousand hollows", tenThousand(b)},
		{"16 M smooth cells", site(b, terraintest.Lowland(4000, 0))},
		{"1 M noisy cells", site(b, terraintest.Lowland(1000, 0.02))},
	} {
		steps := []Step{}
		for hour := range 24 {
			steps = append(steps, Step{Hours: 1, Inflow: tt.site.Runoff(40 * math.Exp(-math.Abs(float64(hour-12))) / 2)})
		}
		steps = append(steps, Step{Hours: 192, Evaporation: 0.2})
		run := func() *History { return tt.site.Run(nil, Loss{Infiltration: []float64{3}}, steps...) }
		b.Run(tt.name+"/run", func(b *testing.B) {
			var h *History
			for b.Loop() {
				h = run()
			}
			points := 0
			for i := range h.tracks {
				for _, s := range h.tracks[i] {
					points += len(s)
				}
			}
			b.ReportMetric(float64(len(tt.site.h.All)), "hollows")
			b.ReportMetric(math.Abs(h.Error())/h.In, "error/in")
			b.ReportMetric(float64(points), "points")
		})
		h := run()
		grid := terrain.NewGrid[float32](tt.site.frame)
		b.Run(tt.name+"/hours of every cell", func(b *testing.B) {
			for b.Loop() {
				h.HoursGrid(grid, 0)
			}
		})
	}
}

// BenchmarkYearOfDays carries ten thousand hollows through a year of daily
// steps, rain on every fourth, and watches a thousand places.
func BenchmarkYearOfDays(b *testing.B) {
	s := tenThousand(b)
	m := s.Simulate(nil, Loss{Infiltration: []float64{3}})
	var places []int
	for k := range 1000 {
		places = append(places, k*s.frame.Len()/1000)
	}
	m.Watch(places...)
	for b.Loop() {
		for day := range 365 {
			w := Step{Hours: 24, Evaporation: 0.15}
			if day%4 == 0 {
				w.Inflow = s.Runoff(30 * terraintest.Chance(uint64(day), 0, 1))
			}
			m.Step(w)
		}
		m.Forget()
	}
	b.ReportMetric(math.Abs(m.Balance().Error())/m.Balance().In, "error/in")
}
