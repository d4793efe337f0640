package odds

import (
	"math"
	"math/rand/v2"

	"wetfeet/hydro/storm"
	"wetfeet/terrain"
)

// waves is a source of smooth grounds: a plane that falls 0.1 % to the east
// with undulation that every draw moves and bends otherwise, and white noise
// of so many metres on every cell.
type waves struct {
	frame terrain.Frame
	noise float64
	void  func(row, col int) bool
}

func (s waves) Pair(k int, a, b []float32) {
	s.ground(uint64(2*k), a)
	s.ground(uint64(2*k+1), b)
}

// ground draws one. A sum of waves along rows and along columns costs next to
// nothing, so that benchmarks tell of the chain.
func (s waves) ground(draw uint64, z []float32) {
	r := rand.New(rand.NewPCG(draw, 7))
	along, down := make([]float64, s.frame.Cols), make([]float64, s.frame.Rows)
	bend := make([]float64, s.frame.Cols)
	for _, length := range []float64{300, 110, 47, 21} {
		for _, line := range [][]float64{along, down, bend} {
			phase, height := 2*math.Pi*r.Float64(), length/1500*(0.5+r.Float64())
			for i := range line {
				line[i] += height * math.Sin(2*math.Pi*float64(i)/length+phase)
			}
		}
	}
	noise := r.Uint64()
	for row := range s.frame.Rows {
		for col := range s.frame.Cols {
			v := 20 - 0.001*float64(col) + along[col] + down[row] + 8*bend[col]*down[row]
			if s.noise > 0 {
				// Two even numbers make a triangle as wide as a normal of that deviation.
				noise = noise*6364136223846793005 + 1442695040888963407
				v += s.noise * math.Sqrt(6) * (float64(noise>>40)/(1<<24) + float64(uint32(noise)>>8)/(1<<24) - 1)
			}
			z[row*s.frame.Cols+col] = float32(v)
			if s.void != nil && s.void(row, col) {
				z[row*s.frame.Cols+col] = terrain.Void()
			}
		}
	}
}

// bowls is a source of planes that fall 0.2 % to the east; every other draw has
// a round bowl of 8 m in it, deep metres at its middle.
type bowls struct {
	frame terrain.Frame
	deep  func(draw int) float64
}

func (s bowls) Pair(k int, a, b []float32) {
	for side, z := range [][]float32{a, b} {
		for i := range z {
			row, col := s.frame.Cell(i)
			v := 10 - 0.002*float64(col)
			if d := math.Hypot(float64(row)-float64(s.frame.Rows)/2, float64(col)-float64(s.frame.Cols)/2) / 8; d < 1 {
				v -= s.deep(2*k+side) * (1 - d*d)
			}
			z[i] = float32(v)
		}
	}
}

// square is a frame of so many cells of a metre a side.
func square(side int) terrain.Frame { return terrain.Frame{Rows: side, Cols: side, CellSize: 1} }

// showers is weather that differs from draw to draw: six hours of rain, of
// which a third runs off, and ten days to dry.
func showers(draw int) Weather {
	r := rand.New(rand.NewPCG(uint64(draw), 11))
	var w Weather
	for range 12 {
		w.Steps = append(w.Steps, Step{Hours: 0.5, Runoff: []float64{8 * r.Float64()}})
	}
	w.Steps = append(w.Steps, Step{Hours: 240, Evaporation: 4.0 / 24})
	soaks := math.Exp(r.NormFloat64())
	w.Loss = func(*storm.Site) storm.Loss { return storm.Loss{Infiltration: []float64{soaks}} }
	w.Roots = func(int) storm.Roots { return storm.Roots{Depth: 0.3, Porosity: 0.1, Drainage: 4 * soaks} }
	return w
}

// asked are options for draws of a source and showers, watching every 37th
// cell.
func asked(s waves, draws int) Options {
	o := Options{
		Frame:   s.frame,
		Source:  func() Source { return s },
		Draws:   draws,
		Weather: showers,
		Heights: []float64{0, 0.05, 0.2},
	}
	for c := 0; c < s.frame.Len(); c += 37 {
		o.Watch = append(o.Watch, c)
	}
	return o
}
