package mapsheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The maps are left with the test's artifacts, to be looked at:
// go test -run Pictures -artifacts.
func TestPictures(t *testing.T) {
	for name, make := range sites() {
		t.Run(name, func(t *testing.T) {
			m, err := Draw(make(), Options{})
			require.NoError(t, err)
			f, err := os.Create(filepath.Join(t.ArtifactDir(), strings.ReplaceAll(name, " ", "-")+".png"))
			require.NoError(t, err)
			require.NoError(t, WritePNG(f, m))
			require.NoError(t, f.Close())
		})
	}
}
