package serve

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"net/http"
	"slices"
	"strconv"
	"sync"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/terrain"
)

// picture paints every shown cell and writes it as PNG. A cell that paint
// leaves alone is clear.
func (l *layers) picture(paint func(cell int) (color.NRGBA, bool)) made {
	m := image.NewNRGBA(image.Rect(0, 0, l.frame.Cols, l.frame.Rows))
	l.each(func(i, cell int) {
		if c, ok := paint(cell); ok {
			m.Pix[4*i], m.Pix[4*i+1], m.Pix[4*i+2], m.Pix[4*i+3] = c.R, c.G, c.B, c.A
		}
	})
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, m); err != nil {
		return made{err: err}
	}
	return made{bytes: b.Bytes(), kind: "image/png"}
}

func opaque(c color.RGBA) color.NRGBA { return color.NRGBA{c.R, c.G, c.B, 255} }

// Light falls from three sides of the north-west, 45° high, as on the printed
// map.
var lights = [...]struct{ azimuth, weight float64 }{{315, 0.6}, {270, 0.2}, {0, 0.2}}

// shade is the ground lit from the north-west, heights drawn so many times
// larger that the steepest tenth shows.
func (l *layers) shade() made {
	z := l.of.Drain.Smoothed
	if z == nil {
		z = l.of.Drain.Ground
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
	every := max(1, l.frame.Len()/40000)
	l.each(func(i, cell int) {
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
	return l.picture(func(cell int) (color.NRGBA, bool) {
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

// brims is the depth of water with every hollow full, by class.
func (l *layers) brims() made {
	h, d := l.of.Drain.Hollows, l.of.Drain
	classes := look.Depths(l.of.Units)
	return l.picture(func(cell int) (color.NRGBA, bool) {
		outer := h.Outer[cell]
		if outer == 0 {
			return color.NRGBA{}, false
		}
		depth := h.All[outer-1].Spill - float64(d.Ground.Cells[cell])
		if !(depth > 0) {
			return color.NRGBA{}, false
		}
		return opaque(classes[look.Depth(l.of.Units, depth)].Fill), true
	})
}

// wetness is the rank of the wetness index: the wettest tenth and fifth of the
// site, each with a tint, and the driest half left clear.
func (l *layers) wetness() made {
	g := l.of.Drain.Wetness
	var all []float32
	every := max(1, l.frame.Len()/200000)
	l.each(func(i, cell int) {
		if v := g.Cells[cell]; i%every == 0 && v == v {
			all = append(all, v)
		}
	})
	if len(all) == 0 {
		return l.picture(func(int) (color.NRGBA, bool) { return color.NRGBA{}, false })
	}
	slices.Sort(all)
	limit := func(p float64) float32 { return all[min(int(p*float64(len(all))), len(all)-1)] }
	classes := WetClasses()
	limits := make([]float32, len(classes))
	for i, c := range classes {
		limits[i] = limit(c.From)
	}
	return l.picture(func(cell int) (color.NRGBA, bool) {
		v := g.Cells[cell]
		for i := len(limits) - 1; i >= 0; i-- {
			if v >= limits[i] {
				return opaque(classes[i].Fill), true
			}
		}
		return color.NRGBA{}, false
	})
}

// A WetClass is a part of the site by the rank of its wetness.
type WetClass struct {
	From  float64 // rank, 0 to 1
	Fill  color.RGBA
	Label string
}

// WetClasses are the classes drawn, driest first: greens, which no depth of
// water is.
func WetClasses() []WetClass {
	return []WetClass{
		{0.6, color.RGBA{0xe3, 0xea, 0xc8, 0xff}, "wetter than most"},
		{0.8, color.RGBA{0xb9, 0xcf, 0x8e, 0xff}, "the wettest fifth"},
		{0.95, color.RGBA{0x7d, 0xa4, 0x55, 0xff}, "the wettest twentieth"},
	}
}

// Pictures are those of the odds of the newest answers.
type pictures struct {
	mu    sync.Mutex
	next  int
	names []string
	made  map[string]func() made
}

// mostPictures is how many answers' pictures are kept.
const mostPictures = 4

// add keeps a picture of the odds of an answer, made when it is asked for, and
// returns its name.
func (p *pictures) add(l *layers, r *assess.Result) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.next++
	name := strconv.Itoa(p.next)
	if p.made == nil {
		p.made = map[string]func() made{}
	}
	p.made[name] = sync.OnceValue(func() made { return l.odds(r) })
	if p.names = append(p.names, name); len(p.names) > mostPictures {
		delete(p.made, p.names[0])
		p.names = p.names[1:]
	}
	return name
}

func (d *desk) oddsPicture(w http.ResponseWriter, r *http.Request, s *sheet) error {
	s.ponding.mu.Lock()
	get, ok := s.ponding.made[r.PathValue("id")]
	s.ponding.mu.Unlock()
	if !ok {
		return statusError{http.StatusGone, "gone", errors.New("that answer is no longer kept")}
	}
	m := get()
	if m.err != nil {
		return m.err
	}
	w.Header().Set("Content-Type", m.kind)
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write(m.bytes)
	return nil
}

// odds is how likely water stands on a cell in the storm, by class.
func (l *layers) odds(r *assess.Result) made {
	g := r.Odds.Ponding
	classes := OddsClasses()
	return l.picture(func(cell int) (color.NRGBA, bool) {
		p := float64(g.Cells[cell])
		for i := len(classes) - 1; i >= 0; i-- {
			if p >= classes[i].From {
				return opaque(classes[i].Fill), true
			}
		}
		return color.NRGBA{}, false
	})
}

// OddsClasses are the classes of odds drawn, least first: violets, which no
// depth of water is.
func OddsClasses() []WetClass {
	return []WetClass{
		{0.05, color.RGBA{0xee, 0xe6, 0xf4, 0xff}, "5 to 25 in 100"},
		{0.25, color.RGBA{0xd3, 0xbd, 0xe3, 0xff}, "25 to 50 in 100"},
		{0.50, color.RGBA{0xa9, 0x80, 0xc6, 0xff}, "50 to 75 in 100"},
		{0.75, color.RGBA{0x78, 0x45, 0x9f, 0xff}, "75 to 95 in 100"},
		{0.95, color.RGBA{0x4b, 0x1d, 0x6e, 0xff}, "over 95 in 100"},
	}
}
