package report

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"math"

	"wetfeet/cmd/internal/assess"
	"wetfeet/cmd/internal/brim"
	"wetfeet/cmd/internal/look"
	"wetfeet/cmd/internal/screenmap"
	"wetfeet/terrain"
)

// tinted is a picture of a grid by classes, the edges between them drawn finer
// than its cells, and which classes are on it.
func tinted(m *screenmap.Map, g *terrain.Grid[float32], classes []look.Tint) (string, []bool, error) {
	sharper := 1
	for sharper < mostSharper && m.Len()*(sharper+1)*(sharper+1) <= mostCells {
		sharper++
	}
	palette := color.Palette{color.NRGBA{}}
	for _, c := range classes {
		palette = append(palette, screenmap.Opaque(c.Fill))
	}
	seen := make([]bool, len(classes))
	out := image.NewPaletted(image.Rect(0, 0, m.Cols*sharper, m.Rows*sharper), palette)
	for y := range m.Rows * sharper {
		for x := range m.Cols * sharper {
			v := m.Between(g, (float64(x)+0.5)/float64(sharper), (float64(y)+0.5)/float64(sharper))
			if !(v > 0) {
				continue
			}
			k := len(classes) - 1
			for k >= 0 && v < classes[k].From {
				k--
			}
			if k >= 0 {
				out.Pix[y*out.Stride+x] = uint8(k + 1)
				seen[k] = true
			}
		}
	}
	s, err := address(out)
	return s, seen, err
}

// address writes a picture as a data address, by a palette where its colours
// are few.
func address(m image.Image) (string, error) {
	if n, ok := m.(*image.NRGBA); ok {
		m = byPalette(n)
	}
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	if err := e.Encode(&b, m); err != nil {
		return "", err
	}
	return "data:image/png;base64," + base64.StdEncoding.EncodeToString(b.Bytes()), nil
}

func byPalette(m *image.NRGBA) image.Image {
	index := map[color.NRGBA]uint8{}
	out := image.NewPaletted(m.Rect, nil)
	for i := range out.Pix {
		c := color.NRGBA{m.Pix[4*i], m.Pix[4*i+1], m.Pix[4*i+2], m.Pix[4*i+3]}
		k, ok := index[c]
		if !ok {
			if len(out.Palette) == 256 {
				return m
			}
			k = uint8(len(out.Palette))
			index[c] = k
			out.Palette = append(out.Palette, c)
		}
		out.Pix[i] = k
	}
	return out
}

// known is where ground is known: its least and greatest place east and south
// of the corner, m.
func known(g *terrain.Grid[float32]) [4]float64 {
	top, left, bottom, right := g.Rows, g.Cols, 0, 0
	for r := range g.Rows {
		for c, z := range g.Row(r) {
			if z == z {
				top, left, bottom, right = min(top, r), min(left, c), max(bottom, r+1), max(right, c+1)
			}
		}
	}
	if bottom == 0 {
		top, left, bottom, right = 0, 0, g.Rows, g.Cols
	}
	s := g.CellSize
	return [4]float64{float64(left) * s, float64(top) * s, float64(right) * s, float64(bottom) * s}
}

func levelsOf(r *assess.Result) levels {
	const void = math.MaxUint16
	m := screenmap.Of(r, mostLevels)
	cells := r.Drain.Ground.Cells
	lo, hi := math.Inf(1), math.Inf(-1)
	m.Each(func(_, cell int) {
		if z := float64(cells[cell]); z == z {
			lo, hi = min(lo, z), max(hi, z)
		}
	})
	if lo > hi {
		lo, hi = 0, 0
	}
	step := max(0.001, (hi-lo)/(void-1))
	b := make([]byte, 2*m.Len())
	m.Each(func(i, cell int) {
		v := uint16(void)
		if z := float64(cells[cell]); z == z {
			v = uint16(math.Round((z - lo) / step))
		}
		binary.LittleEndian.PutUint16(b[2*i:], v)
	})
	return levels{m.Rows, m.Cols, m.CellSize, lo, step, base64.StdEncoding.EncodeToString(b)}
}

// fullDepths are the depths with every hollow full, softened for drawing.
func fullDepths(r *assess.Result) *terrain.Grid[float32] {
	return depths(r, brim.Full(r.Drain.Hollows))
}

// depths are those of a water, softened for drawing.
func depths(r *assess.Result, w brim.Water) *terrain.Grid[float32] {
	g := r.Drain.Ground
	raw := terrain.NewGrid[float32](g.Frame)
	for i := range g.Rows {
		for j := range g.Cols {
			raw.Set(i, j, float32(w.Depth(i, j)))
		}
	}
	soft := terrain.NewGrid[float32](g.Frame)
	terrain.Smooth(soft, raw, brim.Soften(r.Drain))
	for i, z := range g.Cells {
		if z != z {
			soft.Cells[i] = terrain.Void()
		}
	}
	return soft
}
