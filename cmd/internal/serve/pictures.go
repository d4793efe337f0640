package serve

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"net/http"
	"slices"
	"strconv"
	"sync"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/screenmap"
)

// picture paints every shown cell and writes it as PNG. A cell that paint
// leaves alone is clear.
func (l *layers) picture(paint func(cell int) (color.NRGBA, bool)) made {
	return asPNG(l.Picture(paint))
}

func asPNG(m image.Image) made {
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, m); err != nil {
		return made{err: err}
	}
	return made{bytes: b.Bytes(), kind: "image/png"}
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
		return screenmap.Opaque(classes[look.Depth(l.of.Units, depth)].Fill), true
	})
}

// wetness is the rank of the wetness index: the wettest tenth and fifth of the
// site, each with a tint, and the driest half left clear.
func (l *layers) wetness() made {
	g := l.of.Drain.Wetness
	var all []float32
	every := max(1, l.Frame.Len()/200000)
	l.Each(func(i, cell int) {
		if v := g.Cells[cell]; i%every == 0 && v == v {
			all = append(all, v)
		}
	})
	if len(all) == 0 {
		return l.picture(func(int) (color.NRGBA, bool) { return color.NRGBA{}, false })
	}
	slices.Sort(all)
	limit := func(p float64) float32 { return all[min(int(p*float64(len(all))), len(all)-1)] }
	classes := look.Wetness()
	limits := make([]float32, len(classes))
	for i, c := range classes {
		limits[i] = limit(c.From)
	}
	return l.picture(func(cell int) (color.NRGBA, bool) {
		v := g.Cells[cell]
		for i := len(limits) - 1; i >= 0; i-- {
			if v >= limits[i] {
				return screenmap.Opaque(classes[i].Fill), true
			}
		}
		return color.NRGBA{}, false
	})
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
	classes := look.Odds()
	return l.picture(func(cell int) (color.NRGBA, bool) {
		p := float64(g.Cells[cell])
		for i := len(classes) - 1; i >= 0; i-- {
			if p >= classes[i].From {
				return screenmap.Opaque(classes[i].Fill), true
			}
		}
		return color.NRGBA{}, false
	})
}
