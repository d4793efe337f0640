package fieldbook

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLooksTellsABookFromATable(t *testing.T) {
	for _, kind := range Templates() {
		text, err := Template(kind)
		require.NoError(t, err)
		assert.True(t, Looks([]byte(text)), kind)
	}
	for _, table := range []string{"", "x,y,z\n1,2,3\n", "# units: ft\nx,y,z\n", "name: x,y,z\n", "time,rain\n12:30,4\n"} {
		assert.False(t, Looks([]byte(table)), table)
	}
	assert.True(t, Looks([]byte("\ufeffUnits : ft\r\npoint,bs\r\n")))
	assert.True(t, Looks([]byte("station;BS (ft);IS;FS (ft)\nA;1.2;;\n")), "sights, and no directive")
	assert.False(t, Looks([]byte("station,remarks\nA,bs\nB,fs\n")))
}
