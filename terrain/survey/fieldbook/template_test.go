package fieldbook

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain/survey"
)

func TestTemplatesReduceAsTheyStand(t *testing.T) {
	for _, kind := range Templates() {
		t.Run("the template of a "+kind+" book", func(t *testing.T) {
			text, err := Template(kind)
			require.NoError(t, err)
			b, err := Read(strings.NewReader(text), kind+".csv")
			require.NoError(t, err)
			r, err := b.Reduce(Options{})
			require.NoError(t, err)
			var table, csv bytes.Buffer
			require.NoError(t, r.WriteTable(&table))
			t.Log("\n" + table.String())
			require.NoError(t, r.WriteCSV(&csv))
			back, err := survey.ReadShots(&csv, "shots.csv")
			require.NoError(t, err)
			require.Len(t, back.Shots, len(r.Shots))
			assert.GreaterOrEqual(t, len(r.Shots), 5)
			for i, s := range back.Shots {
				assert.Equal(t, r.Shots[i].Name, s.Name)
				assert.InDelta(t, r.Shots[i].Z, s.Z, 0.00005+1e-12)
			}
			assert.NotEmpty(t, r.Lines, "every template shows a line")
		})
	}
}
