package screenmap

import (
	"image"
	"image/color"
	"math"
	"slices"

	"wetfeet/cmd/internal/look"
	"wetfeet/terrain"
)

// Opaque is a colour that nothing shows through.
func Opaque(c color.RGBA) color.NRGBA { return color.NRGBA{c.R, c.G, c.B, 255} }

// Light falls from three sides of the north-west, 45° high, as on the printed
// map.
var lights = [...]struct{ azimuth, weight float64 }{{315, 0.6}, {270, 0.2}, {0, 0.2}}

// Shade is the ground lit from the north-west, heights drawn so many times
// larger that the steepest tenth shows.
func (m *Map) Shade() *image.NRGBA {
	z := m.of.Drain.Smoothed
	if z == nil {
		z = m.of.Drain.Ground
	}
	slope := func(cell int) (east, north float64) {
		row, col := z.Cell(cell)
		n, s := max(row-1, 0), min(row+1, z.Rows-1)
		w, e := max(col-1, 0), min(col+1, z.Cols-1)
		east = float64(z.At(row, e)-z.At(row, w)) / (float64(e-w) * z.CellSize)
		north = float64(z.At(n, col)-z.At(s, col)) / (float64(s-n) * z.CellSize)
		return east, north
	}
	var steep []float64
	every := max(1, m.Len()/40000)
	m.Each(func(i, cell int) {
		if i%every == 0 {
			x, y := slope(cell)
			if s := math.Hypot(x, y); s == s && !math.IsInf(s, 0) {
				steep = append(steep, s)
			}
		}
	})
	times := 1.0
	if len(steep) > 0 {
		slices.Sort(steep)
		times = min(100, 0.5/max(steep[len(steep)*9/10], 0.005))
	}
	const high = math.Pi / 4
	mix := func(a, b uint8, t float64) uint8 { return uint8(math.Round(float64(a) + t*(float64(b)-float64(a)))) }
	return m.Picture(func(cell int) (color.NRGBA, bool) {
		if terrain.IsVoid(z.Cells[cell]) {
			return color.NRGBA{}, false
		}
		x, y := slope(cell)
		if x != x || y != y || math.IsInf(x, 0) || math.IsInf(y, 0) {
			x, y = 0, 0
		}
		x, y = x*times, y*times
		long := math.Sqrt(1 + x*x + y*y)
		tone := 0.0
		for _, light := range lights {
			a := light.azimuth * math.Pi / 180
			lit := (math.Sin(high) - math.Cos(high)*(x*math.Sin(a)+y*math.Cos(a))) / long
			tone += light.weight * max(0, lit)
		}
		// Level ground is three quarters light.
		level := math.Sin(high)
		t := 0.72
		if tone > level {
			t += 0.28 * (tone - level) / (1 - level)
		} else {
			t -= 0.72 * (level - tone) / level
		}
		t = min(max(t, 0), 1)
		dark, light := look.GroundDark, look.GroundLight
		return color.NRGBA{mix(dark.R, light.R, t), mix(dark.G, light.G, t), mix(dark.B, light.B, t), 255}, true
	})
}
