package serve

import (
	"bytes"
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"sync"
	"sync/atomic"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/terrain"
)

// Layers are what a page draws of one ground: grids of it, pictures and
// lines. Each is made when it is first asked for and kept.
type layers struct {
	*screenmap.Map
	id   string
	of   *assess.Result
	soft func() *terrain.Grid[float32]
	made sync.Map // name to func() made
}

// made is a layer as it is sent.
type made struct {
	bytes []byte
	kind  string
	err   error
}

// mostShown is how many cells a page is given; a larger ground is thinned.
const mostShown = 4 << 20

var grounds atomic.Int64 // numbers each ground the program has shown

// run tells this run of the program from others on the same port, whose
// layers a browser may still hold.
var run = rand.Text()[:8]

func layersOf(r *assess.Result) *layers {
	l := &layers{Map: screenmap.Of(r, mostShown), id: run + "-" + strconv.FormatInt(grounds.Add(1), 36), of: r}
	l.soft = sync.OnceValue(func() *terrain.Grid[float32] {
		soft := terrain.NewGrid[float32](r.Drain.Ground.Frame)
		terrain.Smooth(soft, r.Drain.Ground, brim.Soften(r.Drain))
		return soft
	})
	return l
}

// layer answers with one of the layers.
func (d *desk) layer(w http.ResponseWriter, r *http.Request, s *sheet) error {
	l := s.works.named(s, r.PathValue("ground"))
	if l == nil {
		return statusError{http.StatusGone, "gone", fmt.Errorf("that ground is no longer kept; load the page again")}
	}
	name := r.PathValue("name")
	make, ok := l.makers()[name]
	if !ok {
		return statusError{http.StatusNotFound, "", fmt.Errorf("there is no layer %q", name)}
	}
	once, _ := l.made.LoadOrStore(name, sync.OnceValue(make))
	m := once.(func() made)()
	if m.err != nil {
		return m.err
	}
	h := w.Header()
	h.Set("Content-Type", m.kind)
	h.Set("Cache-Control", "private, max-age=86400, immutable")
	_, _ = w.Write(m.bytes)
	return nil
}

// makers are the layers there are, by name.
func (l *layers) makers() map[string]func() made {
	d := l.of.Drain
	m := map[string]func() made{
		"ground":      func() made { return l.levels(d.Ground) },
		"soft":        func() made { return l.levels(l.soft()) },
		"hollows":     l.hollows,
		"shade.png":   func() made { return asPNG(l.Shade()) },
		"brim.png":    l.brims,
		"wetness.png": l.wetness,
		"contours":    func() made { return asJSON(l.Contours()) },
		"flow":        func() made { return asJSON(l.Flow()) },
	}
	if w := l.of.WaterTable; w != nil {
		m["table"] = func() made { return l.levels(w.Depth) }
	}
	return m
}

// levels is a grid in whole steps above its lowest value: two float64, the
// lowest and the step, then an unsigned 16-bit number a cell, little-endian;
// the largest is a void. The step is a millimetre or, where the values span
// more than 65 m, no more than they need.
func (l *layers) levels(g *terrain.Grid[float32]) made {
	const void = math.MaxUint16
	lo, hi := math.Inf(1), math.Inf(-1)
	l.Each(func(_, cell int) {
		if z := float64(g.Cells[cell]); z == z {
			lo, hi = min(lo, z), max(hi, z)
		}
	})
	if lo > hi {
		lo, hi = 0, 0
	}
	step := max(0.001, (hi-lo)/(void-1))
	b := make([]byte, 16+2*l.Frame.Len())
	binary.LittleEndian.PutUint64(b, math.Float64bits(lo))
	binary.LittleEndian.PutUint64(b[8:], math.Float64bits(step))
	l.Each(func(i, cell int) {
		v := uint16(void)
		if z := float64(g.Cells[cell]); z == z {
			v = uint16(math.Round((z - lo) / step))
		}
		binary.LittleEndian.PutUint16(b[16+2*i:], v)
	})
	return made{bytes: b, kind: "application/octet-stream"}
}

// around is how many cells beyond a hollow its water is still looked for: the
// noise of single cells would else fray the water's edge.
const around = 3

// hollows is, for every cell, one more than the index of the leaf whose water
// it can stand in, and 0 where none can: a signed 32-bit number, little-endian.
// Cells around a hollow that are as high as its brim count with it, for the
// water's edge to be drawn on softened ground.
func (l *layers) hollows() made {
	h := l.of.Storm.Site.Hollows()
	ground := l.of.Drain.Ground
	label := make([]int32, ground.Len())
	spill := func(cell int32) float64 { return h.All[h.Outer[cell]-1].Spill }
	origin := make([]int32, ground.Len()) // cell of the hollow each label was taken from
	var rim []int32
	for i := range label {
		if h.Outer[i] != 0 && h.Inner[i] != 0 {
			label[i], origin[i] = h.Inner[i], int32(i)
			rim = append(rim, int32(i))
		}
	}
	for range around {
		var next []int32
		for _, i := range rim {
			row, col := ground.Cell(int(i))
			for r := max(row-1, 0); r <= min(row+1, ground.Rows-1); r++ {
				for c := max(col-1, 0); c <= min(col+1, ground.Cols-1); c++ {
					k := ground.Index(r, c)
					if label[k] != 0 || !(float64(ground.Cells[k]) >= spill(origin[i])) {
						continue
					}
					label[k], origin[k] = label[i], origin[i]
					next = append(next, int32(k))
				}
			}
		}
		rim = next
	}
	b := make([]byte, 4*l.Frame.Len())
	l.Each(func(i, cell int) { binary.LittleEndian.PutUint32(b[4*i:], uint32(label[cell])) })
	return made{bytes: b, kind: "application/octet-stream"}
}

func asJSON(v any) made {
	var b bytes.Buffer
	if err := json.NewEncoder(&b).Encode(v); err != nil {
		return made{err: err}
	}
	return made{bytes: b.Bytes(), kind: "application/json"}
}
