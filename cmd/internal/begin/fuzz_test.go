package begin

import (
	"os"
	"path/filepath"
	"testing"

	"wetfeet/cmd/internal/fault"
	"wetfeet/species"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func seeds(f *testing.F) {
	for _, name := range []string{"survey.csv", "level-book.csv", "positions.csv", "boundary.geojson", "my-species.csv", "heron-bend.toml"} {
		b, err := os.ReadFile(bend + name)
		require.NoError(f, err)
		f.Add(b[:min(len(b), 2000)])
	}
	for _, s := range []string{"", "pecan\nfig\n", "1;2;3", "\"", "\"a\nb\",c\n", "x\ty\tz\r1,5\t2\t3\r", "ncols 3\nnrows", "II*\x00", "{\"Point\"", "\xef\xbb\xbfspecies\n\xff\n", "#\n#", "lon,lat,species,z"} {
		f.Add([]byte(s))
	}
}

// Whatever comes in gets a kind or words, never both and never neither, and
// the same again.
func FuzzSniff(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		kind, err := Sniff(b)
		assert.NotEqual(t, kind == "", err == nil)
		again, _ := Sniff(b)
		assert.Equal(t, kind, again)
	})
}

// A text that is read is the file's fault where it fails, and otherwise has
// words and a name within its folder.
func FuzzLook(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		if kind, _ := Sniff(b); kind == Raster || len(b) > 20_000 {
			return // the raster door has a fuzz target of its own
		}
		path := filepath.Join(t.TempDir(), "f")
		require.NoError(t, os.WriteFile(path, b, 0o666))
		found, err := Look(path, "../"+string(b[:min(len(b), 9)]), species.BuiltIn())
		if err != nil {
			assert.True(t, fault.IsInput(err), err)
			return
		}
		assert.NotEmpty(t, found.Words)
		assert.Equal(t, found.Name, filepath.Base(found.Name))
		assert.True(t, filepath.IsLocal(found.Name))
	})
}
