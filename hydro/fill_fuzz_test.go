package hydro

import (
	"math"
	"testing"

	"wetfeet/terrain"

	"github.com/paulmach/orb/planar"
	"github.com/stretchr/testify/require"
)

// FuzzFill makes ground of any bytes and holds Fill, the hollows, their
// storage and their outlines to their promises on it.
func FuzzFill(f *testing.F) {
	f.Add([]byte{9, 9, 9, 9, 1, 9, 9, 5, 9}, uint8(3), false)
	f.Add([]byte{}, uint8(1), false)
	f.Add([]byte{9, 9, 9, 9, 9, 9, 5, 5, 5, 9, 9, 5, 255, 5, 9, 9, 5, 5, 5, 9, 9, 9, 9, 9, 9}, uint8(5), false)
	f.Add([]byte("\x00\x00\x80\x3f\x00\x00\x00\x80\x00\x00\x00\x00\xff\xff\x7f\xff"), uint8(2), true)
	f.Fuzz(func(t *testing.T, heights []byte, width uint8, floats bool) {
		if len(heights) > 1<<11 {
			t.Skip("more ground shows no more")
		}
		levels := make([]float32, 0, len(heights))
		if floats {
			for ; len(heights) >= 4; heights = heights[4:] {
				v := math.Float32frombits(uint32(heights[0]) | uint32(heights[1])<<8 | uint32(heights[2])<<16 | uint32(heights[3])<<24)
				if math.IsInf(float64(v), 0) {
					v = terrain.Void() // as the doors do
				}
				levels = append(levels, v)
			}
		} else {
			for _, b := range heights {
				v := float32(b) / 8
				if b == 255 {
					v = terrain.Void()
				}
				levels = append(levels, v)
			}
		}
		cols := max(1, int(width))
		z := terrain.NewGrid[float32](terrain.Frame{Rows: len(levels) / cols, Cols: cols, CellSize: 1})
		copy(z.Cells, levels)

		filled := terrain.NewGrid[float32](z.Frame)
		Fill(filled, z)
		sameBits(t, fillByFlood(z).Cells, filled.Cells, "filled")

		h := FindHollows(z)
		for i, v := range filled.Cells {
			if over := h.Covering(i); over != nil {
				require.Equal(t, v, float32(over.Spill))
				require.Greater(t, v, z.Cells[i])
			} else {
				require.False(t, v > z.Cells[i])
			}
		}
		for _, h := range []*Hollows{h, h.Significant(0.25)} {
			s := h.Storage()
			for i := range h.All {
				a := &h.All[i]
				require.Greater(t, a.Volume, 0.0)
				level := s.Level(i, a.Volume/2)
				require.True(t, s.Base(i) <= level && level <= a.Spill)
				require.Equal(t, a.Area, planar.Area(h.Outline(i)))
			}
		}
	})
}
