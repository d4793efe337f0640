package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"wetfeet/terrain/raster"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const kept = "../../testdata/heron-bend"

// What is in testdata is what the program makes. Cells and shots are compared
// and not bytes: another GDAL may pack a file otherwise, and another
// processor may round a height to the next millimetre.
func TestKeptFilesAreWhatTheProgramMakes(t *testing.T) {
	made := t.TempDir()
	require.NoError(t, write(made))
	const rounding = 0.0011 // m

	t.Run("the raster, cell by cell", func(t *testing.T) {
		want, err := raster.Open(filepath.Join(made, "ground.tif"), raster.Options{})
		require.NoError(t, err)
		got, err := raster.Open(filepath.Join(kept, "ground.tif"), raster.Options{})
		require.NoError(t, err)
		require.Equal(t, want.Grid.Frame, got.Grid.Frame)
		assert.Empty(t, got.Remarks, "nothing had to be done to it")
		for i, z := range want.Grid.Cells {
			require.InDelta(t, z, got.Grid.Cells[i], rounding, "cell %d", i)
		}
	})

	t.Run("the tables, field by field", func(t *testing.T) {
		for _, name := range []string{"survey.csv", "positions.csv", "my-species.csv"} {
			want, got := table(t, filepath.Join(made, name)), table(t, filepath.Join(kept, name))
			require.Len(t, got, len(want), name)
			for r := range want {
				require.Len(t, got[r], len(want[r]), "%s, line %d", name, r+1)
				for c := range want[r] {
					same(t, want[r][c], got[r][c], rounding, "%s, line %d", name, r+1)
				}
			}
		}
	})

	t.Run("the fence, corner by corner", func(t *testing.T) {
		want, got := fence(t, filepath.Join(made, "boundary.geojson")), fence(t, filepath.Join(kept, "boundary.geojson"))
		require.Len(t, got, len(want))
		for i := range want {
			assert.InDeltaSlice(t, want[i], got[i], 2e-7, "corner %d", i)
		}
	})

	t.Run("the site files, the book and the weather, letter by letter", func(t *testing.T) {
		for _, name := range []string{"heron-bend.toml", "heron-bend-shots.toml", "heron-bend-book.toml", "level-book.csv", "daily-rain.csv"} {
			want, err := os.ReadFile(filepath.Join(made, name))
			require.NoError(t, err)
			got, err := os.ReadFile(filepath.Join(kept, name))
			require.NoError(t, err)
			assert.Equal(t, string(want), string(got), name)
		}
	})
}

// A clone should not cost more than the demo is worth.
func TestKeptFilesAreSmall(t *testing.T) {
	files, err := os.ReadDir(kept)
	require.NoError(t, err)
	total := int64(0)
	for _, f := range files {
		info, err := f.Info()
		require.NoError(t, err)
		total += info.Size()
	}
	assert.Less(t, total, int64(900_000))
	assert.Greater(t, total, int64(50_000), "and they are there")
}

func TestFolderThatIsNotThereIsAnError(t *testing.T) {
	assert.ErrorIs(t, write(filepath.Join(t.TempDir(), "nowhere")), os.ErrNotExist)
}

func table(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows
}

// same compares numbers as numbers and anything else as text.
func same(t *testing.T, want, got string, within float64, where ...any) {
	t.Helper()
	a, errA := strconv.ParseFloat(want, 64)
	b, errB := strconv.ParseFloat(got, 64)
	if errA == nil && errB == nil {
		assert.InDelta(t, a, b, within, where...)
		return
	}
	assert.Equal(t, want, got, where...)
}

func fence(t *testing.T, path string) [][]float64 {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var feature struct {
		Geometry struct {
			Type        string
			Coordinates [][][]float64
		}
	}
	require.NoError(t, json.Unmarshal(text, &feature))
	require.Equal(t, "Polygon", feature.Geometry.Type)
	require.Len(t, feature.Geometry.Coordinates, 1)
	return feature.Geometry.Coordinates[0]
}
