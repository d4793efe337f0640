package fieldbook

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wetfeet/terrain/survey"
)

// A book is read and reduced, or refused as the input's fault; what is
// reduced is finite and is read back by the reader of spot heights.
func FuzzRead(f *testing.F) {
	for _, kind := range Templates() {
		text, err := Template(kind)
		require.NoError(f, err)
		f.Add(text)
	}
	for _, text := range []string{punmia, askfilo, flatLoop, "point;bs;fs;level\nBM;1,5;;10\nBM;;1,5;10\n"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		b, err := Read(strings.NewReader(text), "fuzz.csv")
		if err != nil {
			assert.ErrorIs(t, err, ErrInput)
			return
		}
		r, err := b.Reduce(Options{})
		if err != nil {
			require.True(t, errors.Is(err, ErrInput), "%v", err)
			assert.NotEmpty(t, err.Error())
			return
		}
		for _, p := range r.Points {
			assert.False(t, math.IsNaN(p.Level) || math.IsInf(p.Level, 0) || math.IsNaN(p.Error), "%+v", p)
		}
		var table, csv bytes.Buffer
		require.NoError(t, r.WriteTable(&table))
		require.NoError(t, r.WriteCSV(&csv))
		if len(r.Shots) > 0 {
			if _, err := survey.ReadShots(&csv, "shots.csv"); err != nil {
				assert.ErrorIs(t, err, survey.ErrInput)
			}
		}
	})
}
