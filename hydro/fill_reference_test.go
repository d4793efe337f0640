package hydro

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wetfeet/terrain"
	"wetfeet/terrain/terraintest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readGround reads a grid kept in testdata, whose name ends in its size.
func readGround(t *testing.T, path string) *terrain.Grid[float32] {
	t.Helper()
	name, _, _ := strings.Cut(filepath.Base(path), ".")
	var f terrain.Frame
	_, err := fmt.Sscanf(name[strings.LastIndex(name, "-")+1:], "%dx%d", &f.Rows, &f.Cols)
	require.NoError(t, err, path)
	f.CellSize = 1
	z := terrain.NewGrid[float32](f)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, binary.Read(bytes.NewReader(data), binary.LittleEndian, z.Cells), path)
	return z
}

// The filled surface is the morphological reconstruction by erosion of a
// flood above the ground. The references were made with scikit-image, see
// testdata/fill; they must agree to the bit.
func TestFillIsMorphologicalReconstruction(t *testing.T) {
	paths, err := filepath.Glob("testdata/fill/*.ground.f32")
	require.NoError(t, err)
	require.Len(t, paths, 6)
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".ground.f32"), func(t *testing.T) {
			z := readGround(t, path)
			want := readGround(t, strings.Replace(path, "ground", "filled", 1))
			got := terrain.NewGrid[float32](z.Frame)
			Fill(got, z)
			sameBits(t, want.Cells, got.Cells, "against the reference")
			raised := 0
			for i, v := range got.Cells {
				if v > z.Cells[i] {
					raised++
				}
			}
			assert.Greater(t, raised, 20, "a ground without hollows shows nothing")
		})
	}
}

// Checks G01 to G05: small grounds worked by hand, two of them also by
// scikit-image 0.19.3.
func TestFillSmallGroundsByHand(t *testing.T) {
	for _, tt := range []struct {
		name         string
		ground, want *terrain.Grid[float32]
		volume       float64
	}{
		{
			"single pit that spills to the east", terraintest.Rows(1,
				[]float32{9, 9, 9, 9, 9},
				[]float32{9, 5, 5, 5, 9},
				[]float32{9, 5, 3, 5, 7},
				[]float32{9, 5, 5, 5, 9},
				[]float32{9, 9, 9, 9, 9}),
			terraintest.Rows(1,
				[]float32{9, 9, 9, 9, 9},
				[]float32{9, 7, 7, 7, 9},
				[]float32{9, 7, 7, 7, 7},
				[]float32{9, 7, 7, 7, 9},
				[]float32{9, 9, 9, 9, 9}),
			20,
		},
		{
			// With four neighbours the right one would fill to 7 and the whole
			// hold 26 (check G03): its way out is the diagonal from row 5,
			// column 5 to row 6, column 6.
			"two pits, the right one drained by a diagonal", terraintest.Rows(1,
				[]float32{9, 9, 9, 9, 9, 9, 9, 9},
				[]float32{9, 8, 7, 7, 8, 8, 8, 9},
				[]float32{9, 7, 3, 4, 8, 6, 7, 9},
				[]float32{9, 7, 4, 2, 7, 5, 6, 9},
				[]float32{9, 8, 8, 7, 8, 4, 6, 9},
				[]float32{9, 9, 8, 8, 6, 5, 7, 9},
				[]float32{9, 9, 9, 8, 8, 8, 6, 5},
				[]float32{9, 9, 9, 9, 9, 9, 9, 9}),
			terraintest.Rows(1,
				[]float32{9, 9, 9, 9, 9, 9, 9, 9},
				[]float32{9, 8, 7, 7, 8, 8, 8, 9},
				[]float32{9, 7, 7, 7, 8, 6, 7, 9},
				[]float32{9, 7, 7, 7, 7, 6, 6, 9},
				[]float32{9, 8, 8, 7, 8, 6, 6, 9},
				[]float32{9, 9, 8, 8, 6, 6, 7, 9},
				[]float32{9, 9, 9, 8, 8, 8, 6, 5},
				[]float32{9, 9, 9, 9, 9, 9, 9, 9}),
			19,
		},
		{
			"a diagonal channel drains", terraintest.Rows(1,
				[]float32{9, 9, 9, 9, 9, 9},
				[]float32{9, 5, 9, 9, 9, 9},
				[]float32{9, 9, 4, 9, 9, 9},
				[]float32{9, 9, 9, 3, 9, 9},
				[]float32{9, 9, 9, 9, 2, 9},
				[]float32{9, 9, 9, 9, 9, 1}),
			nil, 0,
		},
		{
			"a flat at its spill level holds nothing", terraintest.Rows(1,
				[]float32{5, 5, 5, 5, 5},
				[]float32{5, 4, 4, 4, 5},
				[]float32{5, 4, 4, 4, 4},
				[]float32{5, 4, 4, 4, 5},
				[]float32{5, 5, 5, 5, 5}),
			nil, 0,
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.want == nil {
				tt.want = tt.ground
			}
			got := terrain.NewGrid[float32](tt.ground.Frame)
			Fill(got, tt.ground)
			assert.Equal(t, tt.want, got)
			volume := 0.0
			for _, h := range FindHollows(tt.ground).All {
				if h.Parent == Outside {
					volume += h.Volume
				}
			}
			assert.Equal(t, tt.volume, volume)
		})
	}
}

// Check G02, each pit: the left one holds 15 to the level of 7, the right one
// 4 to the level of 6.
func TestPitsOfCheckG02(t *testing.T) {
	h := FindHollows(terraintest.Rows(1,
		[]float32{9, 9, 9, 9, 9, 9, 9, 9},
		[]float32{9, 8, 7, 7, 8, 8, 8, 9},
		[]float32{9, 7, 3, 4, 8, 6, 7, 9},
		[]float32{9, 7, 4, 2, 7, 5, 6, 9},
		[]float32{9, 8, 8, 7, 8, 4, 6, 9},
		[]float32{9, 9, 8, 8, 6, 5, 7, 9},
		[]float32{9, 9, 9, 8, 8, 8, 6, 5},
		[]float32{9, 9, 9, 9, 9, 9, 9, 9}))
	require.Len(t, h.All, 2)
	left, right := h.All[0], h.All[1]
	assert.Equal(t, []float64{7, 15}, []float64{left.Spill, left.Volume})
	assert.Equal(t, []float64{6, 4}, []float64{right.Spill, right.Volume})
	assert.Equal(t, 1, left.SpillsTo, "over the saddle of 7 into the right one")
	assert.Equal(t, Outside, right.SpillsTo)
}
